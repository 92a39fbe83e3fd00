package clearance

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/arrange"
	"slipfit.example/rules/geometry"
)

// at places a mount's pose at one of its settings.
func (m *mountShape) at(pose int, by shift) geometry.Pose {
	p := m.poses[pose]
	moved, err := geometry.NewPose(p.Rotation(), p.Origin().Add(by.by))
	if err != nil {
		return p // a pose that was good and moved by at most 3 m is good
	}
	return moved
}

// within is the limit that a mount's space sets to the matter of a part: only what
// it is short of counts, since spaces are drawn as tight as their parts.
func (m *mountShape) within(s *geometry.Solid) []arrange.Limit {
	if !m.bound {
		return nil
	}
	excess := 0.0
	low, high := m.space.Min(), m.space.Max()
	for i := range s.Pieces {
		if s.Pieces[i].Purpose != geometry.PurposeSolid {
			continue
		}
		a, b := s.Pieces[i].Box.Min(), s.Pieces[i].Box.Max()
		for k := range low {
			excess = max(excess, low[k]-a[k], b[k]-high[k])
		}
	}
	if excess <= 1e-3 {
		return nil
	}
	return []arrange.Limit{{Name: spaceOf + m.mount.GetId(), Margin: -excess}}
}

// spaceOf starts the name of a limit that a mount's space sets.
const spaceOf = "space of "

// takesForm reports whether a mount takes a form factor.
func (m *mountShape) takesForm(form string) bool {
	return len(m.mount.FormFactors) == 0 || contains(m.mount.FormFactors, form)
}

// takesSize reports whether a mount lists a size.
func (m *mountShape) takesSize(size uint32) bool {
	for _, s := range m.mount.SizesMm {
		if s == size {
			return true
		}
	}
	return len(m.mount.SizesMm) == 0
}

// mountsOf yields the mounts of a kind.
func (s *layoutShape) mountsOf(kind v1.MountKind) (out []*mountShape) {
	for i := range s.mounts {
		if s.mounts[i].mount.GetKind() == kind {
			out = append(out, &s.mounts[i])
		}
	}
	return out
}
