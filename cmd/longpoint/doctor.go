package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"runtime/debug"
	"time"

	"longpoint/internal/app"
	"longpoint/internal/joblog"
)

// healthTime bounds the question a container's engine asks every few seconds.
const healthTime = 3 * time.Second

func doctor(ctx context.Context, c *call) error {
	health := c.Bool("health", false, "only ask the service that listens at LONGPOINT_ADDR whether it is ready")
	if err := c.parse(0, 0); err != nil {
		return err
	}
	if *health {
		return askHealth(ctx, c.setting("LONGPOINT_ADDR"))
	}
	ill := 0
	for _, f := range app.Examine(ctx, app.Examined{
		DatabaseURL: c.setting("DATABASE_URL"),
		OwnerURL:    c.owner(),
		Addr:        c.setting("LONGPOINT_ADDR"),
		ListenURL:   c.setting("DATABASE_LISTEN_URL"),
		MetricsAddr: c.setting("LONGPOINT_METRICS_ADDR"),
		Photos:      c.photos(),
		Mail:        c.mail(),
		Push:        c.push(),
		BackupDir:   c.setting("LONGPOINT_BACKUP_DIR"),
		WebApp:      c.webApp(),
		Unknown:     c.unknown(),
	}) {
		mark := "ok  "
		switch {
		case f.Wrong:
			mark, ill = "BAD ", ill+1
		case f.Noted:
			mark = "note"
		}
		fmt.Fprintf(c.out, "%s %-10s %s\n", mark, f.What, f.Sentence)
	}
	if ill > 0 {
		return &app.Problem{Sentence: fmt.Sprintf("%d of these must be set right before Longpoint can serve.", ill)}
	}
	return nil
}

// askHealth asks whether the service on this machine is ready.
func askHealth(ctx context.Context, addr string) error {
	answer, err := app.AskHere(ctx, addr, "/readyz", healthTime)
	if _, bad := errors.AsType[*net.AddrError](err); bad {
		return &app.Problem{Sentence: fmt.Sprintf("%q is no address: set LONGPOINT_ADDR to one like 127.0.0.1:8080.", addr), Err: err}
	}
	if err != nil {
		return &app.Problem{Sentence: "The service does not answer at " + addr + ".", Err: err}
	}
	defer func() { _ = answer.Body.Close() }()
	if answer.StatusCode != http.StatusOK {
		return &app.Problem{Sentence: "The service answers at " + addr + " but is not ready: its database does not answer."}
	}
	return nil
}

func printVersion(_ context.Context, c *call) error {
	if err := c.parse(0, 0); err != nil {
		return err
	}
	version, revision := "(devel)", ""
	if b, ok := debug.ReadBuildInfo(); ok {
		version = b.Main.Version
		for _, s := range b.Settings {
			if s.Key == "vcs.revision" {
				revision = " " + s.Value
			}
		}
	}
	_, err := fmt.Fprintf(c.out, "longpoint %s%s, rule book %s, schema %d\n", version, revision, joblog.RuleBook, app.SchemaNeeded())
	return err
}
