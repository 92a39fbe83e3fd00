package power

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
	"slipfit.example/rules/standards"
)

var continuousShare = kit.Parameter{
	Name: "power.mains.continuous_share", Unit: "share", Default: 0.8, Least: 0.1, Greatest: 1,
	Purpose: "How much of a branch circuit's breaker a load of three hours and more may use.",
	Source:  standards.BranchSource(),
}

// Mains inlets that the tables of the couplers lack.
var srcSmallInlet = standards.Source{
	ID: "iec-60320-small-inlets", Title: "IEC 60320 couplers C5/C6 and C7/C8, 2.5 A", Standing: standards.Memory, Witnesses: 1,
}

var mains = kit.Rule{
	ID: "power.mains", Title: "Mains current at the inlet and on the branch circuit", Since: "0.1.0", Alone: true,
	Why: "Cord, inlet and breaker carry the build's power and the supply's loss together. " +
		"A cord that is too weak gets hot, and a circuit that is loaded for hours needs its share kept free.",
	Formula: "The sum of all sustained demands plus the supply's loss, over mains voltage times power factor, against the inlet's rating; " +
		"the same plus what else runs on the circuit, against the continuous share of its breaker. " +
		"Under 160 V the rating of the inlet depends on the listing: its low end is the international one, its nominal value the North American.",
	Parameters: []*kit.Parameter{&continuousShare, &kit.PowerTolerance},
	Sources: []standards.Source{
		inletSource(), srcSmallInlet, standards.BranchSource(), standards.EfficiencyMarks()[0].Source, standards.MarkPowerFactor.Source,
	},
	Reads: []string{
		"supply.inlet", "supply.power_factor", "supply.efficiency_mark", "supply.efficiencies", "supply.rated_w",
		"room.mains_v", "room.branch_a", "room.branch_other_w", "use.hours_per_day", "use.loads",
	},
	Texts: map[string]string{
		"pass":     "The build draws {measured} from the mains and the {inlet} inlet carries {required}, {margin} to spare.",
		"marginal": "The build draws {measured} from the mains; the {inlet} inlet carries {required} at best, so the cord's own marking decides.",
		"fail":     "The build draws {measured} from the mains and the {inlet} inlet carries {required}.",
		"unknown":  "The mains current cannot be told for want of {missing}; the supply's data sheet and the socket outlet's circuit say it.",
		"over-already": "The known parts alone draw {measured} from the mains, over the {required} that are allowed; " +
			"not known: {missing}.",
		"branch-pass": "The circuit carries {measured} with the build on it, of {required} that may run for hours; the build takes {share} of its breaker.",
		"branch-marginal": "The circuit carries {measured} with the build on it, close to the {required} that may run for hours; " +
			"the build takes {share} of its breaker.",
		"branch-short": "The circuit carries {measured} with the build on it, more than the {required} that may run for three hours, " +
			"but it is used for shorter times.",
		"branch-fail":      "The circuit would carry {measured} with the build on it, and only {required} may run for hours.",
		"no-supply":        textNoSupply,
		"several-supplies": textSuppliers,
	},
	Remedies: map[string]string{
		"cord":    "Use a cord set that is marked for at least {high}, or a supply with a stronger inlet.",
		"circuit": "Move {shortfall} of load to another circuit, or lower the power limits.",
	},
	Cautions: map[string]string{
		"mains": "{code} Work on house wiring is for a licensed electrician.",
	},
	Judge: judgeMains,
}

func inletSource() standards.Source {
	coupler, err := standards.CouplerByToken("c14")
	if err != nil {
		panic(err)
	}
	return coupler.Source
}

// leastMains and greatestMains are the ends of what supplies are made for.
var leastMains, greatestMains = func() (least, greatest float64) {
	ranges := standards.ACRanges()
	return ranges[0].LowV, ranges[len(ranges)-1].HighV
}()

func judgeMains(c *kit.Case) {
	s := surveyOf(c)
	if s.withoutSupply(c) {
		return
	}
	volts := s.mainsVoltage(c)
	current, evidence := s.mainsCurrent(c, volts)
	limit := s.inletLimit(c, volts)
	room := c.Build.GetRoom()
	if room == nil || room.MainsV == nil {
		// Where the inlet carries the build at the lowest voltage there is, the
		// voltage need not be known.
		if len(s.gaps) > 0 || !current.Known() || !limit.Known() || current.High > limit.Low {
			current = c.Absent(kit.Path{Field: "room.mains_v"}, "A")
		}
	}
	if len(s.gaps) > 0 || !c.SpareAtMost(current, limit) {
		s.judgeInlet(c, current, limit, evidence)
	}
	if room != nil && room.BranchA != nil {
		s.judgeBranch(c, current, evidence)
	}
}

func (s *survey) judgeInlet(c *kit.Case, current, limit kit.Value, evidence []kit.Value) {
	f := s.hold(c, current, limit).Using(evidence...).About(s.supply).
		Word("inlet", s.supply.Part.GetSupply().GetInlet()).Number("high", kit.Constant(current.High, "A")).
		Remedy("cord")
	if f.Verdict() != kit.Pass {
		f.Caution("mains").Word("code", standards.MainsCaution)
	}
}

