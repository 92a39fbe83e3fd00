package demo

import (
	"math"
	"slices"
	"testing"

	slipfitv1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/standards"
)

// enclosures are the parts with geometry.
func enclosures(t *testing.T) []*slipfitv1.Part {
	t.Helper()
	var all []*slipfitv1.Part
	for _, e := range catalogue(t) {
		if len(e.part.GetChassis().GetCompartments()) > 0 {
			all = append(all, e.part)
		}
	}
	if len(all) < 3 {
		t.Fatalf("%d enclosures have geometry, fewer than 3", len(all))
	}
	return all
}

// largest are the boxes that a mount is made for, in the part's own frame: the outline of each form factor it takes, and
// the largest fan, card and drive by the limits of its layout.
func largest(t *testing.T, m *slipfitv1.Mount, limits, common *slipfitv1.ChassisLimits) []box {
	t.Helper()
	switch m.GetKind() {
	case slipfitv1.MountKind_MOUNT_KIND_BOARD:
		var all []box
		for _, token := range m.GetFormFactors() {
			form, err := standards.BoardByToken(token)
			if err != nil {
				t.Fatal(err)
			}
			all = append(all, sized(form.WidthMM, form.DepthMM, standards.BoardThickness.Value))
		}
		return all
	case slipfitv1.MountKind_MOUNT_KIND_SUPPLY:
		var all []box
		for _, token := range m.GetFormFactors() {
			form, err := standards.SupplyFormByToken(token)
			if err != nil {
				t.Fatal(err)
			}
			all = append(all, sized(form.WidthMM, form.DepthMM, form.HeightMM))
		}
		return all
	case slipfitv1.MountKind_MOUNT_KIND_FAN:
		size := float64(slices.Max(m.GetSizesMm()))
		for _, f := range limits.GetFans() {
			if f.GetMount() == m.GetId() {
				return []box{sized(size*float64(max(1, m.GetCount())), size, f.GetThicknessMm())}
			}
		}
	case slipfitv1.MountKind_MOUNT_KIND_RADIATOR:
		for _, r := range limits.GetRadiators() {
			if r.GetMount() == m.GetId() {
				width := map[uint32]float64{240: 122, 280: 143}[slices.Max(m.GetSizesMm())]
				return []box{sized(r.GetLengthMm(), width, r.GetThicknessMm())}
			}
		}
	case slipfitv1.MountKind_MOUNT_KIND_DRIVE:
		// Outlines of SFF-8201 and SFF-8301, from memory.
		drive := map[string]box{"2.5-inch": sized(100.45, 69.85, 9.5), "3.5-inch": sized(147, 101.6, 26.1)}
		return []box{drive[m.GetFormFactors()[0]]}
	case slipfitv1.MountKind_MOUNT_KIND_CARD:
		if len(m.GetPoses()) == 0 {
			return nil // where it goes follows from the board
		}
		length, height := limits.GetCardLengthMm(), limits.GetCardHeightMm()
		if height == 0 {
			height = common.GetCardHeightMm()
		}
		return []box{sized(40.64, length, height)}
	}
	t.Fatalf("the mount %s is in none of its layout's limits", m.GetId())
	return nil
}

// Whatever a mount is made for lies in one compartment, within the mount's space, and through nothing solid.
func TestMountsHoldWhatTheyTake(t *testing.T) {
	for _, p := range enclosures(t) {
		ch := p.GetChassis()
		for _, layout := range ch.GetLayouts() {
			solids := append(slices.Clone(ch.GetObstructions()), layout.GetObstructions()...)
			for _, m := range layout.GetMounts() {
				for i, own := range largest(t, m, layout.GetLimits(), ch.GetLimits()) {
					for j, at := range everywhere(m, own) {
						name := p.GetId() + " " + layout.GetId() + " " + m.GetId()
						if !slices.ContainsFunc(ch.GetCompartments(), func(c *slipfitv1.Compartment) bool {
							return !c.GetCableChannel() && at.inside(boxOf(c.GetExtent()))
						}) {
							t.Errorf("%s: box %d at place %d lies in no compartment: %v", name, i, j, at)
						}
						if m.GetSpace() != nil && !at.inside(boxOf(m.GetSpace())) {
							t.Errorf("%s: box %d at place %d leaves the mount's space: %v", name, i, j, at)
						}
						for _, solid := range solids {
							if at.overlaps(boxOf(solid.GetExtent())) {
								t.Errorf("%s: box %d at place %d goes through %s", name, i, j, solid.GetId())
							}
						}
					}
				}
			}
		}
	}
}

