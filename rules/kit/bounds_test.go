package kit_test

import (
	"testing"

	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
)

func TestDespiteListsWhatIsMissingAndKeepsTheVerdict(t *testing.T) {
	pack := samplePack(func(c *kit.Case) {
		cooler := c.First(kit.KindAirCooler)
		absent := c.Absent(cooler.At("air_cooler.width_mm"), "mm")
		c.AtMost(kit.Constant(170, "mm"), kit.Constant(168, "mm")).Despite(absent).About(cooler).Word("cooler", "Dusk")
		c.AtMost(kit.Constant(167, "mm"), kit.Constant(168, "mm")).Using(absent).About(cooler).Word("cooler", "Dusk")
	})
	kittest.Table(t, pack, "sample.height", []kittest.Row{{
		Name: "one fails all the same, the other cannot tell", Build: build("170", ""),
		Want: []string{
			"FAIL cooler margin -2 mm missing items[1].part.air_cooler.width_mm",
			"UNKNOWN cooler margin 1 mm missing items[1].part.air_cooler.width_mm",
		},
	}})
}

func TestAtBestHardensOnlyAPass(t *testing.T) {
	pack := samplePack(func(c *kit.Case) {
		for _, height := range []float64{167, 169} {
			c.AtMost(kit.Constant(height, "mm"), kit.Constant(168, "mm")).AtBest(kit.Marginal).Word("cooler", "Dusk")
		}
	})
	kittest.Table(t, pack, "sample.height", []kittest.Row{{
		Name: "a pass becomes marginal, a fail stays", Build: build("170", ""),
		Want: []string{"MARGINAL margin 1 mm", "FAIL margin -1 mm"},
	}})
}