// hold compares a current with a limit. While demands are missing the known part
// can still fail it.
func (s *survey) hold(c *kit.Case, current, limit kit.Value) *kit.Finding {
	switch {
	case len(s.gaps) == 0:
		return c.AtMost(current, limit).Using(s.values...)
	case current.Known() && limit.Known() && current.Nominal > limit.Nominal:
		return c.AtMost(current, limit).Despite(s.values...).Say("over-already")
	default:
		return c.AtMost(c.Derived(current.Range, "A", append(s.gaps, current)...), limit).Using(s.values...)
	}
}

func (s *survey) judgeBranch(c *kit.Case, current kit.Value, evidence []kit.Value) {
	room := c.Build.GetRoom()
	share := c.Parameter(&continuousShare)
	breaker := c.Given(kit.Path{Field: "room.branch_a"}, room.BranchA, "A")
	limit := breaker.With(breaker.Scale(share.Nominal), "A")
	total := current
	var other kit.Value
	if room.BranchOtherW != nil && room.MainsV != nil {
		other = c.Given(kit.Path{Field: "room.branch_other_w"}, room.BranchOtherW, "W")
		total = current.With(current.Add(other.Scale(1 / *room.MainsV)), "A")
	}
	if len(s.gaps) == 0 && c.SpareAtMost(total, limit) {
		return
	}
	f := s.hold(c, total, limit).Using(evidence...).Despite(other, share)
	if hours := c.Build.GetUse(); hours != nil && hours.HoursPerDay != nil &&
		*hours.HoursPerDay < standards.ContinuousHours.Value && total.Nominal <= breaker.Nominal && f.Verdict() == kit.Fail {
		f.Despite(c.Given(kit.Path{Field: "use.hours_per_day"}, hours.HoursPerDay, "h")).AtWorst(kit.Marginal).Say("branch-short")
	}
	f.SayWhen(kit.Pass, "branch-pass")
	if f.Verdict() == kit.Marginal && f.Margin().Nominal >= 0 {
		f.Say("branch-marginal")
	}
	if f.Verdict() == kit.Fail && len(s.gaps) == 0 {
		f.Say("branch-fail")
	}
	f.About(s.supply).Number("share", kit.Constant(current.Nominal / *room.BranchA, "share")).
		RemedyOf("circuit", f.Shortfall()).Caution("mains").Word("code", standards.MainsCaution)
}

// mainsVoltage is the room's, or the whole range that supplies are made for.
func (s *survey) mainsVoltage(c *kit.Case) kit.Value {
	path := kit.Path{Field: "room.mains_v"}
	if room := c.Build.GetRoom(); room != nil && room.MainsV != nil {
		return c.Given(path, room.MainsV, "V")
	}
	return c.Assume(path, quantity.Range{Nominal: leastMains, Low: leastMains, High: greatestMains}, "V")
}

// mainsCurrent is what the known parts and the supply's loss draw from the mains,
// and the values that went in beside the demands.
func (s *survey) mainsCurrent(c *kit.Case, volts kit.Value) (kit.Value, []kit.Value) {
	rating, factor := s.rating(c), s.powerFactor(c)
	efficiency := efficiencyEvidence(c, s.supply, volts.Nominal)
	evidence := []kit.Value{volts, rating, factor, efficiency}
	if !rating.Known() || !factor.Known() || !efficiency.Known() {
		return c.Derived(quantity.Range{}, "A", rating, factor, efficiency), evidence
	}
	loss, ok := s.loss(volts.Nominal)
	if !ok {
		absent := c.Absent(s.supply.At("supply.efficiencies"), "share")
		return absent.With(quantity.Range{}, "A"), append(evidence, absent)
	}
	current, ok := s.known.Add(loss).Div(volts.Mul(factor.Range))
	if !ok {
		absent := c.Absent(kit.Path{Field: "room.mains_v"}, "A")
		return absent, append(evidence, absent)
	}
	return kit.Constant(0, "A").With(current, "A"), evidence
}

// powerFactor is the supply's, or the least one that an efficiency mark demands.
func (s *survey) powerFactor(c *kit.Case) kit.Value {
	supply := s.supply.Part.GetSupply()
	if supply.PowerFactor == nil && standards.Known(standards.VocabEfficiency, markToken(supply.GetEfficiencyMark())) {
		least := standards.MarkPowerFactor.Value
		return c.Assume(s.supply.At("supply.power_factor"), quantity.Range{Nominal: least, Low: least, High: 1}, "")
	}
	return c.Figure(s.supply, "supply.power_factor", supply.PowerFactor, "", 0)
}

// smallInletA is the rating of the two-pole and three-pole small inlets.
const smallInletA = 2.5

// inletLimit is what the inlet carries.
func (s *survey) inletLimit(c *kit.Case, volts kit.Value) kit.Value {
	inlet := s.supply.Part.GetSupply().Inlet
	named := c.Word(s.supply, "supply.inlet", inlet)
	if !named.Known() {
		return named
	}
	limit := kit.Constant(0, "A")
	if *inlet == "c6" || *inlet == "c8" {
		return limit.With(quantity.Exact(smallInletA), "A")
	}
	coupler, err := standards.CouplerByToken(*inlet)
	if err != nil {
		return c.Absent(s.supply.At("supply.inlet"), "A")
	}
	if lowMains(volts.Nominal) {
		return limit.With(quantity.Range{Nominal: coupler.NorthAmericaA, Low: coupler.InternationalA, High: coupler.NorthAmericaA}, "A")
	}
	return limit.With(quantity.Exact(coupler.InternationalA), "A")
}
