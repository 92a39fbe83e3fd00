package clearance

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

var arrangementRule = kit.Rule{
	ID: "clearance.arrangement", Title: "The layout that the answer is judged in", Since: "0.1.0", Overall: true,
	Why: "An enclosure can be put together in several ways, and parts that fit in one need not fit in another.",
	Formula: "Every layout that the build leaves open is judged by all rules of this pack. The one with the fewest failures is taken, then the fewest unknowns, " +
		"then the fewest tight fits, then the most room in the tightest place, then the first.",
	Sources: []sourceOf{makersLimit},
	Reads: []string{
		"chassis.layouts", "chassis.compartments", "chassis.width_mm", "chassis.height_mm", "chassis.depth_mm",
	},
	Texts: arrangementTexts(),
	Remedies: map[string]string{
		"parts": "Settle the failures above, or choose an enclosure that takes these parts.",
	},
	Judge: judgeArrangement,
}

// arrangementTexts are the texts of the rule: each with a word on what published
// limits cannot tell, and without it where the enclosure is described in space.
func arrangementTexts() map[string]string {
	said := map[string]string{
		"pass":      "{enclosure} has room for every part that could be judged, by its published limits.",
		"pass-one":  "{enclosure} has room for every part that could be judged in the layout {layout}, the only one that is open.",
		"pass-also": "{enclosure} is judged in the layout {layout}, the best of {open}: every part that could be judged has room. Also without a failure: {others}.",
		"pass-best": "{enclosure} is judged in the layout {layout}, the best of {open}: every part that could be judged has room, and in no other.",
		"fail":      "{enclosure} has no room for all parts by its published limits; requirements missed: {failures}.",
		"fail-one":  "{enclosure} has no room for all parts in the layout {layout}, the only one that is open; requirements missed: {failures}.",
		"fail-best": "{enclosure} has no room for all parts in any of its {open} layouts; the best is {layout}; requirements missed there: {failures}.",
	}
	texts := map[string]string{
		"unknown": "The build names no enclosure, so that nothing can be told about room; add the enclosure.",
	}
	for key, text := range said {
		texts[key], texts[key+inBoxes] = text+unseen, text
	}
	return texts
}

// inBoxes ends the keys of texts about an enclosure that is described in space.
const inBoxes = "-in-space"

func judgeArrangement(c *kit.Case) {
	d := deskOf(c)
	if d == nil {
		c.Judged(kit.Unknown, c.Absent(noItem, ""))
		return
	}
	tally := c.Tally(c.Alternative())
	verdict, key := kit.Pass, "pass"
	if tally.Fails > 0 {
		verdict, key = kit.Fail, "fail"
	}
	others := d.otherLayouts()
	f := c.Judged(verdict).About(d.chassis).Remedy("parts").
		Word("enclosure", d.enclosure()).Word("layout", titleOf(d.layout)).Word("others", others).
		Number("open", kit.Constant(float64(len(d.layouts)), "")).
		Number("failures", kit.Constant(float64(tally.Fails), ""))
	switch {
	case d.layout == nil:
	case len(d.layouts) == 1:
		key += "-one"
	case others != "":
		key += "-also" // only where the best is without a failure
	default:
		key += "-best"
	}
	if d.shown() != nil {
		key += inBoxes
	}
	f.Say(key)
}

// unseen is what published limits cannot tell, in every layout.
const unseen = " How the parts lie to each other could not be seen from limits: card against radiator and fans, supply against card, cables against panels."

// enclosure names the enclosure with its volume, where its outside is stated.
func (d *desk) enclosure() string {
	litres, known := outsideVolume(d.chassis.Part.GetChassis())
	if !known {
		return d.chassis.Name()
	}
	return d.chassis.Name() + " (" + kit.FormatNumber(litres, "l") + " by its outside)"
}

// outsideVolume is the volume in litres that an enclosure's outside dimensions
// enclose, feet and whatever sticks out not counted.
func outsideVolume(of *v1.Chassis) (litres float64, known bool) {
	if of.WidthMm == nil || of.HeightMm == nil || of.DepthMm == nil {
		return 0, false
	}
	return *of.WidthMm * *of.HeightMm * *of.DepthMm / 1e6, true
}

func titleOf(l *v1.Layout) string {
	if l.GetTitle() != "" {
		return l.GetTitle()
	}
	return l.GetId()
}

// otherLayouts names the layouts that are without a failure as well.
func (d *desk) otherLayouts() (names string) {
	for a, index := range d.layouts {
		if a == d.planned || d.layout == nil || d.c.Tally(a).Fails > 0 {
			continue
		}
		if names != "" {
			names += ", "
		}
		names += titleOf(d.chassis.Part.GetChassis().Layouts[index])
	}
	return names
}
