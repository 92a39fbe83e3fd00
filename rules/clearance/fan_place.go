package clearance

import "slipfit.example/rules/kit"

var fanPlaceRule = kit.Rule{
	ID: "clearance.fan-place", Title: "A place for each fan", Since: "0.1.0",
	Why: "A fan goes only where its frame size is listed, and a radiator on the same mount takes the place away.",
	Formula: "Fans are sent to places and to radiators without fans so that the most of them find one, fixed choices kept. Margin is the number of fans with " +
		"a place less their number. Smaller fans than a place counts may go on a row that is long enough; whether it has holes for them is not published.",
	Sources: []sourceOf{makersLimit, kit.CommonPractice},
	Reads: []string{
		"fan.size_mm", "chassis.limits.fans", "chassis.layouts.limits.fans", "chassis.layouts.mounts.sizes_mm",
		"chassis.layouts.mounts.count", "chassis.layouts.mounts.excludes",
	},
	Texts: map[string]string{
		"pass":      "{wanted} of {fan} ({size}) go to {places}.",
		"stretched": "{wanted} of {fan} ({size}) go to {places} by the length of the row; the published number is for larger fans.",
		"fail":      "{lacking} of {wanted} fans of {size} find no place ({fan}).",
		"unknown":   "Whether {fan} finds a place cannot be told without {missing}; look in the data sheets of fan and enclosure.",
	},
	Remedies: map[string]string{
		"fewer": "Leave fans out, choose a size that the free places list, or another layout.",
		"holes": "Look whether the place has holes for fans of {size}.",
	},
	Judge: judgeFanPlace,
	Bound: boundFanPlace,
}

func judgeFanPlace(c *kit.Case) {
	d := deskOf(c)
	if d == nil {
		return
	}
	for i := range d.fans {
		p := &d.fans[i]
		o := outcomeOf(p, d.fanSeats)
		o.open = d.openPlace(p, d.fanPlaces, func(at *place) bool { takes, stated := at.takes(p.size); return takes || !stated })
		f := d.judgePlaces(p, d.fanPlaces, o, p.frame(c), fanList, "fan")
		switch f.Verdict() {
		case kit.Marginal:
			f.Remedy("holes")
		case kit.Fail:
			f.Remedy("fewer")
		}
	}
}

// frame is the fan's size.
func (p *party) frame(c *kit.Case) kit.Value {
	if p.size == 0 {
		return c.Absent(p.item.At("fan.size_mm"), "mm")
	}
	v := count(c, p.item, "fan.size_mm", &p.size)
	return v.With(v.Range, "mm")
}
