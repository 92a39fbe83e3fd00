package power

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
	"slipfit.example/rules/standards"
)

var reserveShare = kit.Parameter{
	Name: "power.supply-load.reserve_share", Unit: "share", Default: 0.2, Least: 0, Greatest: 0.9,
	Purpose: "How much of the supply's rating stays free under sustained load, for ageing, warm air, later parts and a quiet fan.",
	Source:  kit.CommonPractice,
}

var srcRating = standards.Source{
	ID: "supply-rating", Title: "continuous rating that the supply's maker states", Standing: standards.Derived, Witnesses: 1,
}

var supplyLoad = kit.Rule{
	ID: "power.supply-load", Title: "Sustained load on the supply", Since: "0.1.0", Alone: true,
	Why: "A supply that is asked for more than its rating for seconds on end switches off, or ages fast. " +
		"The custom of leaving a fifth free is no limit of any standard, so missing it alone never fails a build.",
	Formula: "The rating, at the room's temperature where the supply derates, less the reserve, less the sum of all sustained demands: " +
		"board, processor, memory by module, cards, drives, pump, and fans by their current at greatest speed times 12 V. " +
		"Over the rating fails; into the reserve is marginal.",
	Parameters: []*kit.Parameter{&reserveShare, &kit.PowerTolerance},
	Sources:    []standards.Source{srcRating, kit.CommonPractice},
	Reads: []string{
		"supply.rated_w", "supply.deratings", "board.demand.sustained_w", "processor.demand.sustained_w",
		"memory.demand.sustained_w", "memory.modules", "card.demand.sustained_w", "drive.demand.sustained_w",
		"fan.current_a", "air_cooler.fans", "liquid_loop.fans", "liquid_loop.pump_power_w", "use.loads", "room.temperature_c",
	},
	Texts: map[string]string{
		"pass":     "The parts draw {measured} and {supply} gives {required} with its reserve left free, {margin} to spare.",
		"marginal": "The parts draw {measured} as printed, which {supply} gives with its reserve left free; if they draw more than printed, {shortfall} of the reserve is used.",
		"reserve":  "The parts draw {measured}, which {supply} gives within its {rated}, but it uses {shortfall} of the reserve of {reserve}.",
		"fail":     "The parts draw {measured} and {supply} is rated {rated}, so it is overloaded.",
		"over-already": "The parts that are known draw {measured} already and {supply} is rated {rated}, so it is overloaded " +
			"whatever the rest draws; not known: {missing}.",
		"unknown":          "The known parts draw {known}; the sum cannot be told for want of {missing}, which data sheets list as power or current.",
		"incomplete":       "The known parts draw {known}; the build names no board or no processor, so this is not the whole sum; missing: {missing}.",
		"no-supply":        textNoSupply,
		"several-supplies": textSuppliers,
	},
	Remedies: map[string]string{
		"stronger": "Choose a supply that is rated at least {needed}.",
		"less":     "Set lower power limits, for {shortfall} less in all.",
	},
	Judge: judgeSupplyLoad,
}

func judgeSupplyLoad(c *kit.Case) {
	s := surveyOf(c)
	if s.withoutSupply(c) {
		return
	}
	reserve := c.Parameter(&reserveShare)
	rating, derating := s.rating(c), s.derating(c)
	warm := rating.With(rating.Mul(derating.Range), "W")
	usable := rating.With(warm.Scale(1-reserve.Nominal), "W")
	if !derating.Known() {
		usable = c.Derived(usable.Range, "W", rating, derating)
	}
	known := kit.Constant(0, "W").With(s.known, "W")
	over := rating.Known() && derating.Known() && s.known.Nominal > warm.Nominal

	var f *kit.Finding
	switch {
	case len(s.gaps) == 0:
		f = c.AtMost(known, usable).Using(s.values...)
	case over:
		f = c.AtMost(known, usable).Despite(s.values...).Say("over-already")
	default:
		f = c.AtMost(c.Derived(s.known, "W", s.gaps...), usable).Using(s.values...)
	}
	f.Using(derating).Despite(reserve)
	if !over {
		f.AtWorst(kit.Marginal)
	}
	if f.Verdict() == kit.Marginal && f.Margin().Nominal < 0 {
		f.Say("reserve")
	}
	if f.Verdict() == kit.Unknown && !(s.processor && s.board) {
		f.Say("incomplete")
	}
	f.About(s.supply).Word("supply", s.supply.Name()).Number("rated", warm).Number("reserve", reserve).Number("known", known)
	if usable.Nominal > 0 {
		needed := s.known.High / (1 - reserve.Nominal) / derating.Nominal
		f.Number("needed", kit.Constant(needed, "W")).
			RemedyOf("stronger", kit.Constant(needed-rating.Nominal, "W")).RemedyOf("less", f.Shortfall())
	}
}

// derating is the share of the rating that the supply gives in the room's air. It
// is one where the supply states no derating. The build's own air may be warmer;
// supplies draw theirs from outside where the enclosure lets them.
func (s *survey) derating(c *kit.Case) kit.Value {
	points := s.supply.Part.GetSupply().Deratings
	if len(points) == 0 {
		return kit.Constant(1, "share")
	}
	room := c.Given(kit.Path{Field: "room.temperature_c"}, temperatureOf(c.Build.GetRoom()), "°C")
	if !room.Known() {
		return room
	}
	share, ok := shareAt(points, room.Nominal)
	if !ok {
		return c.Absent(s.supply.At("supply.deratings"), "share")
	}
	return room.With(quantity.Exact(share), "share")
}

func temperatureOf(room *v1.Room) *float64 {
	if room == nil {
		return nil
	}
	return room.TemperatureC
}

// shareAt reads the rating left at a temperature: straight between points, the
// first point's below it; above the last one nothing is promised.
func shareAt(points []*v1.DeratingPoint, celsius float64) (share float64, ok bool) {
	var below, above *v1.DeratingPoint
	for _, p := range points {
		if p.GetAirC() <= celsius && (below == nil || p.GetAirC() > below.GetAirC()) {
			below = p
		}
		if p.GetAirC() >= celsius && (above == nil || p.GetAirC() < above.GetAirC()) {
			above = p
		}
	}
	switch {
	case above == nil:
		return 0, false
	case below == nil || below.GetAirC() == above.GetAirC():
		return above.GetShare(), true
	}
	t := (celsius - below.GetAirC()) / (above.GetAirC() - below.GetAirC())
	return (1-t)*below.GetShare() + t*above.GetShare(), true
}
