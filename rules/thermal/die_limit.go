package thermal

import (
	"math"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
	"slipfit.example/rules/standards"
)

var ratedRise = kit.Parameter{
	Name: "thermal.die-limit.rated_rise_k", Unit: "K", Default: 50, Least: 5, Greatest: 150,
	Purpose: "How far the processor's lid lies above the air at a cooler's rated heat, where its maker does not say.",
	Source:  kit.CommonPractice,
}

var ratedRiseSpread = kit.Parameter{
	Name: "thermal.die-limit.rated_rise_spread_share", Unit: "share", Default: 0.3, Least: 0, Greatest: 0.9,
	Purpose: "How far that rise may be off both ways, as a share of it.",
	Source:  kit.CommonPractice,
}

var lidResistance = kit.Parameter{
	Name: "thermal.die-limit.lid_k_per_w", Unit: "K/W", Default: 0.15, Least: 0, Greatest: 2,
	Purpose: "The resistance from die to lid where the processor does not state it; it may be off by two thirds both ways.",
	Source:  srcLid,
}

var preheatShare = kit.Parameter{
	Name: "thermal.die-limit.preheat_share", Unit: "share", Default: 0.5, Least: 0, Greatest: 1,
	Purpose: "How much of the rise of the enclosure's air reaches the cooler's intake; it may be none, or twice as much up to all.",
	Source:  kit.CommonPractice,
}

var dieLimit = kit.Rule{
	ID: "thermal.die-limit", Title: "Processor's temperature under load", Since: "0.1.0",
	Why: "A processor that reaches its limit slows down. A reading says little without the room that it was taken in, " +
		"so the rise above the room stands beside it: the same build reads as much more as the room is warmer.",
	Formula: "The limit less the die's temperature: room, plus the share of the enclosure's rise that reaches the cooler, plus power times the resistances " +
		"from lid to air and from die to lid; where the enclosure can be solved as a network of air and heat, the die's temperature is that of the network. From lid to air it is the published resistance, else rated rise over rated heat; it grows in thin air " +
		"and at a lower fan speed with the 0.5 to 0.8 power of mass flow. Where a figure is assumed or the flow estimated, " +
		"a build fails only where even the favourable end misses.",
	Parameters: []*kit.Parameter{&ratedRise, &ratedRiseSpread, &lidResistance, &preheatShare, &kit.PowerTolerance},
	Sources:    []standards.Source{srcChain, srcConvection, srcAtmosphere, srcNetwork, srcRatedHeat, srcLid},
	Reads: []string{
		"air_cooler.rated_heat_w", "air_cooler.rated_rise_k", "air_cooler.resistances", "air_cooler.fans",
		"liquid_loop.rated_heat_w", "liquid_loop.rated_rise_k", "liquid_loop.resistances", "liquid_loop.fans",
		"processor.limit_c", "processor.lid_resistance_k_per_w", "processor.demand.sustained_w", "processor.rated_heat_w",
		"use.loads", "use.fans", "use.case_flow_m3h", "room.temperature_c", "room.altitude_m",
	},
	UsesFacts: []string{DemandFact, ArrangementFact},
	Texts: map[string]string{
		"pass":         "{processor} comes to {measured}, {rise} above the room of {room}, and may reach {required}.",
		"marginal":     "{processor} comes to about {measured}, {rise} above the room of {room}, and may reach {required}; by what is not exactly known it may be {most}.",
		"fail":         "{processor} would come to {measured}, {rise} above the room of {room}, and may reach only {required}, so it slows down.",
		"unknown":      "How warm {processor} gets cannot be told for want of {missing}; data sheets, tests of the cooler and a thermometer say it.",
		"no-cooler":    textNoCooler,
		"no-processor": textNoProcessor,
	},
	Remedies: map[string]string{
		"stronger": "Choose a cooler of less resistance, or bring more air through, to come {less} lower.",
		"less":     "Lower the processor's power limit to about {power}.",
	},
	Cautions: map[string]string{
		"hot": "Cooler and board stay hot for minutes after such a load. Switch off, unplug, and let them cool before touching anything.",
	},
	Judge: judgeDieLimit, Bound: boundDieLimit,
}

func judgeDieLimit(c *kit.Case) {
	s := surveyOf(c)
	if s.incomplete(c) {
		return
	}
	for i := range s.coolers {
		s.judgeDie(c, &s.coolers[i], s.processor)
	}
}

