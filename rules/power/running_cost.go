package power

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
	"slipfit.example/rules/standards"
)

var mostEnergy = kit.Parameter{
	Name: "power.running-cost.most_kwh", Unit: "kWh", Default: 1e6, Least: 0, Greatest: 1e6,
	Purpose: "How much energy from the mains the build may take in a year; the default sets no limit.",
	Source:  kit.CommonPractice,
}

// daysPerYear is that of the Gregorian calendar.
const daysPerYear = 365.2425

var runningCost = kit.Rule{
	ID: "power.running-cost", Title: "Energy and its price in a year", Since: "0.1.0",
	Why: "Over its life a computer can cost more at the meter than some of its parts did, and most of that is decided by the loads and the supply's efficiency.",
	Formula: "Sustained demands plus the supply's loss at that load, times the hours of use a day, times 365.2425 days; times the price of a kWh. " +
		"What the supply takes while the computer is switched off is not counted.",
	Parameters: []*kit.Parameter{&mostEnergy, &kit.PowerTolerance},
	Sources:    []standards.Source{standards.EfficiencyMarks()[0].Source, kit.CommonPractice},
	Reads: []string{
		"use.hours_per_day", "use.price_per_kwh", "use.loads", "room.mains_v", "supply.efficiencies", "supply.efficiency_mark", "supply.rated_w",
	},
	Texts: map[string]string{
		"pass": "At {hours} a day the build takes {mains} from the mains and {year} in a year; " +
			"{loss} of it is turned to heat in the supply at an efficiency of {efficiency}.",
		"priced": "At {hours} a day the build takes {mains} from the mains and {year} in a year, which costs {price} {currency}; " +
			"{loss} is turned to heat in the supply at an efficiency of {efficiency}.",
		"marginal": "The build takes {measured} in a year, close to the {required} that are allowed.",
		"fail":     "The build takes {measured} in a year, and {required} are allowed.",
		"unknown":  "What energy the build takes cannot be told for want of {missing}.",
	},
	Remedies: map[string]string{
		"less": "Lower the loads or the hours, for {shortfall} less in a year.",
	},
	Judge: judgeRunningCost,
}

// fromMains is what the build takes from the mains, and what it was worked out
// from.
func (s *survey) fromMains(c *kit.Case) (mains, loss kit.Value, evidence []kit.Value) {
	volts, rating := s.mainsVoltage(c), s.rating(c)
	if room := c.Build.GetRoom(); room == nil || room.MainsV == nil {
		volts = c.Absent(kit.Path{Field: "room.mains_v"}, "V")
	}
	efficiency := efficiencyEvidence(c, s.supply, volts.Nominal)
	evidence = []kit.Value{volts, rating, efficiency}
	mains = c.Derived(quantity.Range{}, "W", append(s.gaps, evidence...)...)
	if !mains.Known() {
		return mains, mains, evidence
	}
	heat, ok := s.loss(volts.Nominal)
	if !ok {
		absent := c.Absent(s.supply.At("supply.efficiencies"), "W")
		return absent, absent, evidence
	}
	return mains.With(s.known.Add(heat), "W"), mains.With(heat, "W"), evidence
}

func judgeRunningCost(c *kit.Case) {
	s := surveyOf(c)
	use := c.Build.GetUse()
	if s.supply == nil || use == nil || use.HoursPerDay == nil {
		return
	}
	hours := c.Given(kit.Path{Field: "use.hours_per_day"}, use.HoursPerDay, "h")
	mains, loss, evidence := s.fromMains(c)
	year := mains.With(mains.Scale(hours.Nominal*daysPerYear/1000), "kWh")
	f := againstLimit(c, year, evidence).Despite(hours)
	f.About(s.supply).Number("year", year).Number("hours", hours).Number("mains", mains).Number("loss", loss)
	if mains.Known() && mains.Nominal > 0 {
		f.Number("efficiency", kit.Constant(s.known.Nominal/mains.Nominal, "share"))
	} else {
		f.Word("efficiency", "0 %")
	}
	if use.PricePerKwh != nil {
		f.SayWhen(kit.Pass, "priced").Despite(c.Given(kit.Path{Field: "use.price_per_kwh"}, use.PricePerKwh, "")).
			Word("price", kit.FormatNumber(year.Nominal*(*use.PricePerKwh), "")).Word("currency", s.currency(c))
	}
	f.RemedyOf("less", f.Shortfall())
}

// againstLimit compares a year's energy with the limit of the policy, where that sets one.
func againstLimit(c *kit.Case, year kit.Value, evidence []kit.Value) *kit.Finding {
	if limit := c.Parameter(&mostEnergy); limit.Nominal < mostEnergy.Greatest {
		return c.AtMost(year, limit).Using(evidence...)
	}
	return c.Judged(kit.Pass, year).Using(evidence...)
}

// currency is that of the parts' prices, or a word for it.
func (s *survey) currency(c *kit.Case) string {
	for it := range c.AllItems() {
		if word := it.Part.GetPrice().GetCurrency(); word != "" {
			return word
		}
	}
	return "in the currency of the price"
}
