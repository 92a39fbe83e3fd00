package clearance

import "slipfit.example/rules/kit"

var radiatorPlaceRule = kit.Rule{
	ID: "clearance.radiator-place", Title: "A place for each radiator", Since: "0.1.0",
	Why: "A radiator goes only where its nominal size is listed, and each place takes one.",
	Formula: "Radiators are sent to places so that the most of them find one, fixed choices kept; of those ways the one is taken that leaves most room " +
		"and takes fewest places from fans. Margin is the number of radiators with a place less their number.",
	Sources: []sourceOf{makersLimit, kit.CommonPractice},
	Reads: []string{
		"radiator.nominal_mm", "liquid_loop.radiator.nominal_mm", "chassis.limits.radiators", "chassis.layouts.limits.radiators",
		"chassis.layouts.mounts.sizes_mm", "chassis.layouts.mounts.excludes",
	},
	Texts: map[string]string{
		"pass":    "The {size} radiator of {radiator} goes to {places}.",
		"fail":    "No place in this layout is listed for the {size} radiator of {radiator}.",
		"taken":   "{lacking} of {wanted} radiators of {size} find no place: the places that list the size are taken or excluded by others, or the choices made keep them out ({radiator}).",
		"unknown": "Whether the radiator of {radiator} finds a place cannot be told without {missing}; look in the data sheets of radiator and enclosure.",
	},
	Remedies: map[string]string{
		"other": "Choose a radiator of a listed size, or another layout.",
		"fewer": "Leave a radiator out, free a place, or choose another size or layout.",
	},
	Judge: judgeRadiatorPlace,
}

func judgeRadiatorPlace(c *kit.Case) {
	d := deskOf(c)
	if d == nil {
		return
	}
	for i := range d.radiators {
		r := &d.radiators[i]
		size := r.nominal(c)
		f := d.judgePlaces(r, d.radiatorPlaces, outcomeOf(r, d.radiatorSeats), size, radiatorList, "radiator")
		if f.Verdict() != kit.Fail {
			continue
		}
		if d.listed(r.size) {
			f.Say("taken").Remedy("fewer")
		} else {
			f.Remedy("other")
		}
	}
}

// nominal is the radiator's size in the trade.
func (p *party) nominal(c *kit.Case) kit.Value {
	if p.size == 0 {
		return c.Absent(p.item.At(p.fieldOf("radiator.nominal_mm", "liquid_loop.radiator.nominal_mm")), "mm")
	}
	v := count(c, p.item, p.fieldOf("radiator.nominal_mm", "liquid_loop.radiator.nominal_mm"), &p.size)
	return v.With(v.Range, "mm")
}

func (p *party) fieldOf(loose, loop string) string {
	if p.inLoop {
		return loop
	}
	return loose
}

// listed reports whether any place lists a nominal size.
func (d *desk) listed(nominal uint32) bool {
	for i := range d.radiatorPlaces {
		if takes, _ := d.radiatorPlaces[i].takes(nominal); takes {
			return true
		}
	}
	return false
}
