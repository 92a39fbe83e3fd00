package mounting

import (
	"slices"

	"slipfit.example/rules/fastening"
	"slipfit.example/rules/kit"
)

var holePlay = kit.Parameter{
	Name: "mounting.hole-pattern.play_mm", Unit: "mm", Default: 1, Least: 0, Greatest: 10,
	Purpose: "How far a hole of the part and one of its mount may lie apart for a screw to go through both.",
	Source:  kit.CommonPractice,
}

var heavyPart = kit.Parameter{
	Name: "mounting.hole-pattern.heavy_g", Unit: "g", Default: 200, Least: 10, Greatest: 5000,
	Purpose: "From which mass on two screws do not hold a part.",
	Source:  kit.CommonPractice,
}

var holePatternRule = kit.Rule{
	ID: "mounting.hole-pattern", Title: "Holes of a part over those of its mount", Since: "0.1.0",
	Why: "A part is held only where its holes lie over threads and a driver gets at them; one that hangs on one side bends, tears out, or shorts on its tray.",
	Formula: "The holes of board, supply, fan, radiator, drive and cooler, by their own list, their form factor's standard or the socket, are laid over the mount's " +
		"where the arrangement puts them; a mount without a list of holes is made for what it takes. Holes that lie over none, that matter covers where the screw's " +
		"head would be, or that the enclosure keeps a driver from, take no screw. All others make it whole; three that span an area hold it; two hold a light part, " +
		"and not if they lie on one side of a heavy one. Where the mount says how many are enough, that counts. Holes of sockets are known from memory, and no more " +
		"than doubtful.",
	Sources: []sourceOf{
		sourceByID("microatx-1.2-fig2"), sourceByID("supply-screw"), sourceByID("fan-pitch-2"), sourceByID("radiator-holes"), sourceByID("sff-8201-bottom"),
		sourceByID("sff-8301-bottom"), sourceByID("socket-holes"), kit.CommonPractice,
	},
	Reads: []string{
		"board.form_factor", "board.holes", "board.socket", "board.socket_centre", "holes", "supply.form_factor", "fan.size_mm", "fan.hole_pitch_mm",
		"radiator.nominal_mm", "liquid_loop.radiator.nominal_mm", "liquid_loop.brackets.holes", "air_cooler.brackets.holes", "drive.form_factor",
		"fan.thickness_mm", "radiator.length_mm", "radiator.width_mm", "liquid_loop.radiator.length_mm", "liquid_loop.radiator.width_mm",
		"chassis.panels", "chassis.layouts.mounts.poses", "chassis.layouts.mounts.holes", "chassis.layouts.mounts.joints", "mass_g", "joints",
		"kit.pieces", "accessory.provides",
	},
	UsesFacts:  []string{factArrangement},
	Parameters: []*kit.Parameter{&holePlay, &heavyPart},
	Texts: map[string]string{
		"pass":     "All {needed} holes of {part} at {place} take a screw, and a driver gets at them.",
		"marginal": "{part} is held at {place} by {held} of {needed} holes: {why}.",
		"fail":     "{part} is not held at {place}: {held} of {needed} holes take a screw, {why}.",
		"unknown":  "Whether {part} is held at {place} cannot be told: {missing} is missing, or names a hole that is there twice or lies off the part; mend it by the drawing.",
	},
	Remedies: map[string]string{
		"screws": "Put a screw into every hole that is left, and support the part at the free corner when plugs go in.",
		"other":  "Use another mount or layout, or a bracket whose holes are those of the part.",
	},
	Judge: judgeHolePattern,
}

func judgeHolePattern(c *kit.Case) {
	s := sceneOf(c)
	if s.chassis == nil || s.layout == nil {
		return
	}
	for i := range s.seatings() {
		if x := &s.sat[i]; !x.told && !(i > 0 && x.passesLike(&s.sat[i-1])) {
			s.judgeSeating(x)
		}
	}
}

// passesLike reports whether a piece passes at the same mount as the like piece
// before it, of which it has been said already.
func (x *seating) passesLike(before *seating) bool {
	holds := func(x *seating) bool { return !x.flawed && x.met.held == len(x.part.holes) }
	return x.item == before.item && x.place == before.place && holds(x) && holds(before)
}

func (s *scene) judgeSeating(x *seating) {
	c := s.c
	about := []*kit.Item{x.item, x.to}
	if x.flawed {
		if x.flawOf == x.to {
			slices.Reverse(about)
		}
		c.Judged(kit.Unknown, c.Absent(x.flaw, "")).About(about...).Word("part", x.item.Name()).Word("place", x.place)
		return
	}
	play, needed := c.Parameter(&holePlay), x.part.needed
	if needed == 0 {
		needed = len(x.part.holes)
	}
	var f *kit.Finding
	switch holding := fastening.Judge(x.part.holes, x.met.used, needed); {
	case holding == fastening.HeldByAll:
		f = c.Judged(kit.Pass, play)
	case holding == fastening.HeldByEnough, x.enough > 0 && x.met.held >= x.enough:
		f = c.Judged(kit.Marginal, play)
	case holding == fastening.HeldIfLight && x.enough == 0:
		f = s.judgeLight(x, play)
	default:
		f = c.Judged(x.worst, play)
	}
	f.About(about...).Word("part", x.item.Name()).Word("place", x.place).Word("why", x.met.why()).
		Number("held", kit.Constant(float64(x.met.held), "")).Number("needed", kit.Constant(float64(needed), ""))
	if f.Verdict() == kit.Fail {
		f.Remedy("other")
	} else {
		f.Remedy("screws")
	}
}

// judgeLight reports on a part on two screws: a light one is held.
func (s *scene) judgeLight(x *seating, play kit.Value) *kit.Finding {
	mass, heavy := s.c.Figure(x.item, "mass_g", x.item.Part.MassG, "g", 0), s.c.Parameter(&heavyPart)
	oneSide := fastening.OneSide(x.part.holes, x.met.used)
	verdict := kit.Marginal
	if mass.Nominal > heavy.Nominal || oneSide && mass.Nominal > heavy.Nominal/2 {
		verdict = x.worst
	}
	return s.c.Judged(verdict, mass, heavy, play)
}