func (s *survey) judgeDie(c *kit.Case, k *cooler, processor *kit.Item) {
	part := processor.Part.GetProcessor()
	power := processorPower(c, processor)
	sink, sinkAssumed := s.sinkResistance(c, k)
	lid, lidAssumed := lidOf(c, processor)
	preheat, flowAssumed := s.preheat(c)
	total := sink.Add(lid.Range)
	die := s.temperature.Add(preheat.Range).Add(power.Mul(total))
	from := [...]kit.Value{s.temperature, preheat, power, sink, lid}
	measured := kit.Constant(0, "°C").With(die, "°C")
	for i := range from {
		if !from[i].Known() { // only then is there something to hand on
			measured = c.Derived(die, "°C", from[:]...)
			break
		}
	}
	solved := s.solvedDie(c, processor)
	if solved {
		p, _ := s.point(processor.ID, "die")
		die = s.temperature.Add(rangeOf(p.RiseK))
		preheat = preheat.With(rangeOf(p.IntakeK), "K")
		measured = s.celsius(c, p.RiseK, power, sink, lid)
	}
	limit := c.Figure(processor, "processor.limit_c", part.LimitC, "°C", 0)

	f := c.AtMost(measured, limit).Using(from[:]...).About(k.item, processor).Word("processor", processor.Name())
	if (sinkAssumed || lidAssumed || flowAssumed || solved) && f.Verdict() == kit.Fail && f.Margin().High >= 0 {
		f.AtWorst(kit.Marginal)
	}
	f.Number("rise", kit.Constant(RiseAboveRoom(die.Nominal, s.temperature.Nominal), "K")).
		Number("room", s.temperature).Number("most", kit.Constant(die.High, "°C"))
	if f.Verdict() == kit.Fail || f.Verdict() == kit.Marginal {
		less := kit.Constant(f.Shortfall().Nominal, "K")
		f.Number("less", less).RemedyOf("stronger", less).CautionWhen("hot")
		if room := limit.Nominal - s.temperature.Nominal - preheat.High; total.High > 0 && room > 0 {
			allowed := kit.Constant(room/total.High, "W") // at which the whole range meets the limit
			f.Number("power", allowed).RemedyOf("less", allowed)
		}
	}
}

// solvedDie tells whether the network of the enclosure says how warm the die gets.
// Where the build gives the flow through the enclosure, that flow counts instead.
func (s *survey) solvedDie(c *kit.Case, processor *kit.Item) bool {
	p, ok := s.point(processor.ID, "die")
	return ok && p.Known && s.warmthKnown() && c.Build.GetUse().GetCaseFlowM3H() == 0 && len(s.coolers) == 1
}

// preheat is how much warmer than the room the air at the cooler is. The case's
// rise is not asked for where the policy lets none of it reach the cooler.
func (s *survey) preheat(c *kit.Case) (v kit.Value, estimated bool) {
	share := c.Parameter(&preheatShare)
	if share.Nominal == 0 {
		return share.With(quantity.Range{}, "K"), false
	}
	reach := quantity.Range{Nominal: share.Nominal, High: min(1, 2*share.Nominal)}
	if len(s.gaps) > 0 {
		return c.Derived(quantity.Range{}, "K", append(s.gaps, s.rise, share)...), s.estimated
	}
	return c.Derived(s.rise.Mul(reach), "K", s.rise, share), s.estimated
}

func lidOf(c *kit.Case, processor *kit.Item) (v kit.Value, assumed bool) {
	const field = "processor.lid_resistance_k_per_w"
	if stated := processor.Part.GetProcessor().LidResistanceKPerW; stated != nil {
		return c.Figure(processor, field, stated, "K/W", 0), false
	}
	const spread = 2.0 / 3
	return c.Assume(processor.At(field), quantity.Share(c.Parameter(&lidResistance).Nominal, spread), "K/W"), true
}

