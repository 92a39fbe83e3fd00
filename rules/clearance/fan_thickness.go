package clearance

import "slipfit.example/rules/kit"

var fanThicknessRule = kit.Rule{
	ID: "clearance.fan-thickness", Title: "Thickness of the fan in its place", Since: "0.1.0",
	Why:        "A fan that is too thick meets the board, a drive or the card beside it.",
	Formula:    "Margin is the thickest fan that the place takes, less the fan's thickness.",
	Sources:    []sourceOf{makersLimit},
	Reads:      []string{"fan.thickness_mm", "chassis.limits.fans.thickness_mm", "chassis.layouts.limits.fans.thickness_mm"},
	Parameters: []*kit.Parameter{&kit.LengthTolerance},
	Texts: map[string]string{
		"pass":     "{fan} is {measured} thick at {place}, where {required} are free: {margin} to spare.",
		"marginal": "{fan} is {measured} thick at {place}, where {required} are free: {margin} to spare, less than the figures may be off.",
		"fail":     "{fan} is {measured} thick at {place}, where only {required} are free.",
		"unknown":  "Whether {fan} is not too thick for {place} cannot be told without {missing}; look in the data sheets of fan and enclosure, or measure.",
	},
	Remedies: map[string]string{
		"slimmer": "Choose a fan that is at least {shortfall} slimmer, or another place.",
		"measure": "Measure fan and place before you order: {shortfall} more room would put it beyond doubt.",
	},
	Judge: func(c *kit.Case) {
		d := deskOf(c)
		if d == nil {
			return
		}
		for i := range d.fanSeats {
			s := &d.fanSeats[i]
			if s.place.radiator != nil {
				continue // judged with the radiator
			}
			f := c.AtMost(c.Length(s.party.item, "fan.thickness_mm", s.party.thickness), d.placeThickness(s.place))
			f.About(s.party.item, d.chassis).Word("fan", s.party.item.Name()).Word("place", s.place.mount)
			lowerOrMeasure(f, "slimmer")
		}
	},
}

// placeThickness is the thickest fan that a place takes. A place that stands as a
// mount alone leaves its thickness to the geometry, and so wants it in the limits.
func (d *desk) placeThickness(p *place) kit.Value {
	if p.owner < 0 {
		return d.absent(fanList, "mm")
	}
	return d.c.Length(d.chassis, p.path(placeThickness), p.thickness)
}
