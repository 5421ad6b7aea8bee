// Package observe lets whoever runs the service look at it from outside: numbers for Prometheus and traces for
// OpenTelemetry. Both are off until a setting turns them on; off, they cost nothing. Neither holds anything about a
// person: labels are routes and kinds, spans hold the text of statements without their values.
package observe

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"
	"go.opentelemetry.io/otel/attribute"
	"go.opentelemetry.io/otel/exporters/otlp/otlptrace/otlptracehttp"
	"go.opentelemetry.io/otel/sdk/resource"
	sdktrace "go.opentelemetry.io/otel/sdk/trace"
	"go.opentelemetry.io/otel/trace"
)

// Config says what to show.
type Config struct {
	// Metrics is where /metrics is served; nil for none. The observer closes it.
	Metrics net.Listener
	// Traces sends spans to where OpenTelemetry's own variables say.
	Traces bool
	// TrustCaller goes on with a trace that the proxy in front began.
	TrustCaller bool
}

// Observer watches one service. A nil Observer watches nothing. Stop it when done.
type Observer struct {
	trust    bool
	registry *prometheus.Registry
	requests *prometheus.CounterVec
	took     *prometheus.HistogramVec
	streams  prometheus.Gauge
	commands *prometheus.CounterVec

	server   *http.Server
	served   chan error
	provider *sdktrace.TracerProvider
	tracer   trace.Tracer
}

// Times of a question for the numbers.
const (
	headerTime = 5 * time.Second
	answerTime = 30 * time.Second
)

// spansOf names the library that makes the spans, as OpenTelemetry asks.
const spansOf = "longpoint"

// New begins to watch; nil when there is nothing to show.
func New(ctx context.Context, cfg Config) (*Observer, error) {
	if cfg.Metrics == nil && !cfg.Traces {
		return nil, nil
	}
	o := &Observer{trust: cfg.TrustCaller}
	if cfg.Traces {
		exporter, err := otlptracehttp.New(ctx)
		if err != nil {
			return nil, fmt.Errorf("making the exporter of traces: %w", err)
		}
		// OTEL_SERVICE_NAME and OTEL_RESOURCE_ATTRIBUTES overrule the name.
		res, err := resource.New(ctx, resource.WithAttributes(attribute.String("service.name", "longpoint")), resource.WithFromEnv())
		if err != nil {
			return nil, fmt.Errorf("naming what traces are of: %w", err)
		}
		o.provider = sdktrace.NewTracerProvider(sdktrace.WithBatcher(exporter), sdktrace.WithResource(res))
		o.tracer = o.provider.Tracer(spansOf)
	}
	if cfg.Metrics != nil {
		o.count()
		mux := http.NewServeMux()
		mux.Handle("GET /metrics", promhttp.HandlerFor(o.registry, promhttp.HandlerOpts{Timeout: answerTime}))
		o.server = &http.Server{Handler: mux, ReadHeaderTimeout: headerTime, WriteTimeout: answerTime + headerTime}
		o.served = make(chan error, 1)
		go func() { o.served <- o.server.Serve(cfg.Metrics) }()
	}
	return o, nil
}

func (o *Observer) count() {
	o.requests = prometheus.NewCounterVec(prometheus.CounterOpts{Name: "longpoint_requests_total",
		Help: "Requests answered, by method, route and status."}, []string{"method", "route", "status"})
	// From a tick on a quiet machine (1 ms) to the bound on the work of one request (20 s).
	o.took = prometheus.NewHistogramVec(prometheus.HistogramOpts{Name: "longpoint_request_seconds",
		Help:    "Time from a request's first byte to the end of its answer, streams left out.",
		Buckets: []float64{.001, .0025, .005, .01, .025, .05, .1, .25, .5, 1, 2.5, 5, 10, 20}}, []string{"method", "route"})
	o.streams = prometheus.NewGauge(prometheus.GaugeOpts{Name: "longpoint_streams", Help: "Live streams open on this node."})
	o.commands = prometheus.NewCounterVec(prometheus.CounterOpts{Name: "longpoint_commands_total",
		Help: "Commands decided, by kind and outcome: applied, refused, repeated or failed."}, []string{"kind", "outcome"})
	o.registry = prometheus.NewRegistry()
	o.registry.MustRegister(o.requests, o.took, o.streams, o.commands, collectors.NewGoCollector(),
		collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
}

// Number shows a number that is read when it is asked for. counts says that it never falls.
func (o *Observer) Number(name, help string, counts bool, read func() float64) {
	switch {
	case o == nil || o.registry == nil:
	case counts:
		o.registry.MustRegister(prometheus.NewCounterFunc(prometheus.CounterOpts{Name: name, Help: help}, read))
	default:
		o.registry.MustRegister(prometheus.NewGaugeFunc(prometheus.GaugeOpts{Name: name, Help: help}, read))
	}
}

// Command counts a command that was decided.
func (o *Observer) Command(kind, outcome string) {
	if o != nil && o.commands != nil {
		o.commands.WithLabelValues(kind, outcome).Inc()
	}
}

// Stop sends what spans wait and ends the server of numbers.
func (o *Observer) Stop(ctx context.Context) error {
	if o == nil {
		return nil
	}
	var err error
	if o.server != nil {
		err = o.server.Close()
		if served := <-o.served; !errors.Is(served, http.ErrServerClosed) {
			err = errors.Join(err, served)
		}
	}
	if o.provider != nil {
		err = errors.Join(err, o.provider.Shutdown(ctx))
	}
	return err
}