// sinkResistance is that from lid to the air at the cooler, in K/W, in the room's
// air and at the speed that the build sets.
func (s *survey) sinkResistance(c *kit.Case, k *cooler) (v kit.Value, assumed bool) {
	thin := powers(s.thinness)
	if len(k.resistances) > 0 {
		r, assumed := publishedResistance(c, k)
		return r.With(r.Mul(thin), "K/W"), assumed
	}
	heat := c.Power(k.item, k.prefix+"rated_heat_w", k.ratedHeat)
	var rise kit.Value
	if assumed = k.ratedRise == nil; assumed {
		about := quantity.Share(c.Parameter(&ratedRise).Nominal, c.Parameter(&ratedRiseSpread).Nominal)
		rise = c.Assume(k.item.At(k.prefix+"rated_rise_k"), about, "K")
	} else {
		rise = c.Figure(k.item, k.prefix+"rated_rise_k", k.ratedRise, "K", 0)
	}
	slow := k.slowness(c)
	if !heat.Known() || !slow.Known() {
		return c.Derived(quantity.Range{}, "K/W", heat, rise, slow), assumed
	}
	r, ok := rise.Div(heat.Range)
	if !ok {
		return c.Absent(k.item.At(k.prefix+"rated_heat_w"), "K/W"), assumed
	}
	return c.Derived(r.Mul(thin).Mul(powers(slow.Range)), "K/W", heat, rise, slow, s.altitude), assumed
}

// Exponents of mass flow in forced convection: laminar plates, turbulent plates,
// and between them.
const (
	laminarExponent   = 0.5
	turbulentExponent = 0.8
	middleExponent    = (laminarExponent + turbulentExponent) / 2
)

// powers is how much a resistance grows where the flow falls by the factor 1/r:
// the range of r and of the exponent together. Below one the ends change places.
func powers(r quantity.Range) quantity.Range {
	grow := func(v float64) (least, most float64) {
		a, b := math.Pow(v, laminarExponent), math.Pow(v, turbulentExponent)
		return min(a, b), max(a, b)
	}
	low, _ := grow(r.Low)
	_, high := grow(r.High)
	return quantity.Range{Nominal: math.Pow(r.Nominal, middleExponent), Low: low, High: high}
}

// slowness is the greatest speed of the cooler's fans over the one that is set, 1
// where none is. A fan that stands still cools by its own laws, which this rule
// does not know.
func (k *cooler) slowness(c *kit.Case) kit.Value {
	rpm, set := fanSpeed(c, k.item)
	if !set {
		return kit.Constant(1, "")
	}
	if rpm <= 0 {
		return c.Absent(k.item.At(k.prefix+"resistances"), "")
	}
	greatest := k.greatestSpeed()
	if greatest == nil {
		return c.Absent(k.item.At(k.prefix+"fans"), "")
	}
	at := c.Figure(k.item, k.prefix+"fans", greatest, "rpm", 0)
	return at.With(quantity.Exact(max(1, *greatest/rpm)), "")
}

func (k *cooler) greatestSpeed() *float64 {
	for _, seat := range k.fans {
		if fan := seat.GetFan(); fan != nil && fan.MaxSpeedRpm != nil {
			return fan.MaxSpeedRpm
		}
	}
	return nil
}

// publishedResistance reads the cooler's own points: at the speed that is set, or
// at the greatest, straight between two of them; or, where they go by flow, which
// nobody states, anything between the least and the greatest.
func publishedResistance(c *kit.Case, k *cooler) (v kit.Value, assumed bool) {
	field := k.prefix + "resistances"
	rpm, set := fanSpeed(c, k.item)
	below, above := around(k.resistances, rpm, set)
	if below == nil && above == nil {
		least, greatest := math.Inf(1), 0.0
		for _, p := range k.resistances {
			least, greatest = min(least, p.GetResistanceKPerW()), max(greatest, p.GetResistanceKPerW())
		}
		r := quantity.Range{Nominal: (least + greatest) / 2, Low: least, High: greatest}
		return c.Assume(k.item.At(field), r, "K/W"), true
	}
	if below == nil {
		return c.Absent(k.item.At(field), "K/W"), false // slower than any point
	}
	at := below.GetResistanceKPerW()
	if above != nil && above.GetSpeedRpm() > below.GetSpeedRpm() {
		t := (rpm - below.GetSpeedRpm()) / (above.GetSpeedRpm() - below.GetSpeedRpm())
		at = (1-t)*at + t*above.GetResistanceKPerW()
	}
	return c.Figure(k.item, field, &at, "K/W", 0), false
}

// around finds the points next to a speed; where none is set, the fastest one.
func around(points []*v1.ResistancePoint, rpm float64, set bool) (below, above *v1.ResistancePoint) {
	for _, p := range points {
		if p.SpeedRpm == nil {
			continue
		}
		at := *p.SpeedRpm
		if (!set || at <= rpm) && (below == nil || at > below.GetSpeedRpm()) {
			below = p
		}
		if set && at >= rpm && (above == nil || at < above.GetSpeedRpm()) {
			above = p
		}
	}
	return below, above
}
