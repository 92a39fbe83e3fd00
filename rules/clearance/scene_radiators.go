package clearance

import (
	"slices"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/solids"
)

// riding is the fans that go with a radiator: its own or loose ones.
type riding struct {
	rows  []solids.Row
	fans  []loose // the loose ones among them
	known bool    // the loop's own fans have figures
}

// rowFor chooses the fans of a radiator and returns the fans that are left.
func (s *scene) rowFor(item, piece int, r *v1.Radiator, fans []loose) (riding, []loose) {
	size, count := rows[r.GetNominalMm()].size, rows[r.GetNominalMm()].fans
	if own := s.items[item].part.GetLiquidLoop().GetFans(); len(own) > 0 {
		p := party{ownFans: own, size: r.GetNominalMm()}
		thickest, layers := ownFanStack(&p)
		out := riding{known: thickest != nil && count > 0}
		for range layers {
			if out.known {
				out.rows = append(out.rows, solids.Row{Fans: int(count), SizeMM: float64(size), ThicknessMM: *thickest})
			}
		}
		return out, fans
	}
	out := riding{known: true}
	mount := s.mountPinned(item, piece)
	for _, pinned := range [2]bool{true, false} {
		for k := 0; k < len(fans) && len(out.fans) < int(count); {
			f := s.items[fans[k].item].part.GetFan()
			to := s.mountPinned(fans[k].item, fans[k].piece)
			if f.GetSizeMm() != size || f.ThicknessMm == nil || pinned != (to != "" && to == mount) || !pinned && to != "" {
				k++
				continue
			}
			out.fans = append(out.fans, fans[k])
			fans = slices.Delete(fans, k, k+1)
		}
	}
	thickest := 0.0
	for _, f := range out.fans {
		thickest = max(thickest, s.items[f.item].part.GetFan().GetThicknessMm())
	}
	if len(out.fans) > 0 {
		out.rows = []solids.Row{{Fans: int(count), SizeMM: float64(size), ThicknessMM: thickest}}
	}
	return out, fans
}

// addRadiator adds one radiator with its fans in every mount, pose, order of the
// stack, and end of the fittings.
func (s *scene) addRadiator(item, piece int, r *v1.Radiator, fans []loose) []loose {
	row, left := s.rowFor(item, piece, r, fans)
	if !row.known {
		s.lack(item, "", &solids.MissingError{Fields: []string{"liquid_loop.fans.fan.thickness_mm"}})
		return left
	}
	v := s.begin(3, "radiator "+s.label(item, piece, ""))
	for _, m := range s.shape.mountsOf(v1.MountKind_MOUNT_KIND_RADIATOR) {
		if !m.takesSize(r.GetNominalMm()) {
			continue
		}
		for order := range stacks(row.rows, r) {
			solid, err := s.settings.Radiator(s.items[item].part, row.rows, stackOf(order, row.rows))
			if err != nil {
				s.lack(item, "", err)
				return left
			}
			s.addRadiatorAt(v, item, piece, m, order, &row, solid)
		}
	}
	s.end(v, item, "no mount of the layout takes its size")
	return left
}

// stacks is how many orders of a radiator's stack differ: fans on either side,
// fittings at either end.
func stacks(rows []solids.Row, r *v1.Radiator) int {
	n := 1
	if len(rows) > 0 {
		n = 2
	}
	if r.FittingMm == nil || *r.FittingMm > 0 {
		n *= 2
	}
	return n
}

func stackOf(order int, rows []solids.Row) solids.Stack {
	if len(rows) == 0 {
		return solids.Stack{FittingsFirst: order&1 == 1}
	}
	return solids.Stack{FansOutside: order&1 == 1, FittingsFirst: order&2 == 2}
}

func (s *scene) addRadiatorAt(v *variable, item, piece int, m *mountShape, order int, row *riding, solid geometry.Solid) {
	core := solid.Pieces[0].Box.Size()
	for p := range m.poses {
		for n := range len(m.shifts) * m.slides(p, core) {
			o, slide := n%len(m.shifts), n/len(m.shifts)
			by := m.shifts[o]
			pose := m.at(p, by)
			frame, err := geometry.NewPose(geometry.Rotation{}, m.rowStart(pose, core, slide))
			if err != nil {
				continue
			}
			outside := stackOf(order, row.rows).FansOutside
			seat := seatOf{item: item, piece: piece, mount: m.index, pose: p, offsets: by.offsets, placed: pose.After(frame), outside: &outside,
				slides: m.slides(p, core) > 1, slide: m.rowStart(pose, core, slide)[0] - m.rowStart(pose, core, 0)[0]}
			seat.fittings = pose.Rotation().Face(geometry.FaceOf(geometry.X, !stackOf(order, row.rows).FittingsFirst))
			if !allows(s.pinsOf(item, piece), m.mount, &seat) {
				continue
			}
			of := ""
			if s.items[item].part.GetLiquidLoop() != nil {
				of = "radiator"
			}
			t := &thing{label: s.label(item, piece, of), item: item, piece: piece, pose: seat.placed, mount: m.index, frame: true,
				spins: len(row.rows) > 0}
			seat.flow = s.flowAt(item, piece, m)
			there := seat.placed.Solid(solid)
			seats := []seatOf{seat}
			for k, f := range row.fans {
				seats = append(seats, seatOf{item: f.item, piece: f.piece, mount: m.index, pose: p, placed: seat.placed, position: k,
					flow: s.flowAt(f.item, f.piece, m)})
			}
			s.add(v, optionName(m.index, p, o, slide, order), []placed{{t, there}}, seats, m.within(&there), s.uses(m.mount.GetNeeds()))
			if len(row.rows) > 0 {
				v.sweeps(float64(row.rows[0].Fans) * discArea(row.rows[0].SizeMM))
			}
		}
	}
}

// slides is in how many places along its row a radiator is tried: in the middle,
// and where the mount has more room than it takes also at either end, since
// brackets for radiators have long holes (common practice, no source).
func (m *mountShape) slides(pose int, core geometry.Vec) int {
	if m.bound && m.poses[pose].Inverse().Box(m.space).Size()[0] > core[0]+1 {
		return 3
	}
	return 1
}

// rowStart is where a radiator's frame lies in the mount's: across in the middle of
// the largest frame, along where it slides to.
func (m *mountShape) rowStart(pose geometry.Pose, core geometry.Vec, slide int) geometry.Vec {
	var at geometry.Vec
	if m.bound {
		local := pose.Inverse().Box(m.space)
		from, to := local.Min()[0], local.Max()[0]-core[0]
		at[0] = [3]float64{(from + to) / 2, from, to}[slide]
	}
	largest := uint32(0)
	for _, size := range m.mount.SizesMm {
		largest = max(largest, rows[size].size)
	}
	if largest > 0 {
		at[1] = (float64(largest) - core[1]) / 2
	}
	return at
}
