package server

import (
	"github.com/prometheus/client_golang/prometheus"

	v1 "slipfit.example/proto/slipfit/v1"
)

// shadowCollector reads what a candidate has come to when it is asked.
type shadowCollector struct{ host *shadowHost }

var (
	shadowChecksDesc  = prometheus.NewDesc(metricShadowChecks, "Live checks picked for the candidate, by what came of them.", []string{"outcome"}, nil)
	shadowFlipsDesc   = prometheus.NewDesc(metricShadowFlips, "Findings that the candidate judges differently, by rule and direction.", []string{"rule", "from", "to"}, nil)
	shadowMarginsDesc = prometheus.NewDesc(metricShadowMargins, "Findings whose margin moves while the verdict stays, by rule.", []string{"rule"}, nil)
	shadowSecondsDesc = prometheus.NewDesc(metricShadowSeconds, "Time for the checks judged by both, on either side.", []string{"side"}, nil)
)

// Describe implements prometheus.Collector.
func (c shadowCollector) Describe(out chan<- *prometheus.Desc) {
	out <- shadowChecksDesc
	out <- shadowFlipsDesc
	out <- shadowMarginsDesc
	out <- shadowSecondsDesc
}

// Collect implements prometheus.Collector.
func (c shadowCollector) Collect(out chan<- prometheus.Metric) {
	r := c.host.Report(false)
	s := r.Summary
	count := func(desc *prometheus.Desc, v float64, labels ...string) {
		out <- prometheus.MustNewConstMetric(desc, prometheus.CounterValue, v, labels...)
	}
	for outcome, n := range map[string]uint64{
		"flipped": s.GetFlipped(), "same": s.GetBuilds() - s.GetFlipped(), "refused": s.GetRefused(), "silent": r.GetSilent(),
		"own_ruleset": r.GetOwnRuleset(), "dropped_full": r.GetDroppedFull(), "dropped_busy": r.GetDroppedBusy(),
	} {
		count(shadowChecksDesc, float64(n), outcome)
	}
	for _, f := range s.GetFlips() {
		count(shadowFlipsDesc, float64(f.GetCount()), f.GetRule(), flipLabel(f.GetFrom()), flipLabel(f.GetTo()))
	}
	margins := map[string]uint64{}
	for _, m := range s.GetMargins() {
		margins[m.GetRule()] += m.GetCount() // units together
	}
	for rule, n := range margins {
		count(shadowMarginsDesc, float64(n), rule)
	}
	count(shadowSecondsDesc, s.GetBaseline().GetSeconds(), "live")
	count(shadowSecondsDesc, s.GetCandidate().GetSeconds(), "candidate")
}

// flipLabel is a verdict as a label; "none" is no finding at all.
func flipLabel(v v1.Verdict) string {
	if v == v1.Verdict_VERDICT_UNSPECIFIED || int(v) > len(verdictLabels) {
		return "none"
	}
	return verdictLabels[v-1]
}
