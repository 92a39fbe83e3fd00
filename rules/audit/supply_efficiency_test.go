package audit

import "testing"

func TestSupplyEfficiency(t *testing.T) {
	gold := func(points string) string {
		return "supply: {efficiency_mark: 80plus-gold, efficiencies: [" + points + "]}"
	}
	table(t, "audit.supply-efficiency", []row{
		{"gold promises 92 % at half load on 230 V EU (80 PLUS programme)", gold("{load_share: 0.5, efficiency: 0.92, mains_v: 230}"), []string{"PASS entry"}},
		{"below the mark", gold("{load_share: 0.5, efficiency: 0.88, mains_v: 230}"), []string{"FAIL entry margin -3 %"}},
		{"better than any supply", gold("{load_share: 0.5, efficiency: 0.995, mains_v: 230}"), []string{"FAIL entry margin -1.5 %"}},
		{"ten percent load is not tested for gold", gold("{load_share: 0.1, efficiency: 0.6, mains_v: 230}"), nil},
		{"no mains voltage", gold("{load_share: 0.5, efficiency: 0.92}"), []string{"UNKNOWN entry missing items[0].part.supply.efficiencies[0].mains_v"}},
		{"no mark", "supply: {efficiencies: [{load_share: 0.5, efficiency: 0.5, mains_v: 230}]}", nil},
	})
}
