package power

import (
	"cmp"
	"slices"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/standards"
)

// feed is one plug in its socket: of a part, or of an adapter's start.
type feed struct {
	plug, socket string // connectors
	cable        int    // place in feeds.cables
	end          int    // place in the cable's ends
	need         int    // place in wiring.needs; -1 for an adapter's start
	piece        int    // of the item that is fed, 0 first
	number       int    // of like sockets on one piece, 0 first
}

// strand is one cable in use.
type strand struct {
	lead lead
	up   int // place of the feed that an adapter plugs onto; -1 at the supply
}

// feeds is which cable's plug sits in which socket.
type feeds struct {
	strands []strand
	all     []feed
}

// mostFeeds bounds the network that a build is worth. Small computers have a
// dozen sockets; beyond this the currents are not worked out.
const mostFeeds = 60

// plugAt is one plug that a plan has at hand.
type plugAt struct {
	strand, end int
	order       int // place among the cable's plugs of the same connector
}

// socketAt is one socket that wants a plug.
type socketAt struct {
	need, piece, number int
	strand              int // that begins here, for an adapter's start
}

// feedsOf finds out which plug goes where in the best plan: the assignment says
// how many plugs of a kind go into sockets of a kind, and this says which ones.
// Bought cables are used before those in the supply's box; of cables with several
// like plugs, auxiliary and processor sockets get one plug each before any gets a
// second from the same cable, while drives hang on one cable as long as it has
// plugs left; the plug that announces most goes to the part that draws most. ok is
// false where there are too many sockets to follow.
func (w *wiring) feedsOf() (out *feeds, ok bool) {
	w.plan.use = append(w.plan.use[:0], w.best.use...)
	if !w.assign() {
		return nil, false
	}
	total := w.best.adapters
	for t := range w.tokens {
		total += w.best.filled[t] + w.best.extra[t]
	}
	if total > mostFeeds {
		return nil, false
	}
	f := &feeds{}
	plugs, starts := w.pickStrands(f, total)
	n := len(w.tokens)
	for right := range 3 * n {
		sockets := w.socketsOf(right)
		if right < n {
			sockets = starts[right]
		}
		for left := range 2 * n {
			for range w.matching.flow[left*3*n+right] {
				if len(sockets) == 0 || len(plugs[left]) == 0 {
					return nil, false
				}
				f.join(w, left%n, right%n, plugs[left][0], sockets[0])
				plugs[left], sockets = plugs[left][1:], sockets[1:]
			}
		}
	}
	w.extend(f)
	return f, true
}

// pickStrands chooses the cables in use, at most so many of a kind as there are
// sockets, and sorts their plugs by left node of the assignment. starts are the
// sockets' side of adapters by the connector that they plug onto.
func (w *wiring) pickStrands(f *feeds, most int) (plugs [][]plugAt, starts [][]socketAt) {
	n := len(w.tokens)
	plugs, starts = make([][]plugAt, 2*n), make([][]socketAt, n)
	left := slices.Clone(w.best.use)
	for i := range left {
		left[i] = min(left[i], most)
	}
	for _, bought := range []bool{true, false} {
		for _, l := range w.leads {
			if (l.index < 0) != bought {
				continue
			}
			for range min(l.count, left[l.kind]) {
				left[l.kind]--
				w.pickStrand(f, l, plugs, starts)
			}
		}
	}
	for i := range plugs {
		w.sortPlugs(f, w.tokens[i%max(1, n)], plugs[i])
	}
	return plugs, starts
}

func (w *wiring) pickStrand(f *feeds, l lead, plugs [][]plugAt, starts [][]socketAt) {
	at, n, k := len(f.strands), len(w.tokens), &w.cables[l.kind]
	f.strands = append(f.strands, strand{l, -1})
	level := 0
	if k.adapter() {
		level = 1
		starts[k.from] = append(starts[k.from], socketAt{need: -1, strand: at})
	}
	for end, token := range k.plugs {
		order := 0
		for _, other := range k.plugs[:end] {
			if other == token {
				order++
			}
		}
		plugs[level*n+token] = append(plugs[level*n+token], plugAt{at, end, order})
	}
}

