package clearance

import (
	"cmp"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

// run is one cable of the build, or one that is needed, from the supply to a
// socket of a part; or a lead, a data cable or a riser from what it leaves.
type run struct {
	supply, to *kit.Item // supply: what the cable leaves
	piece      int       // of the part, 0 first
	socket     *v1.PowerSocket
	sockets    string // path of the part's sockets
	nth        int    // of this one among them

	ribbon *ribbon   // of a riser; nil for a cable of the supply
	lead   bool      // of the front panel or a fan, or a data cable
	fixed  bool      // the lead is part of what it leaves
	cable  *v1.Cable // nil: the build has none for the socket
	item   *kit.Item // that the cable is; nil where it came with the supply
	length kit.Value // of the cable from end to end; missing where there is none

	number  int         // among the runs of the build
	placed  bool        // both ends have a place in the enclosure
	assumed bool        // the place of one is what is customary
	missing []kit.Value // what keeps an end from having a place
	enough  bool        // the upper bound shows that the cable reaches
	laid
}

// fillsSocket reports whether a cable's plug fills a socket.
func fillsSocket(plug, socket string) bool {
	return plug == socket || filled[[2]string{plug, socket}]
}

// filled are the pairs of unlike plug and socket of which the plug fills the socket.
var filled = func() map[[2]string]bool {
	out := map[[2]string]bool{}
	for _, m := range standards.Matings() {
		if m.Fits && !m.Partial {
			out[[2]string{m.Plug, m.Socket}] = true
		}
	}
	return out
}()

// stock is a plug at a cable's end that a socket may still take.
type stock struct {
	cable *v1.Cable
	item  *kit.Item // nil where it came with the supply
	end   *v1.CableEnd
	place [2]int // of the cable in the supply, -1 for one of its own, and of the end
	left  int
}

// plugs lists the ends of all cables that go into a supply's outlets: first
// those that the build names, then those of the supply; within a cable the
// nearest plug first.
func plugs(c *kit.Case, supply *kit.Item, out []stock) []stock {
	part := supply.Part.GetSupply()
	for it := range c.Items(kit.KindCable) {
		cable := it.Part.GetCable()
		if cable.Pinout != nil && part.Pinout != nil && cable.GetPinout() != part.GetPinout() {
			continue // the power rules tell why it must not be used
		}
		if standards.Known(standards.VocabConnector, cable.GetFrom()) {
			continue // an extension: see extended
		}
		for i, end := range cable.Ends {
			out = append(out, stock{cable, it, end, [2]int{-1, i}, it.Count * countOf(cable.Count)})
		}
	}
	for k, cable := range part.Cables {
		for i, end := range cable.Ends {
			out = append(out, stock{cable, nil, end, [2]int{k, i}, countOf(cable.Count)})
		}
	}
	return out
}

// countOf reads a number of pieces; absent counts as one.
func countOf(n *uint32) int {
	if n == nil {
		return 1
	}
	return int(*n)
}

// field is the path of the end's length, from the part that is the cable or has it.
func (s *stock) field() string {
	if s.place[0] < 0 {
		return "cable.ends[" + digits(s.place[1]) + "].length_mm"
	}
	return "supply.cables[" + digits(s.place[0]) + "].ends[" + digits(s.place[1]) + "].length_mm"
}

// runs lists what has to be laid: each socket that needs a cable, with the cable
// that goes there, and both ends placed in an arrangement.
func runs(c *kit.Case, supply *kit.Item, a *v1.Arrangement, l *laying) []run {
	all := make([]run, 0, 8)
	for it := range c.AllItems() {
		sockets, field := socketsOf(it)
		for i, socket := range sockets {
			for piece := range it.Count {
				for range countOf(socket.Count) {
					all = append(all, run{supply: supply, to: it, piece: piece, socket: socket, sockets: field, nth: i})
				}
			}
		}
	}
	deal(c, all, plugs(c, supply, make([]stock, 0, 16)), l.estimates(&l.power, c, a, all))
	out := all[:0]
	for _, r := range all {
		if r.cable == nil && r.socket.GetDispensable() {
			continue
		}
		r.number = len(out)
		r.place(c, a)
		out = append(out, r)
	}
	return out
}

// take gives a run a plug, and lengthens its cable by an extension where the build
// has one. Nil says that there is none for it.
func (r *run) take(c *kit.Case, s *stock) {
	if s == nil {
		r.length = c.Absent(r.supply.At("supply.cables"), "mm")
		if r.lead {
			r.length = c.Absent(noItem, "mm")
		}
		return
	}
	r.cable, r.item = s.cable, s.item
	r.length = c.Length(cmp.Or(s.item, r.supply), s.field(), s.end.LengthMm)
	if extension := r.extension(c); extension != nil {
		r.item = extension
		end := extension.Part.GetCable().Ends[0]
		r.length = c.Sum("mm", r.length, c.Length(extension, "cable.ends[0].length_mm", end.LengthMm))
	}
}

// extension is a cable of the build that lengthens this one: it starts at the
// plug and ends in one for the same socket.
func (r *run) extension(c *kit.Case) *kit.Item {
	for it := range c.Items(kit.KindCable) {
		cable := it.Part.GetCable()
		if standards.Known(standards.VocabConnector, cable.GetFrom()) && len(cable.Ends) == 1 &&
			fillsSocket(cable.GetFrom(), r.socket.GetConnector()) && fillsSocket(cable.Ends[0].GetConnector(), r.socket.GetConnector()) {
			return it
		}
	}
	return nil
}

// socketsOf lists the sockets for the supply's cables that a part has.
func socketsOf(it *kit.Item) (sockets []*v1.PowerSocket, field string) {
	switch it.Kind {
	case kit.KindBoard:
		return it.Part.GetBoard().PowerSockets, "board.power_sockets"
	case kit.KindCard:
		return it.Part.GetCard().PowerSockets, "card.power_sockets"
	case kit.KindDrive:
		return it.Part.GetDrive().PowerSockets, "drive.power_sockets"
	}
	return nil, ""
}

// thickness is the cable's diameter in mm: its own, else what is customary for
// its connector (common practice, no source).
func (r *run) thickness() float64 {
	if r.ribbon != nil {
		return ribbonThickness
	}
	if mm := r.wire().GetDiameterMm(); mm > 0 {
		return mm
	}
	switch r.socket.GetConnector() {
	case standards.ConnectorMain24:
		return 12
	case standards.Connector12V2x6, standards.Connector12VHPWR:
		return 10
	case standards.ConnectorSATA:
		return 6
	}
	return 8
}

// bend is the least radius that the cable may be bent to, in mm.
func (r *run) bend() float64 {
	if r.ribbon != nil {
		if mm := r.ribbon.riser.GetBendRadiusMm(); mm > 0 {
			return mm
		}
		return ribbonBend
	}
	if mm := r.wire().GetBendRadiusMm(); mm > 0 {
		return mm
	}
	return standards.CableBendFactor.Value * r.thickness()
}
