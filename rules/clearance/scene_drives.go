package clearance

import (
	"fmt"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
)

// addDrives adds the drives that lie in bays. A bay for several stacks them along
// its own Z.
func (s *scene) addDrives() {
	for i := range s.items {
		d := s.items[i].part.GetDrive()
		if d == nil || d.GetFormFactor() == driveOnBoard {
			continue
		}
		solid, err := s.settings.Drive(s.items[i].part)
		if err != nil {
			s.lack(i, "", err)
			continue
		}
		for n := range s.items[i].count {
			v := s.begin(5, "drive "+s.label(i, n, ""))
			if s.items[i].count > 1 {
				v.Interchangeable = s.label(i, s.likePiece(i, n), "")
			}
			for _, m := range s.shape.mountsOf(v1.MountKind_MOUNT_KIND_DRIVE) {
				if m.takesForm(d.GetFormFactor()) {
					s.addDriveAt(v, i, n, m, solid)
				}
			}
			s.end(v, i, fmt.Sprintf("no mount of the layout takes the form factor %s", d.GetFormFactor()))
		}
	}
}

func (s *scene) addDriveAt(v *variable, item, piece int, m *mountShape, solid geometry.Solid) {
	count := 1
	if m.mount.Count != nil {
		count = int(*m.mount.Count)
	}
	for p := range m.poses {
		pitch := solid.Pieces[0].Box.Size()[2]
		if m.bound {
			pitch = m.poses[p].Inverse().Box(m.space).Size()[2] / float64(count)
		}
		for o, by := range m.shifts {
			for k := range count {
				frame, err := geometry.NewPose(geometry.Rotation{}, geometry.Vec{0, 0, float64(k) * pitch})
				if err != nil {
					continue
				}
				seat := seatOf{item: item, piece: piece, mount: m.index, pose: p, offsets: by.offsets, position: k, placed: m.at(p, by).After(frame)}
				if !allows(s.pinsOf(item, piece), m.mount, &seat) {
					continue
				}
				t := &thing{label: s.label(item, piece, ""), item: item, piece: piece, pose: seat.placed, mount: m.index, frame: true,
					spins: s.items[item].part.GetDrive().GetFormFactor() == "3.5-inch"}
				there := seat.placed.Solid(solid)
				s.add(v, optionName(m.index, p, o, k), []placed{{t, there}}, []seatOf{seat}, m.within(&there), s.uses(m.mount.GetNeeds()))
			}
		}
	}
}

// addAccessories adds what brings boxes of its own and goes on a mount, such as a
// pump with its reservoir. Where the layout has no mount for it, it says nothing.
func (s *scene) addAccessories() {
	mounts := s.shape.mountsOf(v1.MountKind_MOUNT_KIND_ACCESSORY)
	for i := range s.items {
		part := s.items[i].part
		if part.GetAccessory() == nil || len(part.GetBodies()) == 0 || len(mounts) == 0 {
			continue
		}
		solid, err := s.settings.Own(part)
		if err != nil {
			s.lack(i, "", err)
			continue
		}
		for n := range s.items[i].count {
			v := s.begin(6, "accessory "+s.label(i, n, ""))
			for _, m := range mounts {
				s.addMounted(v, i, n, m, solid, thing{})
			}
			s.end(v, i, "no mount of the layout takes it")
		}
	}
}
