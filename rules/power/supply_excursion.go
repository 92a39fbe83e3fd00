package power

import (
	"math"
	"strings"
	"time"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
	"slipfit.example/rules/standards"
)

var supplyExcursion = kit.Rule{
	ID: "power.supply-excursion", Title: "Short peaks of processor and cards", Since: "0.1.0", Alone: true,
	Why: "Processors and graphics cards draw far more than their sustained power for milliseconds. " +
		"A supply that may not give that much switches the computer off in the middle of its work.",
	Formula: "For each duration that a peak has: the sum of the peaks that last at least as long and of what everything else draws, against " +
		"the supply's rating times the share that its design guide demands for that duration and share of time; the tightest duration counts. " +
		"Without a guide of the ATX 3 generation nothing above the rating is promised. Cards fed by their slot alone count at their sustained power.",
	Parameters: []*kit.Parameter{&kit.PowerTolerance},
	Sources:    []standards.Source{standards.Excursions()[0].Source, standards.AuxRequiredAbove.Source},
	Reads: []string{
		"supply.rated_w", "supply.guide", "supply.cables", "supply.outlets",
		"processor.demand.excursions", "card.demand.excursions", "card.power_sockets", "use.loads",
	},
	Texts: map[string]string{
		"pass":     "Peaks of {duration} reach {measured} and {supply} gives {required} for so long, {margin} to spare.",
		"marginal": "Peaks of {duration} reach {measured} as printed and {supply} gives {required} for so long; if they are higher than printed it lacks {shortfall}.",
		"fail":     "Peaks of {duration} reach {measured} and {supply} gives only {required} for so long, so it may switch off.",
		"no-guide": "Peaks of {duration} reach {measured}; {supply} names no design guide of the ATX 3 generation, " +
			"so nothing above its {required} is promised and it may switch off.",
		"unknown": "Whether {supply} bears the peaks cannot be told for want of {missing}; reviews with an oscilloscope publish peaks by duration.",
		"over-already": "The peaks that are known reach {measured} for {duration} already and {supply} gives only {required} for so long; " +
			"not known: {missing}.",
		"no-supply":        textNoSupply,
		"several-supplies": textSuppliers,
	},
	Remedies: map[string]string{
		"stronger":  "Choose a supply of the same guide that is rated at least {needed}.",
		"new-guide": "Choose a supply by the ATX 3.0 or 3.1 design guide, which must bear short peaks, or one that is rated at least {needed}.",
		"less":      "Limit the power of the card or the processor, so that peaks come down by {shortfall}.",
	},
	Judge: judgeSupplyExcursion,
}

// peak is one short rise of one item, a single piece, in W.
type peak struct {
	item     *kit.Item
	value    kit.Value
	duration time.Duration
	duty     float64 // share of time, 0 where not stated
}

func judgeSupplyExcursion(c *kit.Case) {
	s := surveyOf(c)
	gaps, some := s.readPeaks(c)
	if !some || s.withoutSupply(c) {
		return
	}
	gaps = append(gaps, s.gaps...)
	rating := s.rating(c)
	if len(s.peaks) == 0 || !rating.Known() {
		c.Judged(kit.Unknown, gaps...).Using(rating).About(s.supply).Word("supply", s.supply.Name())
		return
	}
	w := s.tightest(rating.Nominal)
	total := kit.Constant(0, "W").With(w.total, "W")
	limit := rating.With(rating.Scale(w.share), "W")

	if len(gaps) == 0 && c.SpareAtMost(total, limit) {
		return
	}
	var f *kit.Finding
	switch {
	case len(gaps) == 0:
		f = c.AtMost(total, limit).Using(s.values...)
		if !guided(s.supply) {
			f.SayWhen(kit.Fail, "no-guide")
		}
	case w.total.Nominal > limit.Nominal:
		f = c.AtMost(total, limit).Despite(s.values...).Despite(gaps...).Say("over-already")
	default:
		f = c.AtMost(c.Derived(w.total, "W", gaps...), limit).Using(s.values...)
	}
	for i := range s.peaks {
		f.Despite(s.peaks[i].value)
	}
	f.About(s.supply).Word("supply", s.supply.Name()).Number("duration", durationValue(w.duration))
	for i := range s.peaks {
		if i == 0 || s.peaks[i].item != s.peaks[i-1].item {
			f.About(s.peaks[i].item)
		}
	}
	needed := w.total.High / w.share
	f.Number("needed", kit.Constant(needed, "W"))
	remedy := "stronger"
	if !guided(s.supply) {
		remedy = "new-guide"
	}
	f.RemedyOf(remedy, kit.Constant(needed-rating.Nominal, "W")).RemedyOf("less", f.Shortfall())
}

