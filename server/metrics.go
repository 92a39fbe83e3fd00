package server

import (
	"context"
	"sync"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"google.golang.org/grpc"
	"google.golang.org/grpc/status"
)

// Names of all metrics, in one place. metrics.md explains each, and a test holds
// the two together.
const (
	metricRequests      = "slipfit_requests_total"
	metricSeconds       = "slipfit_request_duration_seconds"
	metricInFlight      = "slipfit_checks_in_flight"
	metricShed          = "slipfit_checks_shed_total"
	metricVerdicts      = "slipfit_rule_verdicts_total"
	metricSilent        = "slipfit_pack_silent_total"
	metricPackStarts    = "slipfit_pack_starts_total"
	metricPackExits     = "slipfit_pack_exits_total"
	metricPackServing   = "slipfit_pack_serving"
	metricPackQueue     = "slipfit_pack_queue_checks"
	metricPackInFlight  = "slipfit_pack_in_flight_checks"
	metricRevision      = "slipfit_shelf_revision"
	metricRefused       = "slipfit_shelf_refused"
	metricActivated     = "slipfit_shelf_activation_time_seconds"
	metricAgreed        = "slipfit_shelf_agreed_time_seconds"
	metricShadowChecks  = "slipfit_shadow_checks_total"
	metricShadowFlips   = "slipfit_shadow_flips_total"
	metricShadowMargins = "slipfit_shadow_margins_moved_total"
	metricShadowSeconds = "slipfit_shadow_seconds_total"
)

// metrics counts what the service does. Part names never become labels.
type metrics struct {
	registry *prometheus.Registry
	requests *prometheus.CounterVec
	seconds  *prometheus.HistogramVec
	verdicts *prometheus.CounterVec
	silent   *prometheus.CounterVec
	starts   *prometheus.CounterVec
	exits    *prometheus.CounterVec

	// rules keeps the four counters of each rule of each pack, so that a check
	// looks none of them up by label.
	rules sync.Map // pack name -> *ruleCounters
}

type ruleCounters struct {
	rules    []string
	counters []prometheus.Counter // PASS, MARGINAL, UNKNOWN, FAIL of each rule in turn
}

var verdictLabels = [4]string{"pass", "marginal", "unknown", "fail"}

func newMetrics() *metrics {
	counter := func(name, help string, labels ...string) *prometheus.CounterVec {
		return prometheus.NewCounterVec(prometheus.CounterOpts{Name: name, Help: help}, labels)
	}
	m := &metrics{
		registry: prometheus.NewRegistry(),
		requests: counter(metricRequests, "Requests by method and status code.", "method", "code"),
		seconds: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name: metricSeconds, Help: "Time from request to answer by method.",
			Buckets: []float64{.0005, .001, .002, .005, .01, .02, .05, .1, .2, .5, 1, 2, 5},
		}, []string{"method"}),
		verdicts: counter(metricVerdicts, "Findings by rule and verdict.", "pack", "rule", "verdict"),
		silent:   counter(metricSilent, "Checks that a pack did not answer, by kind of failure.", "pack", "kind"),
		starts:   counter(metricPackStarts, "Starts of pack processes.", "pack"),
		exits:    counter(metricPackExits, "Ends of pack processes.", "pack"),
	}
	m.registry.MustRegister(m.requests, m.seconds, m.verdicts, m.silent, m.starts, m.exits,
		collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	return m
}

// silentKinds are the kinds of failure that the pipeline tells.
var silentKinds = [...]string{"missing", "late", "died", "broke"}

// begin shows the counters of a pack at zero, so that their first step is seen as
// one: Prometheus sees no increase in a series that begins at one.
func (m *metrics) begin(pack string) {
	m.starts.WithLabelValues(pack)
	m.exits.WithLabelValues(pack)
	for _, kind := range silentKinds {
		m.silent.WithLabelValues(pack, kind)
	}
}

