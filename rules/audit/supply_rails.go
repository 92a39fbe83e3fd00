package audit

import (
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

var supplyRailsRule = kit.Rule{
	ID: "audit.supply-rails", Title: "A supply's rating against its rails", Since: "0.1.0",
	Why:     "Nearly all of a supply's power leaves on 12 V, so that rating and rail current say the same thing twice.",
	Formula: "The rating is held against the power of the 12 V rails: between that power and 1.5 times of it, and down to half of it where several rails share a limit.",
	Sources: []source{arithmetic, experience},
	Reads:   []string{"supply.rated_w", "supply.rails.rail", "supply.rails.current_a"},
	Texts: texts("The rating of {part} goes with its rails.",
		"Whether the rails of {part} go with its rating cannot be told without {missing}; the rating stands on the label."),
	Remedies: remedies(),
	Judge:    each(judgeSupplyRails),
}

// twelve gives the currents of the 12 V rails in A, how many they are, and which is
// the first.
func twelve(supply *v1.Supply) (ampere float64, rails, first int) {
	for i, rail := range supply.GetRails() {
		if strings.HasPrefix(rail.GetRail(), "12v") {
			if rails == 0 {
				first = i
			}
			ampere += rail.GetCurrentA()
			rails++
		}
	}
	return ampere, rails, first
}

var railCurrents = prefixes("supply.rails[", "].current_a", 16)

func judgeSupplyRails(s *sheet) {
	supply := s.it.Part.GetSupply()
	ampere, rails, first := twelve(supply)
	if rails == 0 {
		return
	}
	if supply.RatedW == nil {
		s.lack("supply.rated_w", "W")
		return
	}
	power, rated := ampere*12, *supply.RatedW
	low, high := power*0.94, power*1.5
	if rails > 1 {
		low = power * 0.5
	}
	current := supply.Rails[first].CurrentA
	// A rail that no supply has, beside a rating that many have, is what slipped.
	if rails == 1 && (power < usualSupply[ratedW].low || power > usualSupply[ratedW].high) && inPlace(supply, usualSupply) {
		low, high := rated/12/1.5, rated/12/0.94
		s.hold(figure{railCurrents[first], current, "A", low, high,
			between("currents of a supply of that rating", low, high, "A"), true}, s.given("supply.rated_w", &rated, "W"))
		return
	}
	s.hold(figure{"supply.rated_w", &rated, "W", low, high,
		between("ratings that go with its 12 V rails", low, high, "W"), false}, s.given(railCurrents[first], current, "A"))
}

// ratedW is the place of supply.rated_w among the usual figures of supplies.
const ratedW = 3
