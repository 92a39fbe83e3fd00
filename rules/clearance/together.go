package clearance

import (
	"strings"

	"slipfit.example/rules/arrange"
	"slipfit.example/rules/kit"
)

var togetherRule = kit.Rule{
	ID: "clearance.together", Title: "All parts in place at once", Since: "0.1.0",
	Why: "Two of three parts can go together and the third with either, and yet not all three: only all places at once tell.",
	Formula: "Every way to put the layout together is searched: offsets of the board, poses of the supply, slots and mounts of cards, mounts, sides and places of fans, " +
		"radiators with fans on either side, and bays of drives, as far as the build leaves them open. The one with the greatest smallest margin is taken, " +
		"then the one with fewest accessories to buy, then the one with the greatest margins after that. The search passes over what cannot lead to a better one " +
		"and over nothing else. It ends after 300,000 steps, and says so.",
	Sources: []sourceOf{kit.CommonPractice},
	Reads: []string{
		"chassis.compartments", "chassis.panels", "chassis.obstructions", "chassis.layouts.mounts", "chassis.layouts.obstructions", "chassis.layouts.needs",
	},
	Parameters: []*kit.Parameter{&kit.LengthTolerance},
	Texts: map[string]string{
		"pass":             "All parts that have boxes go together in {layout}: {places}.",
		"pass-without":     "All parts that have boxes go together in {layout}: {places}. Not seen there: {without}.",
		"pass-cut":         "An arrangement in {layout} was found: {places}. There are too many ways to look at all of them, so a better one may exist.",
		"marginal":         "All parts that have boxes go together in {layout}: {places}.",
		"fail":             "Not all parts go together in {layout}. These cannot be had at once: {conflict}.",
		"fail-alone":       "Wherever the parts are put in {layout}, one thing cannot be had: {conflict}.",
		"unknown":          "Whether all parts go together in {layout} was not found out within the steps that a search may take; fix some of the choices.",
		"unknown-geometry": "The geometry of the enclosure cannot be used: {flaw}. Published limits alone were judged; correct {missing}.",
	},
	Remedies: map[string]string{
		"elsewhere": "{elsewhere}.",
		"first":     "{first}.",
		"second":    "{second}.",
		"third":     "{third}.",
	},
	Judge: judgeTogether,
}

func judgeTogether(c *kit.Case) {
	d := deskOf(c)
	if d == nil || d.spot == nil {
		return
	}
	p := d.spot
	switch {
	case len(p.flaws) > 0:
		flaw := p.flaws[0]
		c.Judged(kit.Unknown, c.Absent(d.chassis.At(flaw.path), "")).About(d.chassis).Say("unknown-geometry").
			Word("flaw", flaw.sentence).Word("layout", titleOf(d.layout))
	case !p.seen:
	case !p.found && !p.exhaustive && len(p.reasons) == 0:
		c.Judged(kit.Unknown).About(d.chassis).Word("layout", titleOf(d.layout))
	case !p.found:
		d.tellConflict(p)
	default:
		f := c.Judged(kit.Pass, d.placesValue()).About(d.chassis).Word("layout", titleOf(d.layout)).Word("places", d.placesOf(p))
		if without := d.without(p); without != "" {
			f.Word("without", without).Say("pass-without")
		}
		if !p.exhaustive {
			f.Say("pass-cut")
		}
	}
}

// placesOf tells where what could go elsewhere sits.
func (d *desk) placesOf(p *plan) string {
	var parts []string
	for i := range p.chosen.seats {
		s := &p.chosen.seats[i]
		if s.mount < 0 || s.piece > 0 {
			continue
		}
		m := &p.scene.shape.mounts[s.mount]
		text := d.itemAt(s.item).Name() + " on " + m.mount.GetId()
		for _, mm := range s.offsets {
			text += " at " + kit.FormatNumber(mm, "mm")
		}
		if len(m.poses) > 1 {
			text += " in pose " + kit.FormatNumber(float64(s.pose+1), "")
		}
		parts = append(parts, text)
	}
	if len(parts) == 0 {
		return "as they are"
	}
	return strings.Join(parts, ", ")
}

// without names the items that have no boxes or no mount.
func (d *desk) without(p *plan) string {
	var names []string
	for _, l := range p.scene.lacks {
		names = append(names, d.itemAt(l.item).Name())
	}
	return strings.Join(names, ", ")
}

func (d *desk) tellConflict(p *plan) {
	words := make([]string, 0, len(p.reasons))
	items := []*kit.Item{}
	for _, r := range p.reasons {
		words = append(words, r.text)
		for _, i := range r.items {
			if it := d.itemAt(i); !hasItem(items, it) {
				items = append(items, it)
			}
		}
	}
	f := d.c.Judged(kit.Fail, d.placesValue()).About(items...).About(d.chassis).Word("layout", titleOf(d.layout)).Word("conflict", strings.Join(words, "; "))
	if len(words) == 1 {
		f.Say("fail-alone")
	}
	if d.c.Terse() {
		return
	}
	if text, there := d.elsewhere(); text != "" {
		f.Word("elsewhere", text+toBuy(there.chosen.purchases)).Remedy("elsewhere", buyTokens(there.chosen.purchases)...)
	}
	for i, key := range [...]string{"first", "second", "third"} {
		if i < len(p.changes) {
			f.Word(key, "Everything fits with "+p.changes[i].text+toBuy(p.changes[i].buy))
			if c := &p.changes[i]; c.mm > 0 {
				f.RemedyOf(key, kit.Constant(c.mm, "mm"), buyTokens(c.buy)...)
			} else {
				f.Remedy(key, buyTokens(c.buy)...)
			}
		}
	}
}

func hasItem(items []*kit.Item, it *kit.Item) bool {
	for _, o := range items {
		if o == it {
			return true
		}
	}
	return false
}

// elsewhere tells which free choice makes everything fit: first in the same layout
// without the build's fixed places, then in another layout; and the plan of it.
func (d *desk) elsewhere() (string, *plan) {
	choices := d.c.Build.GetArrangement()
	if len(choices.GetPlacements()) > 0 {
		if p := d.planOf(d.limits.index, nil); p != nil && p.seen && p.found {
			return "Give up the fixed places: everything goes together with " + d.placesOf(p) + spare(p), p
		}
	}
	for i, layout := range d.chassis.Part.GetChassis().Layouts {
		if i == d.limits.index {
			continue
		}
		if p := d.planOf(i, nil); p != nil && p.seen && p.found {
			return "Choose the layout " + titleOf(layout) + ", where everything goes together" + spare(p), p
		}
	}
	return "", nil
}

// toBuy names what a remedy takes besides.
func toBuy(list []arrange.Purchase) string {
	var words []string
	for _, b := range list {
		word := b.Resource
		if b.Pieces > 1 {
			word = kit.FormatNumber(float64(b.Pieces), "") + " of " + word
		}
		words = append(words, word)
	}
	if len(words) == 0 {
		return ""
	}
	return ", with " + strings.Join(words, " and ") + " to buy"
}

func spare(p *plan) string {
	if len(p.chosen.gaps) == 0 {
		return ""
	}
	return ", " + kit.FormatNumber(settledZero(p.chosen.margin), "mm") + " to spare in the tightest place"
}
