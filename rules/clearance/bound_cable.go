package clearance

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/solids"
)

// uncertain is by how much, in mm, a cable must miss the straight line between its ends
// for that to be certain: plugs that are bent aside start a hair beside their sockets.
const uncertain = 0.1

// boundCableLength finds supplies with no cable for one of the board's sockets that is as
// long as the straight line between the two, wherever the supply and the board go.
func boundCableLength(c *kit.Case) {
	d := boundDesk(c)
	if d == nil {
		return
	}
	supply, board := c.First(kit.KindSupply), c.First(kit.KindBoard)
	if supply == nil || board == nil || !c.Sought(supply) || c.Sought(d.chassis) || c.Sought(board) {
		return
	}
	settings := solids.Settings{ToleranceMM: d.tolerance()}
	if _, err := settings.Supply(supply.Part); err != nil {
		return // it has no place that cables start from
	}
	var pairs [][2]geometry.Pose // of the board and the supply
	for _, layout := range d.layouts {
		if !d.seats(supply, board, layout) {
			return
		}
		pairs = d.places(pairs, supply, board, layout)
	}
	stocks := plugs(c, supply, make([]stock, 0, 16))
	for i, socket := range board.Part.GetBoard().GetPowerSockets() {
		r := run{supply: supply, to: board, socket: socket, sockets: "board.power_sockets", nth: i}
		if !socket.GetDispensable() && r.extension(c) == nil && !r.mayReach(c, pairs, stocks) {
			c.Unfit()
			return
		}
	}
}

// seats reports whether all parts but the supply go together in a layout, the board among
// them. It is certain then that the supply goes with them and its cables are judged, or
// that it is in the way and does not fit.
func (d *desk) seats(supply, board *kit.Item, layout int) bool {
	p := d.planWithout(supply, layout, d.c.Build.GetArrangement())
	if p == nil || !p.seen || !p.found || !p.exhaustive {
		return false
	}
	index := d.indexOf(board)
	if d.indexOf(supply) < index {
		index--
	}
	seat := p.chosen.seatOf(index, 0)
	return seat != nil && seat.mount >= 0
}

// places appends where board and supply may go in a layout.
func (d *desk) places(out [][2]geometry.Pose, supply, board *kit.Item, layout int) [][2]geometry.Pose {
	shape := &kept.enclosureOf(d.chassis.Part).layouts[layout]
	s := &scene{shape: shape, pins: d.c.Build.GetArrangement().GetPlacements(),
		items: []seatedItem{{id: board.ID, count: board.Count}, {id: supply.ID, count: supply.Count}}}
	var boards []geometry.Pose
	s.openPlacesOf(0, v1.MountKind_MOUNT_KIND_BOARD, board.Part.GetBoard().GetFormFactor(), func(at *seatOf) { boards = append(boards, at.placed) })
	s.openPlacesOf(1, v1.MountKind_MOUNT_KIND_SUPPLY, supply.Part.GetSupply().GetFormFactor(), func(at *seatOf) {
		for _, b := range boards {
			out = append(out, [2]geometry.Pose{b, at.placed})
		}
	})
	return out
}

// openPlacesOf yields the places for all pieces of an item on the mounts that take its
// form factor.
func (s *scene) openPlacesOf(item int, kind v1.MountKind, form string, yield func(*seatOf)) {
	for _, m := range s.shape.mountsOf(kind) {
		for piece := range s.items[item].count {
			if m.takesForm(form) {
				s.openPlaces(item, piece, m, yield)
			}
		}
	}
}

// mayReach reports whether some cable is as long as the straight line to the socket in
// one of the places, the slack included. One that does not tell its length is no help.
func (r *run) mayReach(c *kit.Case, pairs [][2]geometry.Pose, stocks []stock) bool {
	socket, known := r.plugPlace(c)
	if !known {
		return true
	}
	slack := c.Parameter(r.slack()).Nominal
	for i := range stocks {
		s := &stocks[i]
		if s.end.LengthMm == nil || !fillsSocket(s.end.GetConnector(), r.socket.GetConnector()) {
			continue
		}
		by := run{supply: r.supply, cable: s.cable}
		outlet, known := by.outlet(c)
		if !known {
			return true
		}
		for _, at := range pairs {
			if s.end.GetLengthMm() >= at[0].Point(socket.at).Dist(at[1].Point(outlet.at))+slack-uncertain {
				return true
			}
		}
	}
	return false
}
