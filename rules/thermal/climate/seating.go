package climate

import (
	"math"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/solids"
)

// mountsAllowed yields the mounts of a kind in the layouts that the build leaves open.
func (p *Plan) mountsAllowed(kind v1.MountKind) func(func(*v1.Mount) bool) {
	layout := p.q.Build.GetArrangement().GetLayout()
	return func(yield func(*v1.Mount) bool) {
		for _, l := range p.chassis.GetLayouts() {
			for _, m := range l.GetMounts() {
				if (layout == "" || l.GetId() == layout) && m.GetKind() == kind && !yield(m) {
					return
				}
			}
		}
	}
}

// placesAt adds the places at a mount that an item may take by the build's choices: of a
// fan of a frame size those in the mount's row, of size 0 the mount's own.
func (p *Plan) placesAt(m *v1.Mount, item string, size uint32, dst []geometry.Pose) []geometry.Pose {
	pin := p.onlyPlacement(item)
	placed := pin != nil && pin.Position != nil && p.item(item).GetCount() <= 1 // else it is the first piece's
	if pin != nil && pin.Mount != nil && pin.GetMount() != m.GetId() {
		return dst
	}
	for i, pose := range m.GetPoses() {
		at, err := solids.PoseOf(pose)
		if err != nil || pin != nil && pin.Pose != nil && int(pin.GetPose()) != i {
			continue
		}
		for _, by := range shiftsOf(m, pin) {
			moved, err := geometry.NewPose(at.Rotation(), at.Origin().Add(by))
			if err != nil {
				moved = at
			}
			if size == 0 {
				dst = append(dst, moved)
				continue
			}
			for k := range rowOf(m, size) {
				frame, err := geometry.NewPose(geometry.Rotation{}, rowStart(m, size, k))
				if err == nil && (!placed || int(pin.GetPosition()) == k) {
					dst = append(dst, moved.After(frame))
				}
			}
		}
	}
	return dst
}

// onlyPlacement is the placement of an item that has one for all its pieces, else nil.
func (p *Plan) onlyPlacement(item string) (only *v1.Placement) {
	for _, pl := range p.q.Build.GetArrangement().GetPlacements() {
		if pl.GetItem() != item {
			continue
		}
		if only != nil || pl.Count != nil {
			return nil
		}
		only = pl
	}
	return only
}

// shiftsOf are the settings of a mount's travels that a placement leaves open.
func shiftsOf(m *v1.Mount, pin *v1.Placement) []geometry.Vec {
	all := []geometry.Vec{{}}
	for i, t := range m.GetTravels() {
		along := solids.FaceOf(t.GetAlong())
		if along == geometry.NoFace {
			continue
		}
		var next []geometry.Vec
		for _, before := range all {
			for _, mm := range t.GetOffsetsMm() {
				if pin != nil && i < len(pin.GetOffsetsMm()) && math.Abs(pin.GetOffsetsMm()[i]-mm) > 1e-6 {
					continue
				}
				next = append(next, before.Add(along.Normal().Scale(mm)))
			}
		}
		if len(t.GetOffsetsMm()) > 0 {
			all = next
		}
	}
	return all
}

// rowOf is how many fans of a size find room on the row of a mount: its count is for the
// largest size.
func rowOf(m *v1.Mount, size uint32) int {
	count := 1
	if m.Count != nil {
		count = int(*m.Count)
	}
	if size == 0 || largestOf(m) == 0 {
		return count
	}
	return max(1, int(largestOf(m))*count/int(size))
}

func largestOf(m *v1.Mount) (size uint32) {
	for _, s := range m.GetSizesMm() {
		size = max(size, s)
	}
	return size
}

// rowStart is where a fan's frame lies in the mount's frame: the row is in the middle,
// both ways.
func rowStart(m *v1.Mount, size uint32, position int) geometry.Vec {
	count := 1.0
	if m.Count != nil {
		count = float64(*m.Count)
	}
	largest := float64(max(largestOf(m), size))
	return geometry.Vec{(largest*count-float64(rowOf(m, size))*float64(size))/2 + float64(position)*float64(size), (largest - float64(size)) / 2, 0}
}