// everywhere are the places of a box in all poses and offsets of a mount.
func everywhere(m *slipfitv1.Mount, own box) []box {
	var all []box
	for _, pose := range m.GetPoses() {
		places := []box{placed(pose, own)}
		for _, travel := range m.GetTravels() {
			var next []box
			for _, at := range places {
				for _, offset := range travel.GetOffsetsMm() {
					next = append(next, at.moved(travel.GetAlong(), offset))
				}
			}
			places = next
		}
		all = append(all, places...)
	}
	return all
}

// Fans, supplies, drives and the bare board do not get in each other's way in their first poses, unless the mounts say
// that they exclude each other. Coolers and cards may: that is what the search over arrangements is for.
func TestFirstPosesGoTogether(t *testing.T) {
	for _, p := range enclosures(t) {
		ch := p.GetChassis()
		for _, layout := range ch.GetLayouts() {
			mounts := slices.DeleteFunc(slices.Clone(layout.GetMounts()), func(m *slipfitv1.Mount) bool {
				return m.GetKind() == slipfitv1.MountKind_MOUNT_KIND_CARD || m.GetKind() == slipfitv1.MountKind_MOUNT_KIND_RADIATOR
			})
			for i, a := range mounts {
				for _, b := range mounts[:i] {
					if slices.Contains(a.GetExcludes(), b.GetId()) || slices.Contains(b.GetExcludes(), a.GetId()) {
						continue
					}
					for _, own := range largest(t, a, layout.GetLimits(), ch.GetLimits()) {
						for _, other := range largest(t, b, layout.GetLimits(), ch.GetLimits()) {
							if placed(a.GetPoses()[0], own).overlaps(placed(b.GetPoses()[0], other)) {
								t.Errorf("%s %s: %s and %s get in each other's way", p.GetId(), layout.GetId(), a.GetId(), b.GetId())
							}
						}
					}
				}
			}
		}
	}
}

// The outside is what compartments and walls make together, and the stated volume is that of the outside.
func TestWallsMakeTheOutside(t *testing.T) {
	for _, p := range enclosures(t) {
		ch := p.GetChassis()
		whole := boxOf(ch.GetCompartments()[0].GetExtent())
		grow := func(e *slipfitv1.Extent) {
			b := boxOf(e)
			for k := range 3 {
				whole.low[k], whole.high[k] = min(whole.low[k], b.low[k]), max(whole.high[k], b.high[k])
			}
		}
		for _, c := range ch.GetCompartments() {
			grow(c.GetExtent())
		}
		for _, panel := range ch.GetPanels() {
			grow(panel.GetExtent())
			for _, opening := range panel.GetOpenings() {
				if !boxOf(opening.GetExtent()).inside(boxOf(panel.GetExtent())) {
					t.Errorf("%s: the opening %s leaves the panel %s", p.GetId(), opening.GetId(), panel.GetId())
				}
			}
		}
		outside := vec{ch.GetDepthMm(), ch.GetWidthMm(), ch.GetHeightMm()}
		for k, name := range []string{"depth", "width", "height"} {
			if got := whole.high[k] - whole.low[k]; math.Abs(got-outside[k]) > 0.05 {
				t.Errorf("%s: walls make a %s of %.1f mm, stated are %.1f mm", p.GetId(), name, got, outside[k])
			}
		}
	}
	for _, e := range catalogue(t) {
		if ch := e.part.GetChassis(); ch != nil {
			litres := ch.GetWidthMm() * ch.GetHeightMm() * ch.GetDepthMm() / 1e6
			if math.Abs(litres-ch.GetVolumeL()) > 0.1 {
				t.Errorf("%s: %.2f l outside, stated are %g l", e.part.GetId(), litres, ch.GetVolumeL())
			}
		}
	}
}

