package work

import (
	"context"
	"errors"
	"net"
	"net/http"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/promhttp"
)

// Metrics are the counts of a worker and the state of its job for Prometheus.
type metrics struct {
	worker *Worker
	counts []count
	state  map[string]*prometheus.Desc
}

// A count is one that a worker keeps.
type count struct {
	desc  *prometheus.Desc
	kind  prometheus.ValueType
	value func(*Counts) float64
}

func newMetrics(w *Worker) *metrics {
	label := prometheus.Labels{"job": w.Job.job, "worker": w.Name}
	m := &metrics{worker: w, state: map[string]*prometheus.Desc{}}
	add := func(name, help string, kind prometheus.ValueType, value func(*Counts) float64) {
		m.counts = append(m.counts, count{prometheus.NewDesc("saywatt_"+name, help, nil, label), kind, value})
	}
	add("records_total", "Records stored.", prometheus.CounterValue,
		func(c *Counts) float64 { return float64(c.Read.Load()) })
	add("same_total", "Tasks whose record was there already.", prometheus.CounterValue,
		func(c *Counts) float64 { return float64(c.Same.Load()) })
	add("again_total", "Records stored because of an answer.", prometheus.CounterValue,
		func(c *Counts) float64 { return float64(c.Again.Load()) })
	add("failed_total", "Tries that failed.", prometheus.CounterValue,
		func(c *Counts) float64 { return float64(c.Failed.Load()) })
	add("dead_total", "Letters to the dead-letter stream.", prometheus.CounterValue,
		func(c *Counts) float64 { return float64(c.Dead.Load()) })
	add("caption_bytes_total", "Bytes of captions read.", prometheus.CounterValue,
		func(c *Counts) float64 { return float64(c.Bytes.Load()) })
	add("reading_seconds_total", "Time spent in reading.", prometheus.CounterValue,
		func(c *Counts) float64 { return float64(c.Nanos.Load()) / 1e9 })
	add("busy", "Captions in hand.", prometheus.GaugeValue, func(c *Counts) float64 { return float64(c.Busy.Load()) })
	for name, help := range map[string]string{
		"waiting": "Tasks that nobody has.", "in_hands": "Tasks that workers have.",
		"results": "Reviews with a record.",
		"answers": "Decisions not yet read with.", "dead_letters": "Letters in the dead-letter stream.",
		"oldest_seconds": "How long the first task waits.",
	} {
		m.state[name] = prometheus.NewDesc("saywatt_job_"+name, help, nil, prometheus.Labels{"job": w.Job.job})
	}
	return m
}

// Describe is a method of prometheus.Collector.
func (m *metrics) Describe(to chan<- *prometheus.Desc) {
	for _, c := range m.counts {
		to <- c.desc
	}
	for _, d := range m.state {
		to <- d
	}
}

// askTime bounds how long the broker is asked for the state of the job.
const askTime = 3 * time.Second

// Collect is a method of prometheus.Collector. Without an answer of the broker
// only the worker's own counts are given.
func (m *metrics) Collect(to chan<- prometheus.Metric) {
	for _, c := range m.counts {
		to <- prometheus.MustNewConstMetric(c.desc, c.kind, c.value(&m.worker.Counts))
	}
	ctx, cancel := context.WithTimeout(context.Background(), askTime)
	defer cancel()
	s, err := m.worker.Job.Status(ctx, 0)
	if err != nil {
		return
	}
	oldest := 0.0
	if s.Oldest != nil {
		oldest = *s.Oldest
	}
	for name, v := range map[string]float64{"waiting": float64(s.Waiting), "in_hands": float64(s.InHands),
		"results": float64(s.Results),
		"answers": float64(s.Answers), "dead_letters": float64(s.Dead), "oldest_seconds": oldest} {
		to <- prometheus.MustNewConstMetric(m.state[name], prometheus.GaugeValue, v)
	}
}

// metricsHandler serves a worker's metrics under /metrics.
func (w *Worker) metricsHandler() http.Handler {
	registry := prometheus.NewPedanticRegistry()
	registry.MustRegister(newMetrics(w))
	mux := http.NewServeMux()
	mux.Handle("GET /metrics", promhttp.HandlerFor(registry, promhttp.HandlerOpts{}))
	return mux
}

// ServeMetrics serves them on a listener until ctx ends.
func (w *Worker) ServeMetrics(ctx context.Context, l net.Listener) error {
	s := &http.Server{Handler: w.metricsHandler(), ReadHeaderTimeout: 5 * time.Second}
	stopped := context.AfterFunc(ctx, func() { s.Close() })
	defer stopped()
	if err := s.Serve(l); !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}
