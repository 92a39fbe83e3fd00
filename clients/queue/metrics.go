package queue

import (
	"context"
	"time"

	"github.com/prometheus/client_golang/prometheus"
)

// Collector gives the state of a queue to Prometheus, asked of the servers at each
// look.
type Collector struct {
	queue *Queue
	descs map[string]*prometheus.Desc
}

// Metrics of a queue: name and meaning. The rules are a label of the first three.
var metrics = []struct {
	name, help string
	ofRules    bool
	value      func(State) float64
}{
	{"slipfit_queue_chunks_waiting", "Chunks that no worker has taken.", true, func(s State) float64 { return float64(s.Waiting) }},
	{"slipfit_queue_chunks_in_hand", "Chunks that a worker has taken and not answered.", true, func(s State) float64 { return float64(s.InHand) }},
	{"slipfit_queue_idle_pulls", "Requests of workers that wait for a chunk.", true, func(s State) float64 { return float64(s.Workers) }},
	{"slipfit_queue_oldest_chunk_seconds", "Age of the oldest chunk without an answer, 0 where there is none.", false, func(s State) float64 { return s.Oldest.Seconds() }},
	{"slipfit_queue_answers_unread", "Answers that the asking machine has not written yet.", false, func(s State) float64 { return float64(s.Unread) }},
	{"slipfit_queue_chunks_set_aside", "Chunks that no worker could answer.", false, func(s State) float64 { return float64(s.Aside) }},
}

// upMetric tells whether the servers answered.
const upMetric = "slipfit_queue_up"

// NewCollector gives the state of a queue.
func NewCollector(q *Queue) *Collector {
	c := &Collector{queue: q, descs: map[string]*prometheus.Desc{
		upMetric: prometheus.NewDesc(upMetric, "Whether the queue's servers tell its state.", nil, nil),
	}}
	for _, m := range metrics {
		var labels prometheus.Labels
		if m.ofRules {
			labels = prometheus.Labels{"rules": q.options.Rules}
		}
		c.descs[m.name] = prometheus.NewDesc(m.name, m.help, nil, labels)
	}
	return c
}

// Describe tells what there is.
func (c *Collector) Describe(out chan<- *prometheus.Desc) {
	for _, d := range c.descs {
		out <- d
	}
}

// Collect asks the servers.
func (c *Collector) Collect(out chan<- prometheus.Metric) {
	ctx, cancel := context.WithTimeout(context.Background(), 3*time.Second)
	defer cancel()
	s, err := c.queue.State(ctx)
	up := 1.0
	if err != nil {
		up = 0
	}
	out <- prometheus.MustNewConstMetric(c.descs[upMetric], prometheus.GaugeValue, up)
	if err != nil {
		return
	}
	for _, m := range metrics {
		out <- prometheus.MustNewConstMetric(c.descs[m.name], prometheus.GaugeValue, m.value(s))
	}
}
