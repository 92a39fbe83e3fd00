package clearance

import (
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/route"
	"slipfit.example/rules/solids"
)

// leadingFan is one loose fan with the box that its lead leaves.
type leadingFan struct {
	it    *kit.Item
	piece int
	box   geometry.Box
}

// fanLeads are those of the loose fans, each to a header of its own, so that all
// ways together are the shortest. Fans that find no header left share one by a
// splitter of the build, whose branch lengthens their lead; without a splitter they
// are told elsewhere.
func fanLeads(c *kit.Case, a *v1.Arrangement, board *kit.Item, pose geometry.Pose) (out []run) {
	fans, places := leadingFans(c, a), fanHeaders(c, board)
	if len(fans) == 0 || len(places) == 0 {
		return nil
	}
	fans = fans[:min(len(fans), dealtSockets)]
	cost := make([][]int64, len(fans))
	for i := range fans {
		for j := range len(places) + len(fans) {
			way := costBare
			if j < len(places) {
				way = fans[i].wayTo(board, pose, places[j])
			}
			cost[i] = append(cost[i], way)
		}
	}
	splitters := fanSplitters(c)
	for i, j := range assign(cost) {
		f := &fans[i]
		length := c.Length(f.it, "fan.lead_mm", f.it.Part.GetFan().LeadMm)
		if j >= len(places) {
			if len(splitters) == 0 {
				continue
			}
			length = c.Sum("mm", length, splitters[0])
			splitters = splitters[1:]
			j = 0
			for k := range places {
				if cost[i][k] < cost[i][j] {
					j = k
				}
			}
		}
		kind := board.Part.GetBoard().GetHeaders()[places[j]].Kind
		r := run{supply: f.it, to: board, piece: f.piece, lead: true, fixed: true, socket: &v1.PowerSocket{Connector: kind}, length: length}
		r.toHeader(c, board, pose, places[j])
		if len(r.missing) == 0 {
			r.from, r.placed = f.corner(r.end.At), true
		}
		out = append(out, r)
	}
	return out
}

// leadingFans lists the loose fans that have boxes, or ride on a radiator that has.
func leadingFans(c *kit.Case, a *v1.Arrangement) (out []leadingFan) {
	for it := range c.Items(kit.KindFan) {
		for piece := range it.Count {
			box, ok := boxOfPiece(a, it.ID, piece)
			if !ok {
				box, ok = rowBeside(a, it.ID)
			}
			if ok {
				out = append(out, leadingFan{it, piece, box})
			}
		}
	}
	return out
}

func boxOfPiece(a *v1.Arrangement, item string, piece int) (geometry.Box, bool) {
	for _, b := range a.GetBoxes() {
		if b.GetItem() == item && int(b.GetPiece()) == piece && b.GetPurpose() <= v1.Purpose_PURPOSE_SOLID {
			box, err := solids.BoxOf(b.GetExtent())
			return box, err == nil
		}
	}
	return geometry.Box{}, false
}

// rowBeside is the row of fans on the radiator that has a fan's mount.
func rowBeside(a *v1.Arrangement, fan string) (geometry.Box, bool) {
	for _, s := range a.GetSeats() {
		for _, other := range a.GetSeats() {
			if s.GetItem() != fan || other.GetMount() != s.GetMount() || other.GetItem() == fan {
				continue
			}
			for _, b := range a.GetBoxes() {
				if b.GetItem() == other.GetItem() && strings.HasPrefix(b.GetBody(), "fans-") {
					box, err := solids.BoxOf(b.GetExtent())
					return box, err == nil
				}
			}
		}
	}
	return geometry.Box{}, false
}

// fanHeaders are the headers that loose fans may take, each as often as it is
// there. Those for the processor's cooler are left to it.
func fanHeaders(c *kit.Case, board *kit.Item) (places []int) {
	cooled := c.First(kit.KindAirCooler) != nil || c.First(kit.KindLiquidLoop) != nil
	for k, h := range board.Part.GetBoard().GetHeaders() {
		if h.GetKind() != "fan-4" && h.GetKind() != "fan-3" || cooled && strings.Contains(h.GetId(), "cpu") {
			continue
		}
		for range min(countOf(h.Count), dealtSockets-len(places)) {
			places = append(places, k)
		}
	}
	return places
}

// fanSplitters are the branches that the splitters of the build add, by length.
func fanSplitters(c *kit.Case) (out []kit.Value) {
	for it := range c.Items(kit.KindCable) {
		cable := it.Part.GetCable()
		if from := cable.GetFrom(); from != "fan-4" && from != "fan-3" || len(cable.Ends) < 2 {
			continue
		}
		for range min(it.Count*countOf(cable.Count), dealtSockets) {
			for i := 1; i < len(cable.Ends); i++ {
				out = append(out, c.Length(it, "cable.ends["+digits(i)+"].length_mm", cable.Ends[i].LengthMm))
			}
		}
	}
	return out
}

// wayTo is how far a header lies from a fan along the axes, in tenths of a mm.
func (f *leadingFan) wayTo(board *kit.Item, pose geometry.Pose, k int) int64 {
	header := board.Part.GetBoard().GetHeaders()[k]
	if header.At == nil {
		return costUntold
	}
	at, way := pose.Point(solids.PointOf(header.At)), 0.0
	for axis := range at {
		way += max(0, f.box.Min()[axis]-at[axis], at[axis]-f.box.Max()[axis])
	}
	return int64(way * 10)
}

// corner is where a fan's lead leaves it: the corner of its frame nearest to the
// header, since a fan can be turned so (common practice, no source).
func (f *leadingFan) corner(to geometry.Vec) route.Terminal {
	out := route.Terminal{Exit: geometry.MaxX}
	farthest := -1.0
	for axis := range out.At {
		low, high := f.box.Min()[axis], f.box.Max()[axis]
		upper := to[axis]-low > high-to[axis]
		out.At[axis] = low
		off := low - to[axis]
		if upper {
			out.At[axis], off = high, to[axis]-high
		}
		if off > farthest {
			farthest, out.Exit = off, geometry.FaceOf(geometry.Axis(axis), upper)
		}
	}
	return out
}
