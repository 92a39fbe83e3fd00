package audit

import (
	"slices"
	"strconv"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

var limitsGeometryRule = kit.Rule{
	ID: "audit.limits-geometry", Title: "Published limits against the enclosure's own geometry", Since: "0.1.0",
	Why:     "Where an enclosure states limits and geometry, the geometry is what counts; limits that promise more are believed by whoever reads only them.",
	Formula: "The longest card is held against the longest side of the card's space and of the chambers, the tallest cooler against the chambers, and each place for fans or radiators against the mount of the same name.",
	Sources: []source{arithmetic},
	Reads: []string{
		"chassis.limits.card_length_mm", "chassis.limits.cooler_height_mm", "chassis.limits.fans", "chassis.limits.radiators",
		"chassis.layouts.limits", "chassis.layouts.mounts", "chassis.compartments.extent",
	},
	Texts: texts("The limits of {part} agree with its geometry.",
		"Whether the limits of {part} agree with its geometry cannot be told without {missing}.",
		map[string]string{
			"place-size": "{part} says that {place} in layout {layout} takes {size} mm, and its mount of that name takes {sizes}.",
		}),
	Remedies: remedies(map[string]string{"place": "Measure {place} and correct limit or mount."}),
	Judge:    each(judgeLimitsGeometry),
}

// pocket is how far a card's end or a cooler may reach out of its chamber, into a
// recess of the panel, in mm.
const pocket = 25

func judgeLimitsGeometry(s *sheet) {
	chassis := s.it.Part.GetChassis()
	longest := longestChamber(chassis)
	if chassis == nil || longest == 0 && len(chassis.Layouts) == 0 {
		return
	}
	if longest > 0 {
		holdChamber(s, longest)
	}
	for i, layout := range chassis.Layouts {
		l := layout.Limits
		if l == nil {
			l = chassis.Limits
		}
		if l == nil || i >= len(layoutLimits) {
			continue
		}
		for _, mount := range layout.Mounts {
			holdMount(s, layoutLimits[i], layout, l, mount)
		}
	}
}

func longestChamber(chassis *v1.Chassis) (longest float64) {
	for _, c := range chassis.GetCompartments() {
		longest = max(longest, longestSide(c.Extent))
	}
	return longest
}

func longestSide(e *v1.Extent) float64 {
	return max(e.GetSizeXMm(), e.GetSizeYMm(), e.GetSizeZMm())
}

func holdChamber(s *sheet, longest float64) {
	usual := func() string { return "the longest side of its chambers is " + kit.FormatNumber(longest, "mm") }
	eachLimits(s.it.Part, func(prefix string, l *v1.ChassisLimits) {
		s.hold(figure{prefix + "card_length_mm", l.CardLengthMm, "mm", 0, longest + pocket, usual, true})
		s.hold(figure{prefix + "cooler_height_mm", l.CoolerHeightMm, "mm", 0, longest + pocket, usual, true})
	})
}

// holdMount holds one layout's limits against one of its mounts.
func holdMount(s *sheet, prefix string, layout *v1.Layout, l *v1.ChassisLimits, mount *v1.Mount) {
	switch mount.GetKind() {
	case v1.MountKind_MOUNT_KIND_CARD:
		if space := longestSide(mount.Space); space > 0 {
			s.hold(figure{prefix + "card_length_mm", l.CardLengthMm, "mm", space * 0.8, space + 1,
				func() string { return "the longest side of the card's space is " + kit.FormatNumber(space, "mm") }, false})
		}
	case v1.MountKind_MOUNT_KIND_FAN:
		for _, place := range l.Fans {
			if place.GetMount() == mount.GetId() {
				holdSizes(s, layout, place.GetMount(), place.SizesMm, mount.SizesMm)
			}
		}
	case v1.MountKind_MOUNT_KIND_RADIATOR:
		for _, place := range l.Radiators {
			if place.GetMount() == mount.GetId() {
				holdSizes(s, layout, place.GetMount(), place.NominalMm, mount.SizesMm)
			}
		}
	}
}

func holdSizes(s *sheet, layout *v1.Layout, place string, said, has []uint32) {
	if len(said) == 0 || len(has) == 0 {
		return
	}
	s.held++
	for _, size := range said {
		if !slices.Contains(has, size) {
			s.blame("place-size").Word("place", place).Word("layout", layout.GetId()).
				Word("size", strconv.Itoa(int(size))).Word("sizes", sizesInWords(has)).Remedy("place")
			return
		}
	}
}

func sizesInWords(sizes []uint32) string {
	words := ""
	for i, size := range sizes {
		if i > 0 {
			words += ", "
		}
		words += strconv.Itoa(int(size))
	}
	return words + " mm"
}
