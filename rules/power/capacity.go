package power

import (
	"math"
	"time"

	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
	"slipfit.example/rules/standards"
)

// soldSizes are the ratings that supplies are sold with, in W. Common practice, no
// source.
var soldSizes = [...]float64{300, 350, 400, 450, 500, 550, 600, 650, 700, 750, 800, 850, 1000, 1200, 1300, 1500, 1600, 2000}

var capacity = kit.Rule{
	ID: "power.capacity", Title: "Rating to buy, and why", Since: "0.1.0",
	Why: "A supply has to answer to several things at once: hours of load with a reserve, peaks of milliseconds, and warm air. " +
		"Whoever buys by one of them alone buys twice.",
	Formula: "The rating less the greatest of: the sustained sum over one less the reserve; for each duration, the peaks over the share of its rating " +
		"that the guide lets the supply give for so long; and the root mean square of peaks and load between them. All by the high ends, " +
		"and over what warm air leaves of the rating.",
	Parameters: []*kit.Parameter{&kit.PowerTolerance},
	Sources:    []standards.Source{srcRating, standards.Excursions()[0].Source, standards.ExcursionTestSource(), kit.CommonPractice},
	Reads: []string{
		"supply.rated_w", "supply.guide", "supply.deratings", "processor.demand", "card.demand", "board.demand", "memory.demand",
		"drive.demand", "fan.current_a", "use.loads", "room.temperature_c",
	},
	Texts: map[string]string{
		"pass":     "The parts ask for a supply of at least {required}, because of {reason}; {supply} has {measured}, and a size that is sold would be {size}.",
		"marginal": "The parts ask for a supply of at least {required}, because of {reason}, and {supply} has {measured}.",
		"fail":     "The parts ask for a supply of at least {required}, because of {reason}, and {supply} has {measured}.",
		"unknown":  "Which rating the parts ask for cannot be told for want of {missing}; by what is known it is at least {least}, because of {reason}.",
		"no-supply": "The build names no supply. The parts ask for one of at least {least}, because of {reason}; a size that is sold is {size}, " +
			"of a design guide that sets short peaks.",
		"beyond":           "The parts ask for a supply of at least {least}, because of {reason}, and {supply} has {measured}; no usual size reaches that.",
		"several-supplies": textSuppliers,
	},
	Remedies: map[string]string{
		"size": "Choose a supply of {size}, which answers every reason at once.",
	},
	Judge: judgeCapacity,
}

// ask is a rating and the reason for it.
type ask struct {
	watts  float64
	reason string
}

// Reasons for a rating, as words in a sentence.
const (
	reasonReserve = "the sustained load and its reserve"
	reasonPeak    = "short peaks"
	reasonSquare  = "the root mean square of peaks and load"
)

func judgeCapacity(c *kit.Case) {
	s := surveyOf(c)
	if s.supplies > 1 {
		s.withoutSupply(c)
		return
	}
	if s.known.High <= 0 {
		return
	}
	ask := s.ask(c)
	least := kit.Constant(math.Ceil(ask.watts-1e-9), "W")
	size, sold := soldSize(ask.watts)
	var f *kit.Finding
	switch {
	case s.supply == nil:
		f = c.Judged(kit.Unknown, c.Absent(kit.Path{Field: "items"}, "W")).Say("no-supply").Despite(s.gaps...)
		f.Word("reason", ask.reason).Number("least", least).Number("size", kit.Constant(size, "W"))
		return
	case len(s.gaps) > 0:
		f = c.Judged(kit.Unknown, s.gaps...)
	default:
		f = c.AtLeast(s.rating(c), least).AtWorst(kit.Marginal)
		if !sold && f.Verdict() != kit.Unknown {
			f.Say("beyond")
		}
	}
	f.About(s.supply).Word("supply", s.supply.Name()).Word("reason", ask.reason).Number("least", least).
		Number("size", kit.Constant(size, "W"))
	if sold {
		f.RemedyOf("size", f.Shortfall())
	}
}

// soldSize is the least size that is sold and suffices.
func soldSize(watts float64) (size float64, ok bool) {
	for _, size := range soldSizes {
		if size >= watts {
			return size, true
		}
	}
	return watts, false
}

// ask is the greatest of all reasons for a rating. What is not known counts as
// nothing.
func (s *survey) ask(c *kit.Case) ask {
	left := 1.0
	if s.supply != nil {
		if d := s.derating(c); d.Known() {
			left = d.Low
		}
	}
	left = max(left, leastLeft)
	out := ask{s.known.High / (1 - c.Parameter(&reserveShare).Nominal) / left, reasonReserve}
	consider := func(watts float64, reason string) {
		if watts > out.watts {
			out = ask{watts, reason}
		}
	}
	s.readPeaks(c)
	for i := range s.peaks {
		total, duty := s.during(s.peaks[i].duration)
		consider(s.leastFor(total.High, s.peaks[i].duration, duty)/left, reasonPeak)
		consider(rootMeanSquare(s.known, total, duty)/left, reasonSquare)
	}
	return out
}

// leastLeft keeps a derating that leaves next to nothing from asking for more
// than any number.
const leastLeft = 0.01

// leastFor is the rating that bears a peak: what a supply gives for so long depends
// on its rating itself, since from a certain one on guides demand more of it.
func (s *survey) leastFor(watts float64, d time.Duration, duty float64) float64 {
	if s.supply != nil && !guided(s.supply) {
		return watts
	}
	step := standards.AuxRequiredAbove.Value
	small := watts / tableShare(step, false, d, duty)
	if small <= step || s.supply != nil && !bringsHighPower(s.supply, s.supply.Part.GetSupply().GetRatedW()) {
		return small
	}
	return max(step+1, watts/tableShare(step+1, true, d, duty))
}

// tableShare is the share of a rating that guides demand for a duration and a share
// of time.
func tableShare(ratedW float64, highPower bool, d time.Duration, duty float64) float64 {
	for {
		row, err := standards.ExcursionFor(ratedW, highPower, d)
		if err != nil {
			return 1 // a rating that no table reaches promises no more than itself
		}
		if row.DutyShare >= duty || row.Duration == standards.Continuous {
			return row.Share
		}
		d = row.Duration + 1
	}
}

// rootMeanSquare is that of peaks over their share of the time and of the load
// between them.
func rootMeanSquare(base, peak quantity.Range, duty float64) float64 {
	return math.Sqrt((1-duty)*base.High*base.High + duty*peak.High*peak.High)
}
