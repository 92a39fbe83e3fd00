package mounting

import (
	"slipfit.example/rules/kit"
)

var heavyFan = kit.Parameter{
	Name: "mounting.fan-hold.heavy_g", Unit: "g", Default: 200, Least: 20, Greatest: 2000,
	Purpose: "From which mass on two screws do not hold a fan.",
	Source:  kit.CommonPractice,
}

var fanHoldRule = kit.Rule{
	ID: "mounting.fan-hold", Title: "Fans with covered holes", Since: "0.1.0",
	Why: "Where the enclosure covers some of a fan's holes, the screws that are left must still hold it.",
	Formula: "Three of a fan's four screws hold it, so that one covered hole is never a failure. Two hold a light fan, and one holds none. " +
		"Where the mount says how many are enough, that counts.",
	Sources:    []sourceOf{kit.CommonPractice},
	Reads:      []string{"mass_g", "chassis.limits.fans.covered_holes", "chassis.layouts.limits.fans.covered_holes", "chassis.layouts.mounts.joints"},
	UsesFacts:  []string{factArrangement},
	Parameters: []*kit.Parameter{&heavyFan},
	Texts: map[string]string{
		"pass":     "{held} screws hold {part} at {place}.",
		"marginal": "At {place} the enclosure covers {covered} of the holes of {part}; the {held} screws that are left hold it.",
		"fail":     "At {place} the enclosure covers {covered} of the holes of {part}; {held} screws do not hold it.",
		"unknown":  "Whether {part} is held where the enclosure covers holes cannot be told without {missing}; weigh the fan or look into its data sheet.",
	},
	Remedies: map[string]string{
		"check": "Put in all screws that are left, and see that the fan does not rattle.",
		"other": "Put the fan at another place, or choose a lighter one.",
	},
	Judge: judgeFanHold,
}

func judgeFanHold(c *kit.Case) {
	s := sceneOf(c)
	if s.chassis == nil {
		return
	}
	for it := range c.Items(kit.KindFan) {
		if !s.arrange {
			if s.anyCovered() {
				c.Judged(kit.Unknown, c.AbsentFact(factArrangement, "")).About(it, s.chassis).Word("part", it.Name())
			}
			continue
		}
		for mount := range s.mountsOf(it) {
			if covered := s.coveredHoles(mount); covered > 0 && !s.onRadiator(mount) {
				s.judgeHold(it, mount, covered)
			}
		}
	}
}

// anyCovered reports whether the enclosure covers holes of any fan place.
func (s *scene) anyCovered() bool {
	chassis := s.chassis.Part.GetChassis()
	for _, f := range chassis.GetLimits().GetFans() {
		if f.GetCoveredHoles() > 0 {
			return true
		}
	}
	for _, l := range chassis.Layouts {
		for _, f := range l.GetLimits().GetFans() {
			if f.GetCoveredHoles() > 0 {
				return true
			}
		}
		for _, m := range l.Mounts {
			if d := stated(m, nil, "fan", "screw"); d.GetCovered() > 0 {
				return true
			}
		}
	}
	return false
}

// holdsAlways is how many screws hold a fan of any mass.
const holdsAlways = 3

func (s *scene) judgeHold(it *kit.Item, mount string, covered int) {
	c, held := s.c, screwsPerFan-covered
	enough := holdsAlways
	d := stated(s.mount(mount), nil, "fan", "screw")
	if d.GetEnough() > 0 {
		enough = int(d.GetEnough())
	}
	var f *kit.Finding
	switch {
	case held >= enough:
		f = c.Judged(kit.Marginal)
	case held < 2 || d.GetEnough() > 0:
		f = c.Judged(kit.Fail)
	default:
		f = s.judgeByMass(it)
	}
	f.About(it, s.chassis).Word("part", it.Name()).Word("place", mount).
		Number("covered", kit.Constant(float64(covered), "")).Number("held", kit.Constant(float64(held), ""))
	if f.Verdict() == kit.Fail {
		f.Remedy("other")
	} else {
		f.Remedy("check")
	}
}

// judgeByMass reports on a fan that two screws hold: a heavy one they do not.
func (s *scene) judgeByMass(it *kit.Item) *kit.Finding {
	mass, heavy := s.c.Figure(it, "mass_g", it.Part.MassG, "g", 0), s.c.Parameter(&heavyFan)
	if mass.Known() && mass.Nominal <= heavy.Nominal {
		return s.c.Judged(kit.Marginal, mass, heavy)
	}
	return s.c.AtMost(mass, heavy)
}
