package clearance

import (
	"slices"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/route"
	"slipfit.example/rules/solids"
)

// dataConnector is the plug of a cable between a board and a drive with the SATA
// bus.
const dataConnector = "sata-data"

// usualWires are the leads of the trade by their plugs, where they are not
// described: diameter, least bend radius and plug in mm (from memory, no source).
var usualWires = func() map[string]*v1.Cable {
	out := map[string]*v1.Cable{}
	for token, mm := range map[string][3]float64{
		"fan-4": {3, 6, 10}, "fan-3": {3, 6, 10}, "front-panel": {3, 6, 12}, "hd-audio": {4, 10, 14},
		"usb2-header": {4, 10, 14}, "usb3-19": {7, 20, 20}, "usb-c-key-a": {5, 15, 18}, dataConnector: {6, 20, 15},
	} {
		out[token] = &v1.Cable{DiameterMm: &mm[0], BendRadiusMm: &mm[1], PlugMm: &mm[2]}
	}
	return out
}()

var otherWire = func() *v1.Cable {
	diameter, bend, plug := 5.0, 15.0, 15.0
	return &v1.Cable{DiameterMm: &diameter, BendRadiusMm: &bend, PlugMm: &plug}
}()

// wire is what is known of a run's cable: its own figures, or for a lead what is
// usual.
func (r *run) wire() *v1.Cable {
	if r.cable != nil || !r.lead {
		return r.cable
	}
	if wire := usualWires[r.socket.GetConnector()]; wire != nil {
		return wire
	}
	return otherWire
}

// leads lists what runs to the board besides the supply's cables: the leads of the
// front panel, those of the fans, and the data cables of drives.
func leads(c *kit.Case, a *v1.Arrangement, l *laying) (out []run) {
	board := c.First(kit.KindBoard)
	if board == nil {
		return nil
	}
	pose, seat := poseOfSeat(a, board.ID, 0)
	if seat == nil {
		return nil
	}
	out = frontLeads(c, board, pose, &l.room)
	out = append(out, fanLeads(c, a, board, pose)...)
	return append(out, dataCables(c, a, board, pose, l)...)
}

// frontLeads are those whose headers the board has; the others are told elsewhere.
func frontLeads(c *kit.Case, board *kit.Item, pose geometry.Pose, room *route.Room) (out []run) {
	chassis := c.First(kit.KindChassis)
	for i, lead := range chassis.Part.GetChassis().GetFrontLeads() {
		headers := board.Part.GetBoard().GetHeaders()
		k := slices.IndexFunc(headers, func(h *v1.BoardHeader) bool { return h.GetKind() == lead.GetHeader() })
		if k < 0 {
			continue
		}
		field := "chassis.front_leads[" + digits(i) + "]"
		r := run{supply: chassis, to: board, lead: true, fixed: true, socket: &v1.PowerSocket{Connector: lead.Header, Dispensable: lead.Dispensable},
			length: c.Length(chassis, field+".length_mm", lead.LengthMm)}
		if lead.From == nil {
			r.missing = append(r.missing, c.Absent(chassis.At(field+".from"), "mm"))
		}
		r.toHeader(c, board, pose, k)
		if len(r.missing) == 0 {
			at := solids.PointOf(lead.From)
			r.from, r.placed = route.Terminal{At: at, Exit: inwards(room, at)}, true
		}
		out = append(out, r)
	}
	return out
}

// toHeader gives a lead its far end on a header of the board.
func (r *run) toHeader(c *kit.Case, board *kit.Item, pose geometry.Pose, k int) {
	header := board.Part.GetBoard().GetHeaders()[k]
	if header.At == nil {
		r.missing = append(r.missing, c.Absent(board.At("board.headers["+digits(k)+"].at"), "mm"))
		return
	}
	r.end = terminalAt(pose, mouth{solids.PointOf(header.At), geometry.MaxZ})
	r.end.Straight = r.plug()
}

// inwards is the way from the nearest wall of the room.
func inwards(room *route.Room, at geometry.Vec) geometry.Face {
	best, least := geometry.MinX, 0.0
	for f := geometry.MinX; f < geometry.NoFace; f++ {
		if off := (room.Within.At(f) - at[f.Axis()]) * f.Sign(); f == geometry.MinX || off < least {
			best, least = f.Opposite(), off
		}
	}
	return best
}

// dataCables are those of the drives with the SATA bus. Which cable goes to which
// drive is dealt as with the supply's.
func dataCables(c *kit.Case, a *v1.Arrangement, board *kit.Item, pose geometry.Pose, l *laying) (out []run) {
	token := dataConnector
	for it := range c.Items(kit.KindDrive) {
		drive := it.Part.GetDrive()
		if drive.GetBus() != "sata" || drive.GetFormFactor() == driveOnBoard {
			continue
		}
		for piece := range it.Count {
			r := run{supply: board, to: it, piece: piece, lead: true, socket: &v1.PowerSocket{Connector: &token}, assumed: true}
			at, seat := poseOfSeat(a, it.ID, piece)
			from, known := dataPort(board.Part.GetBoard())
			end, settled := customaryOnDrive(drive)
			if seat != nil && known && settled {
				r.from, r.end, r.placed = terminalAt(pose, from), terminalAt(at, end), true
				r.from.Straight, r.end.Straight = r.plug(), r.plug()
			}
			out = append(out, r)
		}
	}
	if len(out) == 0 {
		return nil
	}
	deal(c, out, dataPlugs(c), l.estimates(&l.data, c, a, out))
	return slices.DeleteFunc(out, func(r run) bool { return !r.placed })
}

// dataPort is where a board has its data sockets: where a header of that kind says,
// else at the edge opposite the rear near the slots (common practice, no source).
func dataPort(board *v1.Board) (m mouth, known bool) {
	for _, h := range board.GetHeaders() {
		if h.GetKind() == dataConnector && h.At != nil {
			return mouth{solids.PointOf(h.At), geometry.MaxZ}, true
		}
	}
	width, depth, known := outlineOf(board)
	return mouth{geometry.Vec{width * 0.8, depth - 8, socketHeight}, geometry.MaxZ}, known
}

// dataPlugs are the data cables of the build.
func dataPlugs(c *kit.Case) (out []stock) {
	for it := range c.Items(kit.KindCable) {
		cable := it.Part.GetCable()
		if cable.GetFrom() != dataConnector {
			continue
		}
		for i, end := range cable.Ends {
			out = append(out, stock{cable, it, end, [2]int{-1, i}, it.Count * countOf(cable.Count)})
		}
	}
	return out
}