func durationValue(d time.Duration) kit.Value {
	if d < time.Millisecond {
		return kit.Constant(float64(d)/float64(time.Microsecond), "µs")
	}
	return kit.Constant(float64(d)/float64(time.Millisecond), "ms")
}

// readPeaks collects the peaks of processors and cards, and what is missing of
// them. some is false where the build has neither.
func (s *survey) readPeaks(c *kit.Case) (gaps []kit.Value, some bool) {
	s.peaks = s.peaks[:0]
	for it := range c.AllItems() {
		var demand *v1.Demand
		var field string
		var paths *indexedPath
		switch it.Kind {
		case kit.KindProcessor:
			demand, field, paths = it.Part.GetProcessor().Demand, "processor.demand.excursions", processorPeak
		case kit.KindCard:
			if len(it.Part.GetCard().PowerSockets) == 0 {
				continue // the slot's limit bounds it
			}
			demand, field, paths = it.Part.GetCard().Demand, "card.demand.excursions", cardPeak
		default:
			continue
		}
		some = true
		list := demand.GetExcursions()
		if len(list) == 0 {
			gaps = append(gaps, c.Absent(it.At(field), "W"))
		}
		for i, x := range list {
			s.peaks = append(s.peaks, peak{
				item: it, value: c.Power(it, paths.at(i), x.PowerW),
				duration: durationOf(x.GetDurationMs()), duty: x.GetDutyShare(),
			})
		}
	}
	return gaps, some
}

func durationOf(milliseconds float64) time.Duration {
	return max(1, time.Duration(math.Round(milliseconds*float64(time.Millisecond))))
}

// load is what the supply has to give for one duration.
type load struct {
	duration time.Duration
	total    quantity.Range
	share    float64 // of the rating that it gives for so long
}

// tightest is the duration with the least left over.
func (s *survey) tightest(ratedW float64) load {
	highPower := bringsHighPower(s.supply, ratedW)
	var worst load
	for i := range s.peaks {
		l := load{duration: s.peaks[i].duration}
		var duty float64
		l.total, duty = s.during(l.duration)
		l.share = s.shareFor(ratedW, highPower, l.duration, duty)
		if i == 0 || l.share*ratedW-l.total.Nominal < worst.share*ratedW-worst.total.Nominal {
			worst = l
		}
	}
	return worst
}

// during is the greatest draw that can last for a duration, as far as it is
// known, and the greatest share of time that one of its peaks takes.
func (s *survey) during(d time.Duration) (total quantity.Range, duty float64) {
	for i := range s.draws {
		it := s.draws[i].item
		own := s.draws[i].value.Range
		if s.draws[i].value.Known() || it.Kind == kit.KindProcessor || it.Kind == kit.KindCard {
			for j := range s.peaks {
				p := &s.peaks[j]
				if p.item == it && p.duration >= d && p.value.Known() {
					own = own.Larger(p.value.Scale(float64(it.Count)))
					duty = max(duty, p.duty)
				}
			}
			total = total.Add(own)
		}
	}
	return total, duty
}

// shareFor is the share of the rating that the supply's guide demands for a
// duration and a share of time.
func (s *survey) shareFor(ratedW float64, highPower bool, d time.Duration, duty float64) float64 {
	if !guided(s.supply) {
		return 1
	}
	return tableShare(ratedW, highPower, d, duty)
}

// guided reports whether the supply meets a design guide with a table of
// excursions.
func guided(supply *kit.Item) bool {
	guide := supply.Part.GetSupply().GetGuide()
	return strings.HasPrefix(guide, "atx-3") || strings.HasPrefix(guide, "atx12vo-2")
}

// bringsHighPower reports whether the supply has a 12VHPWR or 12V-2x6 connector,
// on which the table of excursions depends. Where neither cables nor outlets are
// listed, a supply that meets the guide has one above 450 W.
func bringsHighPower(supply *kit.Item, ratedW float64) bool {
	part := supply.Part.GetSupply()
	if len(part.Cables) == 0 && len(part.Outlets) == 0 {
		return ratedW > standards.AuxRequiredAbove.Value
	}
	for _, o := range part.Outlets {
		if highPower(o.GetSocket()) {
			return true
		}
	}
	for _, cable := range part.Cables {
		for _, end := range cable.Ends {
			if highPower(end.GetConnector()) {
				return true
			}
		}
	}
	return false
}

func highPower(connector string) bool {
	return connector == standards.Connector12V2x6 || connector == standards.Connector12VHPWR
}
