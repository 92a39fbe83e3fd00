package clearance

import (
	"math"

	v1 "slipfit.example/proto/slipfit/v1"
)

// pinsOf are the fixed choices that hold for one piece of an item. As many choices
// as pieces hold for one piece each; otherwise each piece may follow any of them.
func (s *scene) pinsOf(item, piece int) (out []*v1.Placement) {
	for _, p := range s.pins {
		if p.GetItem() == s.items[item].id {
			out = append(out, p)
		}
	}
	if len(out) > 1 && len(out) == s.items[item].count {
		return out[piece : piece+1]
	}
	return out
}

// allows reports whether the fixed choices leave a seat open.
func allows(pins []*v1.Placement, mount *v1.Mount, seat *seatOf) bool {
	if len(pins) == 0 {
		return true
	}
	for _, p := range pins {
		if fits(p, mount, seat) {
			return true
		}
	}
	return false
}

func fits(p *v1.Placement, mount *v1.Mount, seat *seatOf) bool {
	switch {
	case p.Mount != nil && p.GetMount() != mount.GetId(),
		p.Pose != nil && int(p.GetPose()) != seat.pose,
		p.Side != nil && p.GetSide() != seat.side,
		p.Position != nil && int(p.GetPosition()) != seat.position,
		p.FansOutside != nil && seat.outside != nil && *p.FansOutside != *seat.outside:
		return false
	}
	for i, mm := range p.OffsetsMm {
		if i < len(seat.offsets) && math.Abs(seat.offsets[i]-mm) > 1e-6 {
			return false
		}
	}
	return true
}
