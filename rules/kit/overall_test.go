package kit_test

import (
	"strings"
	"testing"

	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
)

// An overall rule is judged once, in the best alternative, and knows how all did.
func TestOverallRuleSeesEveryAlternative(t *testing.T) {
	heights := []float64{170, 150, 168, 200}
	pack := samplePack(func(c *kit.Case) {
		limit := c.Length(c.First(kit.KindChassis), "chassis.limits.cooler_height_mm", c.First(kit.KindChassis).Part.GetChassis().GetLimits().CoolerHeightMm)
		c.AtMost(kit.Constant(heights[c.Alternative()], "mm"), limit).Word("cooler", "Dusk")
	})
	pack.Alternatives = func(*kit.Case) int { return len(heights) }
	var tallies []kit.Tally
	overall := heightRule(func(c *kit.Case) {
		for a := range c.Alternatives() {
			tallies = append(tallies, c.Tally(a))
		}
		c.Judged(kit.Fail).Word("cooler", heightsName(c.Alternative())).Say("pass")
	})
	overall.ID, overall.Overall = "sample.overall", true
	overall.Texts = map[string]string{"pass": "Judged in {cooler}.", "fail": "Never said.", "unknown": "Never said."}
	overall.Sources, overall.Parameters = pack.Rules[0].Sources, nil
	pack.Rules = append(pack.Rules, overall)
	e, err := kit.NewEvaluator(pack)
	if err != nil {
		t.Fatal(err)
	}
	for range 2 { // the second run uses the first one's memory
		tallies = tallies[:0]
		got := kittest.Evaluate(t, e, kittest.Row{Build: build("1", "")}).Findings
		if len(got) != 2 || kittest.Line(got[0]) != "PASS margin 18 mm" || got[1].GetSummary().GetText() != "Judged in second." {
			t.Fatalf("findings are %v", got)
		}
		want := []kit.Tally{{Fails: 1}, {}, {Marginals: 1}, {Fails: 1}}
		for i := range want {
			if tallies[i] != want[i] {
				t.Errorf("alternative %d tallies %+v, want %+v", i, tallies[i], want[i])
			}
		}
	}
}

func heightsName(i int) string { return []string{"first", "second", "third", "fourth"}[i] }

func TestOverallRulesComeLast(t *testing.T) {
	pack := samplePack(judgeHeight)
	later := pack.Rules[0]
	later.ID, later.Parameters = "sample.later", nil
	pack.Rules[0].Overall = true
	pack.Rules = append(pack.Rules, later)
	const want = "rule sample.later stands after an overall rule; overall rules come last"
	if err := pack.Check(); err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("check says %v, want %s", err, want)
	}
}