// sortPlugs puts like plugs in the order in which they are used.
func (w *wiring) sortPlugs(f *feeds, connector string, plugs []plugAt) {
	announced := func(p plugAt) float64 { return f.strands[p.strand].lead.cable.Ends[p.end].GetSenseW() }
	slices.SortStableFunc(plugs, func(a, b plugAt) int {
		switch {
		case highPower(connector):
			return cmp.Compare(announced(b), announced(a))
		case chained(connector):
			return cmp.Compare(a.strand, b.strand)
		}
		return cmp.Compare(a.order, b.order)
	})
}

// chained reports whether cables carry several of these plugs one behind the
// other, for drives.
func chained(connector string) bool {
	switch connector {
	case standards.ConnectorSATA, standards.ConnectorPeripheral4, standards.ConnectorFloppy4:
		return true
	}
	return false
}

// socketsOf lists the sockets of a right node of the assignment, needed ones and
// dispensable ones apart.
func (w *wiring) socketsOf(right int) []socketAt {
	n := len(w.tokens)
	if right < n {
		return nil
	}
	var out []socketAt
	for i := range w.needs {
		need := &w.needs[i]
		if need.token != right%n || need.dispensable != (right >= 2*n) {
			continue
		}
		for k := range min(need.count, mostFeeds) {
			out = append(out, socketAt{need: i, piece: k / need.each, number: k % need.each, strand: -1})
		}
	}
	if highPower(w.tokens[right%n]) {
		draws := func(s socketAt) float64 { return w.needs[s.need].item.Part.GetCard().GetDemand().GetSustainedW() }
		slices.SortStableFunc(out, func(a, b socketAt) int { return cmp.Compare(draws(b), draws(a)) })
	}
	return out
}

// join notes that a plug sits in a socket.
func (f *feeds) join(w *wiring, plug, socket int, p plugAt, s socketAt) {
	if s.need < 0 {
		f.strands[s.strand].up = len(f.all)
	}
	f.all = append(f.all, feed{
		plug: w.tokens[plug], socket: w.tokens[socket], cable: p.strand, end: p.end,
		need: s.need, piece: s.piece, number: s.number,
	})
}

// extend puts the extensions that the build lists between a cable and its socket,
// where the plan has no need of them: who lists an extension means to use it.
func (w *wiring) extend(f *feeds) {
	for _, l := range w.leads {
		k := &w.cables[l.kind]
		if !k.adapter() || len(k.plugs) != 1 {
			continue
		}
		for range min(l.count, w.cables[l.kind].count-w.best.use[l.kind]) {
			at := w.extendable(f, k)
			if at < 0 || len(f.all) == mostFeeds {
				break
			}
			served := f.all[at]
			f.all[at].plug, f.all[at].cable, f.all[at].end = w.tokens[k.plugs[0]], len(f.strands), 0
			f.strands = append(f.strands, strand{l, len(f.all)})
			served.socket, served.need = w.tokens[k.from], -1
			f.all = append(f.all, served)
		}
	}
}

// extendable finds a plug of the supply's own cables that an extension goes onto,
// with a socket that its end fills; -1 where there is none.
func (w *wiring) extendable(f *feeds, k *cableKind) int {
	for i := range f.all {
		d := &f.all[i]
		if d.need < 0 || f.strands[d.cable].up >= 0 {
			continue
		}
		plug, socket := w.token(d.plug), w.token(d.socket)
		if w.fitOf(plug, k.from) == fullFit && w.fitOf(k.plugs[0], socket) == fullFit {
			return i
		}
	}
	return -1
}

// lengthOf is the length to an end of a cable in mm, 0 where it is not stated.
func lengthOf(cable *v1.Cable, end int) float64 { return cable.Ends[end].GetLengthMm() }
