package power

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

var quietWanted = kit.Parameter{
	Name: "power.quiet-point.wanted", Unit: "", Default: 0, Least: 0, Greatest: 1,
	Purpose: "Whether a supply whose fan turns under the sustained load counts as a fault: 0 only notes it, 1 makes it MARGINAL.",
	Source:  kit.CommonPractice,
}

var quietPoint = kit.Rule{
	ID: "power.quiet-point", Title: "Load at which the supply's fan starts", Since: "0.1.0",
	Why: "Many supplies let their fan stand still up to a share of their rating. Beyond it they add a sound that no setting of the build can take away.",
	Formula: "The share of its rating up to which the supply's fan stands still, times the rating, less the sum of all sustained demands. " +
		"Warm air at the supply starts the fan earlier.",
	Parameters: []*kit.Parameter{&quietWanted, &kit.PowerTolerance},
	Sources:    []standards.Source{srcRating, kit.CommonPractice},
	Reads:      []string{"supply.quiet_share", "supply.rated_w", "use.loads"},
	Texts: map[string]string{
		"pass":     "The fan of {supply} stands still up to {quiet} and the parts draw {load}, so that it stays off in cool air.",
		"starts":   "The fan of {supply} stands still up to {quiet} and the parts draw {load}, so that it turns under this load.",
		"marginal": "The fan of {supply} stands still up to {quiet} and the parts draw {load}, so that it turns under this load.",
		"fail":     "The fan of {supply} stands still up to {quiet} and the parts draw {load}, so that it turns under this load.",
		"unknown":  "Whether the fan of {supply} stands still cannot be told for want of {missing}.",
	},
	Remedies: map[string]string{
		"larger": "A supply of the same kind rated {needed} would keep its fan off.",
		"less":   "Lower the power limits by {shortfall}.",
	},
	Judge: judgeQuietPoint,
}

func judgeQuietPoint(c *kit.Case) {
	s := surveyOf(c)
	if s.supply == nil || s.supply.Part.GetSupply().GetQuietShare() == 0 {
		return // its fan always turns, or nobody says otherwise
	}
	share, rating := c.Figure(s.supply, "supply.quiet_share", s.supply.Part.GetSupply().QuietShare, "share", 0), s.rating(c)
	quiet := c.Derived(rating.Mul(share.Range), "W", rating, share)
	load := kit.Constant(0, "W").With(s.known, "W")
	if len(s.gaps) > 0 && !(quiet.Known() && load.Low > quiet.Nominal) {
		load = c.Derived(s.known, "W", s.gaps...)
	}
	var f *kit.Finding
	if c.Parameter(&quietWanted).Nominal > 0 {
		f = c.AtMost(load, quiet).AtWorst(kit.Marginal)
		f.Number("needed", kit.Constant(s.known.High/share.Nominal, "W")).Remedy("larger").RemedyOf("less", f.Shortfall())
	} else if f = c.Judged(kit.Pass, load, quiet); load.High > quiet.Nominal {
		f.SayWhen(kit.Pass, "starts")
	}
	if load.Known() {
		f.Despite(s.gaps...)
	}
	f.About(s.supply).Word("supply", s.supply.Name()).Number("quiet", quiet).Number("load", load)
}
