package power

import (
	"cmp"
	"slices"
	"strconv"

	"slipfit.example/rules/electric"
)

// markWanted notes which rails each plug has to bring: those that are drawn from
// where it leads to, and the return.
func (b *builder) markWanted() {
	f := b.c.feeds
	b.wants = make([][railCount + 1]bool, len(f.all))
	for i, s := range b.sites {
		if s < 0 {
			continue
		}
		for r := range railCount + 1 {
			if b.c.sites[s].nodes[r] == 0 || !b.carries(i, r) {
				continue
			}
			for at := i; at >= 0; at = f.strands[f.all[at].cable].up {
				b.wants[at][r] = true
			}
		}
	}
}

// carries reports whether every plug on the way to a socket has contacts for a rail.
func (b *builder) carries(feed, rail int) bool {
	f := b.c.feeds
	for at := feed; at >= 0; at = f.strands[f.all[at].cable].up {
		if d := &f.all[at]; contactsOf(d.plug, d.socket, rail) == 0 {
			return false
		}
	}
	return true
}

// lay runs every cable from where it begins to its plugs in use.
func (b *builder) lay() {
	f := b.c.feeds
	ends := make([][railCount + 1]electric.Node, len(f.all))
	b.c.ends, b.c.starts = ends, make([][railCount + 1]electric.Node, len(f.strands))
	for i, s := range b.sites {
		if s >= 0 {
			ends[i] = b.c.sites[s].nodes
			continue
		}
		for r, wanted := range b.wants[i] {
			if wanted {
				ends[i][r] = b.n.Node(b.nameOf(i, r) + ", adapter")
			}
		}
	}
	for at := range f.strands {
		run := run{builder: b, at: at, strand: &f.strands[at], plugs: b.plugsOf(at), ends: ends}
		for r := range railCount + 1 {
			start := electric.Return
			switch up := run.strand.up; {
			case up >= 0:
				start = ends[up][r]
			case r != ground:
				start = b.rails[r]
			}
			b.c.starts[at][r] = start
			run.lay(r, start)
		}
	}
}

// plugsOf lists the plugs in use of one cable, the nearest first.
func (b *builder) plugsOf(strand int) []int {
	var out []int
	for i := range b.c.feeds.all {
		if b.c.feeds.all[i].cable == strand {
			out = append(out, i)
		}
	}
	slices.SortFunc(out, func(x, y int) int {
		p, q := &b.c.feeds.all[x], &b.c.feeds.all[y]
		cable := b.c.feeds.strands[strand].lead.cable
		return cmp.Or(cmp.Compare(lengthOf(cable, p.end), lengthOf(cable, q.end)), cmp.Compare(p.end, q.end))
	})
	return out
}

func (b *builder) nameOf(feed, rail int) string {
	return "plug " + strconv.Itoa(feed) + ", " + railNames[rail]
}

// run is one cable while it is laid.
type run struct {
	*builder
	at     int
	strand *strand
	plugs  []int // feeds, the nearest first
	ends   [][railCount + 1]electric.Node
}

// lay runs one rail of the cable from where it starts. Plugs at growing lengths
// hang one behind the other; plugs at one length have wires of their own.
func (t *run) lay(r int, start electric.Node) {
	last := -1
	var begin electric.Node
	for _, i := range t.plugs {
		if !t.wants[i][r] {
			continue
		}
		f, l := &t.c.feeds.all[i], &t.c.legs[i][r]
		l.wires, l.contacts = t.strand.wiresOn(r, f.plug, f.socket), contactsOf(f.plug, f.socket, r)
		mm := t.strand.toFirst(f.end)
		switch {
		case last < 0:
			start = t.leave(i, r, start)
			begin = start
		case t.strand.behind(last, f.end):
			mm = t.strand.onward(last, f.end)
		default:
			begin = start
		}
		plug := t.n.Node(t.nameOf(i, r))
		from, to := begin, plug
		if r == ground { // the return's current flows towards the supply
			from, to = to, from
		}
		l.wire = t.n.AddConductor(electric.Conductor{Name: t.nameOf(i, r), From: from, To: to, Wire: t.strand.wire(f.plug, l.wires, mm)})
		l.contact = t.contact(i, r, plug, t.ends[i][r], contactOhms(f.plug), l.carriers(f.plug))
		begin, last = plug, f.end
	}
}

// leave adds the contacts with which a modular cable begins.
func (t *run) leave(feed, r int, start electric.Node) electric.Node {
	if !t.strand.detachable() {
		return start
	}
	inner := t.n.Node(t.nameOf(feed, r) + ", supply")
	ohms := ohms42
	if plug := t.c.feeds.all[feed].plug; highPower(plug) {
		ohms = contactOhms(plug)
	}
	t.contact(feed, r, start, inner, ohms, t.c.legs[feed][r].wires)
	return inner
}

// contact adds contacts side by side on a rail's way outwards from a to b.
func (t *run) contact(feed, r int, a, b electric.Node, one electric.Range, count int) electric.Element {
	if r == ground {
		a, b = b, a
	}
	k := 1 / float64(count)
	return t.n.AddContact(electric.Contact{Name: t.nameOf(feed, r) + ", contacts", From: a, To: b,
		Ohms: electric.Range{Low: one.Low * k, Nominal: one.Nominal * k, High: one.High * k}})
}

// behind reports whether one end of the cable hangs behind another.
func (s *strand) behind(last, end int) bool {
	a, b := lengthOf(s.lead.cable, last), lengthOf(s.lead.cable, end)
	return a == 0 || b == 0 || b > a
}

// foreignShare is the share of a cable's drop that the supply's promise does not
// cover. Its guide's limits hold at the end of its own harness; behind that every
// adapter counts in full, and of a cable that was bought to replace one of the
// supply's own only what it drops more than that.
func (b *builder) foreignShare(s *strand, at int) float64 {
	if s.up >= 0 {
		return 1
	}
	if s.lead.index >= 0 {
		return 0
	}
	share := 1.0
	for _, i := range b.plugsOf(at) {
		f := &b.c.feeds.all[i]
		for _, own := range b.w.leads {
			if own.index < 0 || own.cable.GaugeAwg == nil || s.lead.cable.GaugeAwg == nil {
				continue
			}
			for e, end := range own.cable.Ends {
				mine, theirs := lengthOf(s.lead.cable, f.end), lengthOf(own.cable, e)
				if end.GetConnector() != f.plug || mine == 0 || theirs == 0 {
					continue
				}
				ratio := theirs / mine * electric.Gauge(s.lead.cable.GetGaugeAwg()).AreaMM2() / electric.Gauge(own.cable.GetGaugeAwg()).AreaMM2()
				share = min(share, max(0, 1-ratio))
			}
		}
	}
	return share
}
