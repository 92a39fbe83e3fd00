package audit

import (
	"slices"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

var ownBoxesRule = kit.Rule{
	ID: "audit.own-boxes", Title: "A part's own boxes against its published size", Since: "0.1.0",
	Why:     "A part's own boxes take the place of its published size in every check of room; boxes of another size make two parts of one.",
	Formula: "The smallest box round all solid boxes is held against the published sides, both sorted by length, 10 % and 3 mm to either side.",
	Sources: []source{arithmetic},
	Reads: []string{
		"bodies", "card.length_mm", "card.height_mm", "card.thickness_mm", "air_cooler.height_mm", "air_cooler.width_mm", "air_cooler.depth_mm",
		"supply.length_mm", "supply.width_mm", "supply.height_mm",
	},
	Texts: texts("The boxes of {part} make its published size.",
		"Whether the boxes of {part} make its published size cannot be told without {missing}.",
		map[string]string{"boxes": "The boxes of {part} make {boxes} on one side, where it publishes {published}."}),
	Remedies: remedies(map[string]string{"boxes": "Correct the boxes or the published size, whichever the drawing contradicts."}),
	Judge:    each(judgeOwnBoxes),
}

func judgeOwnBoxes(s *sheet) {
	published, ok := sidesOf(s.it.Part)
	round, any := boxRound(s.it.Part.Bodies)
	if !ok || !any {
		return
	}
	s.held++
	for i := range published {
		if play := 0.1*published[i] + 3; round[i] > published[i]+play || round[i] < published[i]-play {
			s.blame("boxes").Number("boxes", kit.Constant(round[i], "mm")).
				Number("published", kit.Constant(published[i], "mm")).Remedy("boxes")
			return
		}
	}
}

// sidesOf gives the published sides of a part in mm, shortest first, where it
// publishes all three and each lies where such sides lie.
func sidesOf(part *v1.Part) (sides [3]float64, ok bool) {
	var given [3]*float64
	switch kind := part.GetKind().(type) {
	case *v1.Part_Card:
		given = [3]*float64{kind.Card.LengthMm, kind.Card.HeightMm, kind.Card.ThicknessMm}
		ok = inPlace(kind.Card, usualCard[:3])
	case *v1.Part_AirCooler:
		given = [3]*float64{kind.AirCooler.HeightMm, kind.AirCooler.WidthMm, kind.AirCooler.DepthMm}
		ok = inPlace(kind.AirCooler, usualCooler[:3])
	case *v1.Part_Supply:
		given = [3]*float64{kind.Supply.LengthMm, kind.Supply.WidthMm, kind.Supply.HeightMm}
		ok = inPlace(kind.Supply, usualSupply[:3])
	}
	if !ok {
		return sides, false
	}
	for i, v := range given {
		if v == nil {
			return sides, false
		}
		sides[i] = *v
	}
	slices.Sort(sides[:])
	return sides, true
}

// boxRound gives the sides of the smallest box round all solid boxes, shortest
// first.
func boxRound(bodies []*v1.Body) (sides [3]float64, any bool) {
	var low, high [3]float64
	for _, b := range bodies {
		if p := b.GetPurpose(); p != v1.Purpose_PURPOSE_UNSPECIFIED && p != v1.Purpose_PURPOSE_SOLID {
			continue
		}
		e := b.GetExtent()
		corner := [3]float64{e.GetCorner().GetXMm(), e.GetCorner().GetYMm(), e.GetCorner().GetZMm()}
		size := [3]float64{e.GetSizeXMm(), e.GetSizeYMm(), e.GetSizeZMm()}
		for i := range corner {
			if !any {
				low[i], high[i] = corner[i], corner[i]+size[i]
			}
			low[i], high[i] = min(low[i], corner[i]), max(high[i], corner[i]+size[i])
		}
		any = true
	}
	for i := range sides {
		sides[i] = high[i] - low[i]
	}
	slices.Sort(sides[:])
	return sides, any
}
