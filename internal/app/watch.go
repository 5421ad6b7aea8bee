package app

import (
	"context"
	"net"

	"github.com/jackc/pgx/v5/pgxpool"

	"longpoint/internal/observe"
	"longpoint/internal/postgres"
)

// observer begins to watch, where a setting asks for it.
//
// Errors are a *Problem.
func observer(ctx context.Context, cfg Config) (*observe.Observer, error) {
	var metrics net.Listener
	if cfg.MetricsAddr != "" {
		var err error
		if metrics, err = listenAs(ctx, cfg.MetricsAddr, "LONGPOINT_METRICS_ADDR"); err != nil {
			return nil, err
		}
	}
	o, err := observe.New(ctx, observe.Config{Metrics: metrics, Traces: cfg.Traces, TrustCaller: cfg.TrustProxy})
	if err != nil {
		if metrics != nil {
			_ = metrics.Close()
		}
		return nil, problem(err, "Traces cannot be sent (%v): set OTEL_EXPORTER_OTLP_ENDPOINT to an address like http://127.0.0.1:4318.", err)
	}
	return o, nil
}

// tune traces the pool's round trips, unless a test traces them itself.
func tune(o *observe.Observer, more func(*pgxpool.Config)) func(*pgxpool.Config) {
	return func(cfg *pgxpool.Config) {
		if t := o.SQL(); t != nil {
			cfg.ConnConfig.Tracer = t
		}
		if more != nil {
			more(cfg)
		}
	}
}

func showPool(o *observe.Observer, pg *postgres.Store) {
	o.Number("longpoint_database_connections_busy", "Connections to the database in use.", false, func() float64 { return float64(pg.Pool().Busy) })
	o.Number("longpoint_database_connections_idle", "Connections to the database waiting for use.", false, func() float64 { return float64(pg.Pool().Idle) })
	o.Number("longpoint_database_connections_most", "Most connections this node opens.", false, func() float64 { return float64(pg.Pool().Most) })
	o.Number("longpoint_database_waits_total", "Times a request waited for a connection.", true, func() float64 { return float64(pg.Pool().Waits) })
	o.Number("longpoint_database_waited_seconds_total", "Time requests have waited for a connection.", true, func() float64 { return pg.Pool().Waited.Seconds() })
}