// From the top of the processor's lid to the first thing across the room: the published limit of the cooler is what
// geometry leaves, or up to 2.5 mm less.
func TestCoolerLimitsAgreeWithGeometry(t *testing.T) {
	lid := part(t, "aue-b1-itx").GetBoard().GetSocketCentre()
	for _, p := range enclosures(t) {
		ch := p.GetChassis()
		for _, layout := range ch.GetLayouts() {
			free := math.Inf(1)
			for _, m := range layout.GetMounts() {
				if m.GetKind() != slipfitv1.MountKind_MOUNT_KIND_BOARD {
					continue
				}
				pose := m.GetPoses()[0]
				// A needle from the lid along the board's Z, as long as it may be.
				for length := 40.0; length < 250; length += 0.05 {
					x, y, z := lid.GetXMm(), lid.GetYMm(), lid.GetZMm()
					needle := placed(pose, box{vec{x - 40, y - 40, z}, vec{x + 40, y + 40, z + length}})
					if hitsSomething(ch, layout, needle) {
						free = length - 0.05
						break
					}
				}
			}
			limit := layout.GetLimits().GetCoolerHeightMm()
			if free < limit-0.06 || free > limit+2.5 {
				t.Errorf("%s %s: %.2f mm free above the lid, the limit says %g mm", p.GetId(), layout.GetId(), free, limit)
			}
		}
	}
}

// hitsSomething reports whether a box leaves the compartments, meets a solid of the enclosure, or the back of a card that
// stands upright in its first position.
func hitsSomething(ch *slipfitv1.Chassis, layout *slipfitv1.Layout, b box) bool {
	if !slices.ContainsFunc(ch.GetCompartments(), func(c *slipfitv1.Compartment) bool { return b.inside(boxOf(c.GetExtent())) }) {
		return true
	}
	for _, solid := range append(slices.Clone(ch.GetObstructions()), layout.GetObstructions()...) {
		if b.overlaps(boxOf(solid.GetExtent())) {
			return true
		}
	}
	for _, m := range layout.GetMounts() {
		if m.GetKind() == slipfitv1.MountKind_MOUNT_KIND_CARD && len(m.GetPoses()) > 0 &&
			b.overlaps(placed(m.GetPoses()[0], sized(40.64, layout.GetLimits().GetCardLengthMm(), 136))) {
			return true
		}
	}
	return false
}

// The rear fan leaves the aperture of the rear connectors free, wherever the board is set (microATX specification 1.2,
// figure 4, and drawings for its ends along the edge).
func TestRearFansLeaveTheApertureFree(t *testing.T) {
	aperture := box{
		vec{standards.ApertureFarEndX.Value, -10, -standards.ApertureBelowUnderside.Value},
		vec{standards.ApertureSlotEndX.Value, 20, standards.ApertureHeight.Value - standards.ApertureBelowUnderside.Value},
	}
	checked := 0
	for _, p := range enclosures(t) {
		ch := p.GetChassis()
		for _, layout := range ch.GetLayouts() {
			var openings, fans []box
			for _, m := range layout.GetMounts() {
				switch {
				case m.GetKind() == slipfitv1.MountKind_MOUNT_KIND_BOARD:
					openings = everywhere(m, aperture)
				case m.GetPanel() == "rear":
					fans = everywhere(m, largest(t, m, layout.GetLimits(), ch.GetLimits())[0])
				}
			}
			for _, opening := range openings {
				for _, fan := range fans {
					checked++
					if opening.overlaps(fan) {
						t.Errorf("%s %s: the rear fan covers the connectors", p.GetId(), layout.GetId())
					}
				}
			}
		}
	}
	if checked < 5 {
		t.Errorf("only %d places of board and rear fan were compared", checked)
	}
}
