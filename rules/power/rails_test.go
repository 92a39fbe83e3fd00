package power_test

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
	"slipfit.example/rules/power"
)

// shelf is a machine for storage: 60 W on 12 V, 60 W on 5 V, 33 W on 3.3 V.
const shelf = `
items:
- {id: board, part: {board: {demand: {sustained_w: 63, rails: [{rail: 12v, share: 0.0}, {rail: 3v3, share: 0.5238095238095238}, {rail: 5v, share: 0.4761904761904762}]}}}}
- {id: cpu, part: {processor: {demand: {sustained_w: 60}}}}
- {id: drives, count: 5, part: {drive: {form_factor: 3.5-inch, demand: {sustained_w: 6, rails: [{rail: 5v, share: 1}]}}}}
- {id: supply, part: {name: Otter 300, supply: {rated_w: 300, rails: [{rail: 12v, current_a: 20}, {rail: 5v, current_a: 13}, {rail: 3v3, current_a: 11}, {rail: 5vsb, current_a: 2}]}}}
`

func TestRails(t *testing.T) {
	with := func(pairs ...string) string { return edited(t, shelf, pairs...) }
	exact := map[string]float64{"tolerance.power_share": 0}
	kittest.Table(t, power.Pack(), "power.rails", []kittest.Row{
		{Name: "every rail is held to its own rating: 60 W / 12 V, 60 W / 5 V, 33 W / 3.3 V (Ohm's law)", Build: with(),
			Policy: exact, Want: []string{"PASS supply margin 15 A", "PASS supply margin 1 A", "PASS supply margin 1 A"}},
		{Name: "tight: 5 % more than printed passes 5 V and stays within 3.3 V", Build: with("{rail: 5v, current_a: 13}", "{rail: 5v, current_a: 12.5}"),
			Want: []string{"PASS supply margin 15 A", "MARGINAL supply margin 0.5 A", "PASS supply margin 1 A"}},
		{Name: "5 V fails while the whole is far below the rating", Build: with("{rail: 5v, current_a: 13}", "{rail: 5v, current_a: 10}"),
			Policy: exact, Want: []string{"PASS supply margin 15 A", "FAIL supply margin -2 A", "PASS supply margin 1 A"}},
		{Name: "stated tolerance of a draw", Build: with("{id: cpu, part: {", "{id: cpu, part: {figures: [{fields: [processor.demand.sustained_w], minus: 1, plus: 181}], "),
			Policy: exact, Want: []string{"MARGINAL supply margin 15 A", "PASS supply margin 1 A", "PASS supply margin 1 A"}},
		{Name: "tolerance by policy", Build: with(), Policy: map[string]float64{"tolerance.power_share": 0.1},
			Want: []string{"PASS supply margin 15 A", "MARGINAL supply margin 1 A", "PASS supply margin 1 A"}},
		{Name: "a rail that the label does not rate", Build: with("{rail: 3v3, current_a: 11}, ", ""),
			Policy: exact, Want: []string{"PASS supply margin 15 A", "PASS supply margin 1 A", "UNKNOWN supply missing items[3].part.supply.rails"}},
		{Name: "no label at all", Build: with(", rails: [{rail: 12v, current_a: 20}, {rail: 5v, current_a: 13}, {rail: 3v3, current_a: 11}, {rail: 5vsb, current_a: 2}]", ""),
			Want: []string{"UNKNOWN supply missing items[3].part.supply.rails"}},
		{Name: "a draw that is not known leaves its rail open and the others judged", Build: with("demand: {sustained_w: 60}", "cores: 8"),
			Policy: exact, Want: []string{
				"UNKNOWN supply missing items[1].part.processor.demand.sustained_w", "PASS supply margin 1 A", "PASS supply margin 1 A"}},
		{Name: "the known part alone passes the rating", Build: with("demand: {sustained_w: 6, rails", "demand: {rails", "{rail: 5v, current_a: 13}", "{rail: 5v, current_a: 5}"),
			Policy: exact, Want: []string{"PASS supply margin 15 A",
				"FAIL supply margin -1 A missing items[2].part.drive.demand.sustained_w", "PASS supply margin 1 A"}},
		{Name: "12 V in two parts of which each alone bears the whole", Build: with("{rail: 12v, current_a: 20}", "{rail: 12v1, current_a: 10}, {rail: 12v2, current_a: 8}"),
			Policy: exact, Want: []string{"PASS supply margin 13 A", "PASS supply margin 1 A", "PASS supply margin 1 A"}},
		{Name: "12 V in two parts: which bears what is not known", Build: with("{rail: 12v, current_a: 20}", "{rail: 12v1, current_a: 4}, {rail: 12v2, current_a: 4}"),
			Policy: exact, Want: []string{"UNKNOWN supply margin 3 A missing items[3].part.supply.outlets", "PASS supply margin 1 A", "PASS supply margin 1 A"}},
		{Name: "12 V in two parts whose sum is too little", Build: with("{rail: 12v, current_a: 20}", "{rail: 12v1, current_a: 2}, {rail: 12v2, current_a: 2}"),
			Policy: exact, Want: []string{"FAIL supply margin -1 A", "PASS supply margin 1 A", "PASS supply margin 1 A"}},
		{Name: "a limit of all parts together goes before their sum", Build: with("{rail: 12v, current_a: 20}", "{rail: 12v, current_a: 4.5}, {rail: 12v1, current_a: 6}, {rail: 12v2, current_a: 6}"),
			Policy: exact, Want: []string{"FAIL supply margin -0.5 A", "PASS supply margin 1 A", "PASS supply margin 1 A"}},
		{Name: "a load of the build counts for the part's figure", Build: with() + "use: {loads: [{item: cpu, power_w: 264}]}\n",
			Policy: exact, Want: []string{"FAIL supply margin -2 A", "PASS supply margin 1 A", "PASS supply margin 1 A"}},
		{Name: "no supply", Build: `{items: [{id: cpu, part: {processor: {}}}]}`, Want: []string{"UNKNOWN missing items"}},
	})
}
