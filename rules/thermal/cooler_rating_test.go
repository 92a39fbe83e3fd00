package thermal_test

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
	"slipfit.example/rules/thermal"
)

const couple = `
items:
- {id: cpu, part: {processor: {demand: {sustained_w: WATTS}}}}
- {id: cooler, part: {air_cooler: {rated_heat_w: RATED}}}
`

func TestCoolerRating(t *testing.T) {
	with := func(watts, rated string, pairs ...string) string {
		return edited(t, edited(t, couple, "WATTS", watts, "RATED", rated), pairs...)
	}
	kittest.Table(t, thermal.Pack(), "thermal.cooler-rating", []kittest.Row{
		{Name: "strong enough", Build: with("120", "200"), Want: []string{"PASS cooler,cpu margin 80 W"}},
		{Name: "equal is tight", Build: with("120", "120"), Want: []string{"MARGINAL cooler,cpu margin 0 W"}},
		{Name: "equal without tolerance", Build: with("120", "120"), Policy: map[string]float64{"tolerance.power_share": 0},
			Want: []string{"PASS cooler,cpu margin 0 W"}},
		{Name: "too weak", Build: with("230", "180"), Want: []string{"FAIL cooler,cpu margin -50 W"}},
		{Name: "a stated tolerance", Build: with("120", "130", "part: {air_cooler: {rated_heat_w: 130}}",
			"part: {air_cooler: {rated_heat_w: 130}, figures: [{fields: [air_cooler.rated_heat_w], minus: 2}]}"), Want: []string{"PASS cooler,cpu margin 10 W"}},
		{Name: "a load of the build goes first", Build: with("230", "180") + "use: {loads: [{item: cpu, power_w: 120}]}",
			Want: []string{"PASS cooler,cpu margin 60 W"}},
		{Name: "the power that a cooler is rated for stands in", Build: with("1", "180", "demand: {sustained_w: 1}", "rated_heat_w: 65"),
			Want: []string{"PASS cooler,cpu margin 115 W"}},
		{Name: "a loop is a cooler", Build: with("230", "280", "air_cooler: {", "liquid_loop: {radiator: {nominal_mm: 240}, "),
			Want: []string{"PASS cooler,cpu margin 50 W"}},
		{Name: "no power", Build: with("1", "180", "demand: {sustained_w: 1}", "cores: 8"),
			Want: []string{"UNKNOWN cooler,cpu missing items[0].part.processor.demand.sustained_w"}},
		{Name: "no rating", Build: with("120", "1", "rated_heat_w: 1", "height_mm: 100"),
			Want: []string{"UNKNOWN cooler,cpu missing items[1].part.air_cooler.rated_heat_w"}},
		{Name: "no cooler", Build: "items: [{id: cpu, part: {processor: {cores: 8}}}]", Want: []string{"UNKNOWN cpu missing items"}},
		{Name: "no processor", Build: "items: [{id: cooler, part: {air_cooler: {rated_heat_w: 100}}}]", Want: []string{"UNKNOWN cooler missing items"}},
		{Name: "neither", Build: "items: [{id: fan, part: {fan: {}}}]", Want: nil},
	})
}