// watchState registers what is read at the time of asking.
func (m *metrics) watchState(g *gate, packs func(visit func(pack string, serving bool, queued, inFlight int)), k *shelfKeeper) {
	m.registry.MustRegister(
		prometheus.NewGaugeFunc(prometheus.GaugeOpts{Name: metricInFlight, Help: "Checks on their way."},
			func() float64 { return float64(g.inside()) }),
		prometheus.NewCounterFunc(prometheus.CounterOpts{Name: metricShed, Help: "Checks turned away for want of room."},
			func() float64 { return float64(g.shed.Load()) }),
		packCollector{packs},
		prometheus.NewGaugeFunc(prometheus.GaugeOpts{Name: metricRevision, Help: "Revision of the pack folder that serves, 0 without one."},
			func() float64 { return float64(k.state().revision) }),
		prometheus.NewGaugeFunc(prometheus.GaugeOpts{Name: metricRefused, Help: "Whether the pack folder as it lies is refused, 1 or 0."},
			func() float64 {
				if k.state().refused != nil {
					return 1
				}
				return 0
			}),
		prometheus.NewGaugeFunc(prometheus.GaugeOpts{Name: metricActivated, Help: "Unix time at which the pack folder that serves began to, 0 without one."},
			func() float64 { return unixSeconds(k.state().since) }),
		prometheus.NewGaugeFunc(prometheus.GaugeOpts{Name: metricAgreed, Help: "Unix time at which the pack folder was last found as it serves, 0 without one."},
			func() float64 { return unixSeconds(k.state().agreed) }),
	)
}

// unixSeconds is a moment as Prometheus has it, 0 for none.
func unixSeconds(t time.Time) float64 {
	if t.IsZero() {
		return 0
	}
	return float64(t.UnixMilli()) / 1e3
}

// packCollector reads the state of packs when it is asked.
type packCollector struct {
	each func(visit func(pack string, serving bool, queued, inFlight int))
}

var (
	servingDesc  = prometheus.NewDesc(metricPackServing, "Whether a pack serves, 1 or 0.", []string{"pack"}, nil)
	queueDesc    = prometheus.NewDesc(metricPackQueue, "Checks that wait for a pack.", []string{"pack"}, nil)
	inFlightDesc = prometheus.NewDesc(metricPackInFlight, "Checks that a pack is answering.", []string{"pack"}, nil)
)

// Describe implements prometheus.Collector.
func (c packCollector) Describe(out chan<- *prometheus.Desc) {
	out <- servingDesc
	out <- queueDesc
	out <- inFlightDesc
}

// Collect implements prometheus.Collector.
func (c packCollector) Collect(out chan<- prometheus.Metric) {
	c.each(func(pack string, serving bool, queued, inFlight int) {
		up := 0.0
		if serving {
			up = 1
		}
		out <- prometheus.MustNewConstMetric(servingDesc, prometheus.GaugeValue, up, pack)
		out <- prometheus.MustNewConstMetric(queueDesc, prometheus.GaugeValue, float64(queued), pack)
		out <- prometheus.MustNewConstMetric(inFlightDesc, prometheus.GaugeValue, float64(inFlight), pack)
	})
}

// Judged implements pipeline.Watch.
func (m *metrics) Judged(pack string, rules []string, counts []uint32) {
	kept, ok := m.rules.Load(pack)
	if !ok || !sameRules(kept.(*ruleCounters).rules, rules) {
		kept = m.countersOf(pack, rules)
		m.rules.Store(pack, kept)
	}
	for i, n := range counts {
		if n != 0 {
			kept.(*ruleCounters).counters[i].Add(float64(n))
		}
	}
}

func (m *metrics) countersOf(pack string, rules []string) *ruleCounters {
	c := &ruleCounters{rules: rules}
	for _, rule := range rules {
		for _, verdict := range verdictLabels {
			c.counters = append(c.counters, m.verdicts.WithLabelValues(pack, rule, verdict))
		}
	}
	return c
}

// sameRules tells whether two catalogues are one and the same slice; a pack that
// comes in another version has another.
func sameRules(a, b []string) bool {
	return len(a) == len(b) && (len(a) == 0 || &a[0] == &b[0])
}

// Silent implements pipeline.Watch.
func (m *metrics) Silent(pack, kind string) { m.silent.WithLabelValues(pack, kind).Inc() }

// unary counts and times unary requests.
func (m *metrics) unary(ctx context.Context, request any, info *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
	start := time.Now()
	response, err := next(ctx, request)
	m.record(info.FullMethod, start, err)
	return response, err
}

// stream counts and times streams.
func (m *metrics) stream(srv any, stream grpc.ServerStream, info *grpc.StreamServerInfo, next grpc.StreamHandler) error {
	start := time.Now()
	err := next(srv, stream)
	m.record(info.FullMethod, start, err)
	return err
}

func (m *metrics) record(method string, start time.Time, err error) {
	m.requests.WithLabelValues(method, status.Code(err).String()).Inc()
	m.seconds.WithLabelValues(method).Observe(time.Since(start).Seconds())
}
