package clearance

import (
	"fmt"
	"math"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/arrange"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/solids"
)

// loose is one fan that is no part of another item.
type loose struct{ item, piece int }

// addRadiatorsAndFans adds radiators with the fans on them, then the fans that are
// left. A radiator without fans of its own takes loose fans of its row's size:
// first those that the build sends to its mount, then those that are free.
func (s *scene) addRadiatorsAndFans() {
	var fans []loose
	for i := range s.items {
		if s.items[i].part.GetFan() != nil {
			for n := range s.items[i].count {
				fans = append(fans, loose{i, n})
			}
		}
	}
	for i := range s.items {
		part := s.items[i].part
		r := part.GetRadiator()
		if loop := part.GetLiquidLoop(); loop != nil {
			r = loop.GetRadiator()
			if r == nil {
				s.lack(i, "", &solids.MissingError{Fields: []string{"liquid_loop.radiator"}})
				continue
			}
		}
		if r != nil {
			for n := range s.items[i].count {
				fans = s.addRadiator(i, n, r, fans)
			}
		}
	}
	for _, f := range fans {
		s.addFan(f)
	}
}

// addFan adds one loose fan in every mount, side and position.
func (s *scene) addFan(f loose) {
	part := s.items[f.item].part
	solid, err := s.settings.Fan(part)
	if err != nil {
		s.lack(f.item, "", err)
		return
	}
	size := part.GetFan().GetSizeMm()
	v := s.begin(4, "fan "+s.label(f.item, f.piece, ""))
	if s.items[f.item].count > 1 {
		v.Interchangeable = s.label(f.item, s.likePiece(f.item, f.piece), "")
	}
	for _, m := range s.shape.mountsOf(v1.MountKind_MOUNT_KIND_FAN) {
		if !m.takesSize(size) {
			continue
		}
		for i, side := range sidesOf(m.mount) {
			for k := range m.positions(size) {
				s.addFanAt(v, f, m, solid, side, i, k)
			}
		}
	}
	s.end(v, f.item, "no mount of the layout takes its size")
}

func sidesOf(m *v1.Mount) []string {
	if len(m.Sides) == 0 {
		return []string{sideInner}
	}
	return m.Sides
}

// Sides of a mount's plate.
const (
	sideInner = "inner"
	sideOuter = "outer"
)

// positions is how many fans of a size find room on the row of a mount: its count
// is for the largest size.
func (m *mountShape) positions(size uint32) int {
	count := 1
	if m.mount.Count != nil {
		count = int(*m.mount.Count)
	}
	if size == 0 || m.largest() == 0 {
		return count
	}
	return max(1, int(m.largest())*count/int(size))
}

func (m *mountShape) largest() (size uint32) {
	for _, s := range m.mount.SizesMm {
		size = max(size, s)
	}
	return size
}

// fanStart is where the frame of a fan at a position lies in the mount's frame:
// the row is in the middle, both ways.
func (m *mountShape) fanStart(size uint32, position int, side string, thick float64) geometry.Vec {
	count := 1.0
	if m.mount.Count != nil {
		count = float64(*m.mount.Count)
	}
	largest := float64(max(m.largest(), size))
	at := geometry.Vec{(largest*count-float64(m.positions(size))*float64(size))/2 + float64(position)*float64(size), (largest - float64(size)) / 2, 0}
	if side == sideOuter {
		at[2] = -m.plate - thick
	}
	return at
}

func (s *scene) addFanAt(v *variable, f loose, m *mountShape, solid geometry.Solid, side string, sideNo, position int) {
	size := s.items[f.item].part.GetFan().GetSizeMm()
	thick := solid.Pieces[0].Box.Size()[2]
	for p := range m.poses {
		for o, by := range m.shifts {
			pose := m.at(p, by)
			frame, err := geometry.NewPose(geometry.Rotation{}, m.fanStart(size, position, side, thick))
			if err != nil {
				continue
			}
			seat := seatOf{item: f.item, piece: f.piece, mount: m.index, pose: p, offsets: by.offsets, placed: pose.After(frame),
				position: position, side: side, flow: s.flowAt(f.item, f.piece, m)}
			if !allows(s.pinsOf(f.item, f.piece), m.mount, &seat) {
				continue
			}
			t := &thing{label: s.label(f.item, f.piece, ""), item: f.item, piece: f.piece, pose: seat.placed, mount: m.index,
				frame: true, spins: true, outward: side == sideOuter}
			var uses []arrange.Amount
			if s.items[f.item].count > 1 {
				// Equal fans share a name in the problem, so that their places keep them apart.
				t.group = s.items[f.item].id
				uses = append(uses, s.takes(placeOn(m, side, position)))
			}
			there := seat.placed.Solid(solid)
			var limits []arrange.Limit
			if side != sideOuter {
				limits = m.within(&there)
			}
			if position == 0 { // the row asks for its accessory once
				uses = append(uses, s.uses(m.mount.GetNeeds())...)
			}
			s.add(v, optionName(m.index, p, o, sideNo, position), []placed{{t, there}}, []seatOf{seat}, limits, uses)
			v.sweeps(discArea(float64(size)))
		}
	}
}

// placeOn names a place on a mount.
func placeOn(m *mountShape, side string, position int) string {
	name := fmt.Sprintf("place %d on %s", position+1, m.mount.GetId())
	if side == sideOuter {
		name += ", outer side"
	}
	return name
}

// discArea is the area in mm2 that a fan of a frame size sweeps, hub included.
func discArea(size float64) float64 { return size * size * math.Pi / 4 }

// sweeps gives the newest option its fan area.
func (v *variable) sweeps(mm2 float64) {
	if n := len(v.Options); n > 0 {
		v.Options[n-1].FanArea = int64(math.Round(mm2))
	}
}

// flowAt is the way that air goes at first: as the build says, else the usual one.
func (s *scene) flowAt(item, piece int, m *mountShape) v1.Flow {
	if pinned := s.flowPinned(item, piece); pinned != v1.Flow_FLOW_UNSPECIFIED {
		return pinned
	}
	return s.usualFlow(m)
}

// flowPinned is the way of the air that the build fixes for a piece, unspecified
// for none.
func (s *scene) flowPinned(item, piece int) v1.Flow {
	for _, p := range s.pinsOf(item, piece) {
		if p.choice.GetFlow() != v1.Flow_FLOW_UNSPECIFIED {
			return p.choice.GetFlow()
		}
	}
	return v1.Flow_FLOW_UNSPECIFIED
}
