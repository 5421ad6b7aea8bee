package main

import (
	"cmp"
	"context"
	"fmt"
	"strconv"

	"longpoint/internal/app"
)

// owner is the database's address as its owner.
func (s system) owner() string {
	return cmp.Or(s.setting("LONGPOINT_OWNER_URL"), s.setting("DATABASE_URL"))
}

func migrateUp(ctx context.Context, c *call) error {
	password := c.Bool("service-password", false, "also give role longpoint_app the password in DATABASE_URL")
	if err := c.parse(0, 0); err != nil {
		return err
	}
	if *password {
		if err := app.MigrateForService(ctx, c.setting("LONGPOINT_OWNER_URL"), c.setting("DATABASE_URL")); err != nil {
			return err
		}
	}
	at, err := app.MigrateUp(ctx, c.owner())
	if err != nil {
		return err
	}
	fmt.Fprintf(c.out, "The schema is at step %d.\n", at)
	return nil
}

func migrateDown(ctx context.Context, c *call) error {
	if err := c.parse(1, 1); err != nil {
		return err
	}
	steps, err := strconv.Atoi(c.args[0])
	if err != nil || steps < 1 {
		return misused("%q is no number of steps: give a whole number from 1 up.", c.args[0])
	}
	at, err := app.MigrateDown(ctx, c.owner(), steps)
	if err != nil {
		return err
	}
	fmt.Fprintf(c.out, "The schema is at step %d.\n", at)
	return nil
}

func migrateVersion(ctx context.Context, c *call) error {
	if err := c.parse(0, 0); err != nil {
		return err
	}
	at, err := app.MigrateVersion(ctx, c.owner())
	if err != nil {
		return err
	}
	fmt.Fprintf(c.out, "The schema is at step %d; this program needs %d.\n", at, app.SchemaNeeded())
	return nil
}

func rebuild(ctx context.Context, c *call) error {
	check := c.Bool("check", false, "compare, and change nothing")
	company := c.String("company", "", "the one company to rebuild, by `id`")
	if err := c.parse(0, 0); err != nil {
		return err
	}
	rep, err := app.Rebuild(ctx, c.owner(), *company, *check)
	if err != nil {
		return err
	}
	for _, d := range rep.Differences {
		fmt.Fprintln(c.out, d)
	}
	fmt.Fprintf(c.out, "%d companies, %d jobs, %d entries: %d differences.\n", rep.Companies, rep.Jobs, rep.Entries, len(rep.Differences))
	if *check && len(rep.Differences) > 0 {
		return &app.Problem{Sentence: "The tables differ from the log: run longpoint rebuild to set them right."}
	}
	return nil
}
