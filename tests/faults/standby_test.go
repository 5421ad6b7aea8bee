package faults

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"syscall"
	"time"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/pglocal"
)

const (
	standbyName = "standby"
	// catchUpLimit is how long a standby may take to have what the primary has, once their way is whole.
	catchUpLimit = time.Minute
)

// startStandby copies the primary as deploy/standby/start.sh does, with a slot, and lets the copy follow it.
func (w *world) startStandby() error {
	var err error
	if w.loft, err = newLink(w.dialDatabase); err != nil {
		return err
	}
	bin, _, err := pglocal.FindBinaries()
	if err != nil {
		return err
	}
	at := filepath.Join(w.dir, standbyName)
	_, port, err := net.SplitHostPort(w.loft.addr())
	if err != nil {
		return err
	}
	from := fmt.Sprintf("host=127.0.0.1 port=%s user=%s application_name=%s sslmode=disable", port, pglocal.Superuser, standbyName)
	out, err := exec.Command(filepath.Join(bin, "pg_basebackup"), "--dbname="+from, "--pgdata="+at, "--wal-method=stream", "--checkpoint=fast",
		"--write-recovery-conf", "--create-slot", "--slot="+standbyName).CombinedOutput()
	if err != nil {
		return fmt.Errorf("pg_basebackup: %w: %s", err, out)
	}
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Minute)
	defer cancel()
	w.standby, err = pglocal.Start(ctx, pglocal.Config{DataDir: at, Fsync: true, Settings: settings})
	return err
}

// behind is how many bytes of the primary's log the standby has not made its own.
func (w *world) behind(ctx context.Context) (bytes int64, err error) {
	mark, err := ask(ctx, w.owner(), `select pg_current_wal_flush_lsn()::text`)
	if err != nil {
		return 0, err
	}
	there, err := ask(ctx, w.standby.DSN(database, pglocal.Superuser), `select pg_wal_lsn_diff('`+mark+`', pg_last_wal_replay_lsn())::bigint::text`)
	if err != nil {
		return 0, err
	}
	return strconv.ParseInt(there, 10, 64)
}

func ask(ctx context.Context, address, statement string) (answer string, err error) {
	conn, err := pgx.Connect(ctx, address)
	if err != nil {
		return "", err
	}
	defer func() { _ = conn.Close(context.WithoutCancel(ctx)) }()
	err = conn.QueryRow(ctx, statement).Scan(&answer)
	return answer, err
}

// sums is, of each table, how many rows it has and a sum over all they hold.
func sums(ctx context.Context, address string) (of map[string]string, rows int, err error) {
	conn, err := pgx.Connect(ctx, address)
	if err != nil {
		return nil, 0, err
	}
	defer func() { _ = conn.Close(context.WithoutCancel(ctx)) }()
	tx, err := conn.BeginTx(ctx, pgx.TxOptions{IsoLevel: pgx.RepeatableRead, AccessMode: pgx.ReadOnly})
	if err != nil {
		return nil, 0, err
	}
	defer func() { _ = tx.Rollback(context.WithoutCancel(ctx)) }()
	list, err := tx.Query(ctx, `select relname::text from pg_class where relnamespace = 'public'::regnamespace and relkind = 'r'`)
	if err != nil {
		return nil, 0, err
	}
	names, err := pgx.CollectRows(list, pgx.RowTo[string])
	if err != nil {
		return nil, 0, err
	}
	of = map[string]string{}
	for _, name := range names {
		var n int
		var sum string
		if err := tx.QueryRow(ctx, `select count(*), md5(coalesce(string_agg(h, '' order by h), '')) from (select md5(t::text) as h from `+
			pgx.Identifier{name}.Sanitize()+` t) r`).Scan(&n, &sum); err != nil {
			return nil, 0, err
		}
		of[name] = fmt.Sprint(n, " ", sum)
		rows += n
	}
	return of, rows, nil
}

// followed waits until the standby has what the primary has and names the tables that differ. A node writes a little by
// itself (when a session was last seen), so rows that differ are looked at again until the limit.
func (w *world) followed() (took time.Duration, rows int, differ []string, err error) {
	ctx, cancel := context.WithTimeout(context.Background(), catchUpLimit)
	defer cancel()
	began := time.Now()
	for {
		behind, err := w.behind(ctx)
		if err != nil {
			return 0, 0, nil, err
		}
		if behind <= 0 {
			if took == 0 {
				took = time.Since(began)
			}
			var here, there map[string]string
			here, rows, err = sums(ctx, w.owner())
			if err == nil {
				there, _, err = sums(ctx, w.standby.DSN(database, pglocal.Superuser))
			}
			if err != nil {
				return 0, 0, nil, err
			}
			differ = differ[:0]
			for name, sum := range here {
				if there[name] != sum {
					differ = append(differ, name)
				}
			}
			if len(differ) == 0 {
				return took, rows, nil, nil
			}
		}
		select {
		case <-ctx.Done():
			slices.Sort(differ)
			if took == 0 {
				return 0, 0, nil, fmt.Errorf("the standby is %d bytes behind after %v", behind, catchUpLimit)
			}
			return took, rows, differ, nil
		case <-time.After(50 * time.Millisecond):
		}
	}
}

// losePrimary has commits wait for the standby (synchronous_standby_names), kills the primary for good while phones work,
// and makes the standby the primary: what was answered for must all be there.
func (w *world) losePrimary() error {
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	conn, err := pgx.Connect(ctx, w.owner())
	if err != nil {
		return err
	}
	_, err = conn.Exec(ctx, `alter system set synchronous_standby_names = '`+standbyName+`'`)
	if err == nil {
		_, err = conn.Exec(ctx, `select pg_reload_conf()`)
	}
	for state := ""; err == nil && state != "sync"; pause(20 * time.Millisecond) {
		err = conn.QueryRow(ctx, `select coalesce(max(sync_state), '') from pg_stat_replication where state = 'streaming'`).Scan(&state)
	}
	if err := errors.Join(err, conn.Close(ctx)); err != nil {
		return err
	}
	pause(time.Second)
	lost := w.database()
	if err := syscall.Kill(lost.PID(), syscall.SIGKILL); err != nil {
		return err
	}
	<-lost.Done()
	_ = lost.Stop(ctx) // gone; this clears up after it
	if _, err := ask(ctx, w.standby.DSN(database, pglocal.Superuser), `select pg_promote()::text`); err != nil {
		return err
	}
	w.pgMu.Lock()
	defer w.pgMu.Unlock()
	w.pg, w.standby = w.standby, nil
	return nil
}
