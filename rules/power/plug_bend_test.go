package power_test

import (
	"testing"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit/kittest"
	"slipfit.example/rules/power"
)

func TestPlugBend(t *testing.T) {
	gap := func(first, reason string, low, nominal float64) *v1.Gap {
		second := "panel-left"
		return &v1.Gap{First: &first, Second: &second, LowMm: &low, NominalMm: &nominal, Reason: &reason}
	}
	arrangement := func(gaps ...*v1.Gap) []*v1.Fact {
		name := "clearance.arrangement"
		return []*v1.Fact{{Name: &name, Content: &v1.Fact_Arrangement{Arrangement: &v1.Arrangement{Gaps: gaps}}}}
	}
	kittest.Table(t, power.Pack(), "power.plug-bend", []kittest.Row{
		{Name: "room for the straight way (35 mm, from memory)", Build: strip, Facts: arrangement(gap("card-plug", "plug", 38, 40)), Want: []string{"PASS card margin 5 mm"}},
		{Name: "tight", Build: strip, Facts: arrangement(gap("card-plug", "plug", 34, 36)), Want: []string{"MARGINAL card margin 1 mm"}},
		{Name: "28 mm are a warning and never a failure, since no standard was read", Build: strip, Facts: arrangement(gap("card-plug", "plug", 28, 28)),
			Want: []string{"MARGINAL card margin -7 mm"}},
		{Name: "the tightest of two gaps", Build: strip, Facts: arrangement(gap("card-plug", "plug", 90, 90), gap("card-plug", "plug", 30, 30)),
			Want: []string{"MARGINAL card margin -5 mm"}},
		{Name: "gaps of other reasons and other items do not count", Build: strip,
			Facts: arrangement(gap("card-plug", "airflow", 1, 1), gap("supply-plugs", "plug", 1, 1), gap("card-fins", "plug", 1, 1)), Want: nil},
		{Name: "without geometry nothing is said", Build: strip, Want: nil},
		{Name: "other plugs may bend sooner", Build: edited(t, strip, "12v-2x6", "pcie-8"), Facts: arrangement(gap("card-plug", "plug", 1, 1)), Want: nil},
	})
}
