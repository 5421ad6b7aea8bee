package postgres

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgxlisten"
)

// changedChannel is where Submit says which job has new entries, for every node.
const changedChannel = "longpoint_job_changed"

// stockChannel is where KeepStockPlan says which job has another plan. It is apart from the log's,
// whose number a plan does not move.
const stockChannel = "longpoint_stock_changed"

// reconnectAfter is how long a lost listening connection waits before it is made again.
// Long enough not to hammer a server that restarts; losing the stream loses nothing, since
// entries are pulled by number.
const reconnectAfter = time.Second

// Change says that a job's log has entries up to Seq, or that it has another saw plan, of that
// mark (see StockMark). The zero Change says that some may have been missed: the connection is
// new, and everybody should pull.
type Change struct {
	CompanyID string
	JobID     string
	Seq       int64
	Stock     int64
}

// Missed reports whether the change stands for any that were not heard.
func (c Change) Missed() bool { return c == Change{} }

// Listen calls heard for every change any node makes, in order, until ctx ends, over a
// connection of its own that it makes again when it is lost. heard gets a Missed change
// first at each connection, and must not block: it holds up the next. It is the program's
// to call; what heard passes on must be checked against who may read the job.
//
// It returns ctx's error.
func (s *Store) Listen(ctx context.Context, heard func(Change)) error {
	l := &pgxlisten.Listener{
		Connect: func(ctx context.Context) (*pgx.Conn, error) {
			return pgx.ConnectConfig(ctx, s.listen.Copy())
		},
		LogError: func(ctx context.Context, err error) {
			if ctx.Err() == nil {
				s.log.WarnContext(ctx, "listening for changed jobs", "error", err)
			}
		},
		ReconnectDelay: reconnectAfter,
	}
	l.Handle(changedChannel, ear(heard))
	l.Handle(stockChannel, pgxlisten.HandlerFunc(func(_ context.Context, n *pgconn.Notification, _ *pgx.Conn) error {
		c, err := parseChange(n.Payload)
		if err != nil {
			return err
		}
		c.Seq, c.Stock = 0, c.Seq
		heard(c)
		return nil
	}))
	return l.Listen(ctx)
}

type ear func(Change)

// HandleBacklog is called once the connection listens.
func (e ear) HandleBacklog(context.Context, string, *pgx.Conn) error {
	e(Change{})
	return nil
}

func (e ear) HandleNotification(_ context.Context, n *pgconn.Notification, _ *pgx.Conn) error {
	c, err := parseChange(n.Payload)
	if err != nil {
		return err
	}
	e(c)
	return nil
}

func parseChange(payload string) (Change, error) {
	fields := strings.Fields(payload)
	if len(fields) != 3 {
		return Change{}, fmt.Errorf("a change reads company, job, number; got %q", payload)
	}
	seq, err := strconv.ParseInt(fields[2], 10, 64)
	if err != nil {
		return Change{}, fmt.Errorf("a change's number: %w", err)
	}
	return Change{CompanyID: fields[0], JobID: fields[1], Seq: seq}, nil
}
