package power

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

// wiring is what sockets of the parts ask for and what cables bring.
type wiring struct {
	tokens   []string // connectors by number
	needs    []need
	cables   []cableKind
	leads    []lead
	outlets  []outletKind
	doubts   []kit.Value // what keeps a cable from being counted
	plan     plan
	best     plan
	matching matching
}

// need is a number of like sockets of one item.
type need struct {
	item        *kit.Item
	token       int
	count       int
	each        int // of them on one piece of the item
	dispensable bool
	value       kit.Value
}

// cableKind is a number of like cables: same start, same plugs.
type cableKind struct {
	outlet int   // of a modular cable; -1 for captive ones
	from   int   // connector that an adapter plugs onto; -1 for cables of the supply
	plugs  []int // connectors at the load's end
	count  int
}

// adapter reports whether the cable takes its power from another cable's plug.
func (k *cableKind) adapter() bool { return k.from >= 0 }

// lead is a number of like cables of one document: they differ from others of
// their kind in gauge and length.
type lead struct {
	cable *v1.Cable
	item  *kit.Item // the supply, or the cable itself
	index int       // place in the supply's list; -1 for one listed on its own
	count int
	kind  int
}

// outletKind is a number of like modular sockets of the supply.
type outletKind struct {
	socket string
	count  int
}

func (w *wiring) token(connector string) int {
	for i, t := range w.tokens {
		if t == connector {
			return i
		}
	}
	w.tokens = append(w.tokens, connector)
	return len(w.tokens) - 1
}

// fitOf tells how a plug goes into a socket.
func (w *wiring) fitOf(plug, socket int) fit {
	if plug == socket {
		return fullFit
	}
	return knownFits[[2]string{w.tokens[plug], w.tokens[socket]}]
}

// knownFits are the pairs of unlike connectors that go together.
var knownFits = func() map[[2]string]fit {
	out := map[[2]string]fit{}
	for _, m := range standards.Matings() {
		switch {
		case m.Fits && m.Partial:
			out[[2]string{m.Plug, m.Socket}] = partialFit
		case m.Fits:
			out[[2]string{m.Plug, m.Socket}] = fullFit
		}
	}
	return out
}()

// read takes in the build's sockets and cables.
func (w *wiring) read(c *kit.Case, supply *kit.Item) {
	w.tokens, w.needs, w.outlets, w.doubts = w.tokens[:0], w.needs[:0], w.outlets[:0], w.doubts[:0]
	w.cables, w.leads = w.cables[:0], w.leads[:0]
	for it := range c.AllItems() {
		switch it.Kind {
		case kit.KindBoard:
			w.readSockets(c, it, it.Part.GetBoard().PowerSockets, boardSocketPath)
		case kit.KindCard:
			w.readSockets(c, it, it.Part.GetCard().PowerSockets, cardSocketPath)
		case kit.KindDrive:
			w.readSockets(c, it, it.Part.GetDrive().PowerSockets, driveSocketPath)
		}
	}
	if supply == nil {
		return
	}
	w.readSupply(c, supply)
	for it := range c.Items(kit.KindCable) {
		w.readCable(c, supply, it)
	}
}

func (w *wiring) readSockets(c *kit.Case, it *kit.Item, sockets []*v1.PowerSocket, paths *indexedPath) {
	for i, s := range sockets {
		w.needs = append(w.needs, need{
			item: it, token: w.token(s.GetConnector()), count: it.Count * counted(s.Count), each: counted(s.Count),
			dispensable: s.GetDispensable(), value: c.Word(it, paths.at(i), s.Connector),
		})
	}
}

// readSupply takes in the outlets and the cables in the supply's box. Without
// outlets all cables are fixed to it.
func (w *wiring) readSupply(c *kit.Case, supply *kit.Item) {
	part := supply.Part.GetSupply()
	for _, o := range part.Outlets {
		if i := w.outlet(o.GetSocket()); i >= 0 {
			w.outlets[i].count += counted(o.Count)
			continue
		}
		w.outlets = append(w.outlets, outletKind{o.GetSocket(), counted(o.Count)})
	}
	for i, cable := range part.Cables {
		outlet := -1
		if !cable.GetCaptive() && len(part.Outlets) > 0 {
			if outlet = w.outlet(cable.GetFrom()); outlet < 0 {
				w.doubts = append(w.doubts, c.Absent(supply.At(supplyCablePath.at(i)), ""))
				continue
			}
		}
		w.addCable(outlet, -1, cable.Ends, lead{cable: cable, item: supply, index: i, count: counted(cable.Count)})
	}
}

// readCable takes in a cable that is listed on its own: an adapter or extension
// where it starts at a connector, a modular cable where it starts at an outlet of
// the supply. One of another pin-out is never counted.
func (w *wiring) readCable(c *kit.Case, supply, it *kit.Item) {
	cable, part := it.Part.GetCable(), supply.Part.GetSupply()
	bought := lead{cable: cable, item: it, index: -1, count: it.Count * counted(cable.Count)}
	if outlet := w.outlet(cable.GetFrom()); outlet >= 0 {
		if cable.Pinout == nil || part.Pinout == nil || *cable.Pinout == *part.Pinout {
			w.addCable(outlet, -1, cable.Ends, bought)
		}
		return
	}
	switch {
	case cable.Pinout != nil:
		// Made for a modular socket that this supply does not list.
		w.doubts = append(w.doubts, c.Absent(supply.At("supply.outlets"), ""))
	case standards.Known(standards.VocabConnector, cable.GetFrom()):
		w.addCable(-1, w.token(cable.GetFrom()), cable.Ends, bought)
	case modular(part, cable):
		w.doubts = append(w.doubts, c.Absent(it.At("cable.from"), ""))
	}
}

func (w *wiring) outlet(socket string) int {
	for i := range w.outlets {
		if w.outlets[i].socket == socket {
			return i
		}
	}
	return -1
}

// addCable counts a cable with its like, and notes which one it is.
func (w *wiring) addCable(outlet, from int, ends []*v1.CableEnd, which lead) {
	n := len(w.cables)
	if n < cap(w.cables) {
		w.cables = w.cables[:n+1]
	} else {
		w.cables = append(w.cables, cableKind{})
	}
	k := &w.cables[n]
	k.outlet, k.from, k.count, k.plugs = outlet, from, which.count, k.plugs[:0]
	which.kind = n
	for _, end := range ends {
		k.plugs = append(k.plugs, w.token(end.GetConnector()))
	}
	for i := range w.cables[:n] {
		if like := &w.cables[i]; like.outlet == outlet && like.from == from && equal(like.plugs, k.plugs) {
			like.count += which.count
			w.cables = w.cables[:n]
			which.kind = i
			break
		}
	}
	w.leads = append(w.leads, which)
}

func equal(a, b []int) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}
