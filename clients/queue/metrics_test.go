package queue

import (
	"os"
	"regexp"
	"slices"
	"testing"
)

// The table that explains the metrics names those that there are, and the alerts
// watch no other.
func TestMetricsAreExplainedAndAlertsWatchThem(t *testing.T) {
	want := []string{upMetric}
	for _, m := range metrics {
		want = append(want, m.name)
	}
	slices.Sort(want)
	found := func(name, pattern string) (out []string) {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range regexp.MustCompile(pattern).FindAllStringSubmatch(string(text), -1) {
			out = append(out, m[1])
		}
		slices.Sort(out)
		return slices.Compact(out)
	}
	if got := found("../../deploy/nats/README.md", "(?m)^\\| `(slipfit_queue_[a-z_]+)"); !slices.Equal(got, want) {
		t.Errorf("the table explains\n%v, there are\n%v", got, want)
	}
	watched := found("../../deploy/prometheus/alerts-queue.yaml", "(slipfit_queue_[a-z_]+)")
	if len(watched) == 0 {
		t.Error("no alert watches the queue")
	}
	for _, name := range watched {
		if !slices.Contains(want, name) {
			t.Errorf("an alert watches %s, which there is not", name)
		}
	}
}
