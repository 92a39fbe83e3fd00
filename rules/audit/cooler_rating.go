package audit

import (
	"strconv"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

var coolerRatingRule = kit.Rule{
	ID: "audit.cooler-rating", Title: "A cooler's rating against its own resistance and size", Since: "0.1.0",
	Why:     "Rated heat and rise are a resistance in other words; where measured resistances contradict them, one of the two will make a forecast wrong.",
	Formula: "The rated heat is held against the rated rise over the least and the greatest resistance, a factor of two to either side; the room left for memory against the cooler's height.",
	Sources: []source{arithmetic, experience},
	Reads: []string{
		"air_cooler.rated_heat_w", "air_cooler.rated_rise_k", "air_cooler.resistances.resistance_k_per_w",
		"air_cooler.memory_clearance_mm", "air_cooler.height_mm",
		"liquid_loop.rated_heat_w", "liquid_loop.rated_rise_k", "liquid_loop.resistances.resistance_k_per_w",
	},
	Texts: texts("The rating of {part} goes with its own figures.",
		"Whether the rating of {part} goes with its resistances cannot be told without {missing}: the rise at which it holds."),
	Remedies: remedies(),
	Judge:    each(judgeCoolerRating),
}

const (
	ratingPlay = 2
	// resistances of coolers of any size, in K/W
	leastResistance, greatestResistance = 0.08, 1.2
)

func judgeCoolerRating(s *sheet) {
	switch kind := s.it.Part.GetKind().(type) {
	case *v1.Part_AirCooler:
		a := kind.AirCooler
		holdRating(s, "air_cooler.", a.RatedHeatW, a.RatedRiseK, a.Resistances)
		if a.HeightMm != nil && inPlace(a, usualCooler[:1]) {
			s.hold(figure{"air_cooler.memory_clearance_mm", a.MemoryClearanceMm, "mm", 0, *a.HeightMm,
				func() string { return "it is " + kit.FormatNumber(*a.HeightMm, "mm") + " tall" }, true})
		}
	case *v1.Part_LiquidLoop:
		l := kind.LiquidLoop
		holdRating(s, "liquid_loop.", l.RatedHeatW, l.RatedRiseK, l.Resistances)
	}
}

func holdRating(s *sheet, prefix string, heat, rise *float64, resistances []*v1.ResistancePoint) {
	if heat == nil || len(resistances) == 0 || rise == nil {
		return
	}
	least, greatest := resistances[0].GetResistanceKPerW(), resistances[0].GetResistanceKPerW()
	for _, r := range resistances {
		least, greatest = min(least, r.GetResistanceKPerW()), max(greatest, r.GetResistanceKPerW())
	}
	// A resistance that no cooler has is what wants looking at, not the rating.
	for i, r := range resistances {
		if v := r.ResistanceKPerW; v != nil && (*v < leastResistance || *v > greatestResistance) {
			s.hold(figure{prefix + "resistances[" + strconv.Itoa(i) + "].resistance_k_per_w", v, "K/W", leastResistance, greatestResistance,
				between("resistances of coolers", leastResistance, greatestResistance, "K/W"), false})
			return
		}
	}
	low, high := *rise/greatest/ratingPlay, *rise/least*ratingPlay
	s.hold(figure{prefix + "rated_heat_w", heat, "W", low, high,
		between("heats that go with its rise and resistances", low, high, "W"), false}, s.given(prefix+"rated_rise_k", rise, "K"))
}
