package clearance

import (
	"strconv"

	"slipfit.example/rules/kit"
)

var radiatorThicknessRule = kit.Rule{
	ID: "clearance.radiator-thickness", Title: "Radiator and fans in their place", Since: "0.1.0",
	Why: "Radiator and fans lie on each other; a stack that is too deep meets the card, the supply or the panel.",
	Formula: "Margin is the deepest stack that the place takes, less the radiator's thickness, less that of its fans: once, or twice where there are " +
		"more fans than one row of the radiator's size holds.",
	Sources: []sourceOf{makersLimit, kit.CommonPractice},
	Reads: []string{
		"radiator.thickness_mm", "liquid_loop.radiator.thickness_mm", "liquid_loop.fans.fan.thickness_mm", "liquid_loop.fans.count", "fan.thickness_mm",
		"chassis.limits.radiators.thickness_mm", "chassis.layouts.limits.radiators.thickness_mm",
	},
	Parameters: []*kit.Parameter{&kit.LengthTolerance},
	Texts: map[string]string{
		"pass":     "The radiator of {radiator} with its fans is {measured} deep at {place}, where {required} are free: {margin} to spare.",
		"marginal": "The radiator of {radiator} with its fans is {measured} deep at {place}, where {required} are free: {margin} to spare, less than the figures may be off.",
		"fail":     "The radiator of {radiator} with its fans is {measured} deep at {place}, where only {required} are free.",
		"bare":     "The radiator of {radiator} alone is {measured} deep at {place}, where only {required} are free, and its fans come on top.",
		"unknown":  "Whether the radiator of {radiator} and its fans are not too deep for {place} cannot be told without {missing}; look in the data sheets of all three.",
		"no-fans":  "The radiator of {radiator} has no fans in this build, so that its depth at {place} cannot be told; add the fans.",
	},
	Remedies: map[string]string{
		"slimmer": "Choose a radiator or fans that are at least {shortfall} slimmer together, or another place.",
		"measure": "Measure radiator, fans and place before you order: {shortfall} more room would put it beyond doubt.",
	},
	Judge: judgeRadiatorThickness,
}

func judgeRadiatorThickness(c *kit.Case) {
	d := deskOf(c)
	if d == nil {
		return
	}
	for i := range d.radiatorSeats {
		s := &d.radiatorSeats[i]
		judgeStack(d, s)
	}
}

func judgeStack(d *desk, s *seat) {
	c, r := d.c, s.party
	limit := c.Length(d.chassis, s.place.path(placeThickness), s.place.thickness)
	bare := c.Length(r.item, r.fieldOf("radiator.thickness_mm", "liquid_loop.radiator.thickness_mm"), r.thickness)
	fans, any := d.fansOn(s)
	if (!any || !fans.Known()) && bare.Known() && limit.Known() && bare.Nominal > limit.Nominal {
		f := c.AtMost(bare, limit).About(r.item, d.chassis).Say("bare")
		f.Word("radiator", r.item.Name()).Word("place", s.place.mount).RemedyOf("slimmer", f.Shortfall())
		return
	}
	if !any {
		c.AtMost(bare, limit).Using(c.Absent(noItem, "mm")).About(r.item, d.chassis).Say("no-fans").
			Word("radiator", r.item.Name()).Word("place", s.place.mount)
		return
	}
	f := c.AtMost(c.Sum("mm", bare, fans), limit).About(r.item, d.chassis)
	f.Word("radiator", r.item.Name()).Word("place", s.place.mount)
	lowerOrMeasure(f, "slimmer")
}

// fansOn is the depth of a seated radiator's fans, its own and the loose ones
// that were sent to it; any is false where it has none.
func (d *desk) fansOn(s *seat) (depth kit.Value, any bool) {
	if len(s.party.ownFans) > 0 {
		depth, any = ownFans(d.c, s.party), true
	}
	for i := range d.fanSeats {
		fan := &d.fanSeats[i]
		if fan.place.radiator != s.party || fan.place.mount != s.place.mount {
			continue
		}
		loose := d.c.Length(fan.party.item, "fan.thickness_mm", fan.party.thickness)
		switch {
		case !any:
			depth, any = loose, true
		case len(s.party.ownFans) > 0:
			return d.c.Sum("mm", depth, loose), true
		case loose.Nominal > depth.Nominal || !loose.Known():
			depth = loose
		}
	}
	return depth, any
}

// ownFanPaths are where a loop says how thick its fans are.
var ownFanPaths = func() (paths [4]string) {
	for i := range paths {
		paths[i] = "liquid_loop.fans[" + strconv.Itoa(i) + "].fan.thickness_mm"
	}
	return paths
}()

// ownFans is the depth of a loop's own fans.
func ownFans(c *kit.Case, r *party) kit.Value {
	thickest, layers := ownFanStack(r)
	at := 0
	for i, s := range r.ownFans {
		if s.Fan != nil && s.Fan.ThicknessMm == thickest && i < len(ownFanPaths) {
			at = i
		}
	}
	v := c.Length(r.item, ownFanPaths[at], thickest)
	if layers > 1 {
		return v.With(v.Scale(float64(layers)), "mm")
	}
	return v
}
