package audit

import (
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

var supplyEfficiencyRule = kit.Rule{
	ID: "audit.supply-efficiency", Title: "A supply's efficiency against its mark", Since: "0.1.0",
	Why:     "A mark promises an efficiency at each tested load; figures below it contradict the mark or were typed wrongly.",
	Formula: "Each point within the tested loads is held against what the mark promises at its mains voltage, a percentage point below, and against 98 % above.",
	Sources: []source{standards.EfficiencyMarks()[0].Source, experience},
	Reads:   []string{"supply.efficiency_mark", "supply.efficiencies.load_share", "supply.efficiencies.efficiency", "supply.efficiencies.mains_v"},
	Texts: texts("The efficiency of {part} keeps what its mark promises.",
		"Whether the efficiency of {part} keeps its mark's promise cannot be told without {missing}: the mains voltage of the measurement."),
	Remedies: remedies(),
	Judge:    each(judgeSupplyEfficiency),
}

const (
	markPlay       = 0.01 // of a printed percentage
	bestEfficiency = 0.98
)

var efficiencyPoints = prefixes("supply.efficiencies[", "].", 32)

func judgeSupplyEfficiency(s *sheet) {
	supply := s.it.Part.GetSupply()
	mark := markOf(supply.GetEfficiencyMark())
	if mark == "" {
		return
	}
	for i, point := range supply.GetEfficiencies() {
		if point.MainsV == nil {
			s.lack(efficiencyPoints[i]+"mains_v", "V")
			return
		}
		holdEfficiency(s, mark, efficiencyPoints[i], point)
	}
}

func holdEfficiency(s *sheet, mark, prefix string, point *v1.EfficiencyPoint) {
	promised, err := standards.EfficiencyAt(mark, point.GetMainsV(), point.GetLoadShare())
	if err != nil || promised.Clamped {
		return
	}
	s.hold(figure{prefix + "efficiency", point.Efficiency, "share", promised.Share - markPlay, bestEfficiency, func() string {
		return "its mark promises " + kit.FormatNumber(promised.Share, "share") + " at that load and mains"
	}, true}, s.given(prefix+"load_share", point.LoadShare, "share"))
}

// markOf is the programme's word for a mark as documents write it, empty for
// another programme's.
func markOf(token string) string {
	if token == "80plus" {
		return "basic"
	}
	if word, ok := strings.CutPrefix(token, "80plus-"); ok {
		return word
	}
	return ""
}
