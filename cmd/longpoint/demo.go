package main

import (
	"context"
	"fmt"
	"log/slog"
	"strings"

	"longpoint/internal/app"
	"longpoint/internal/demo"
)

func runDemo(ctx context.Context, c *call) error {
	if err := c.parse(0, 0); err != nil {
		return err
	}
	var photos app.PhotoConfig // beside the demo's data, unless said otherwise
	if c.env("LONGPOINT_PHOTO_DIR") != "" || c.setting("LONGPOINT_S3_ENDPOINT") != "" {
		photos = c.photos()
	}
	d, err := app.RunDemo(ctx, app.DemoConfig{
		Addr:        c.setting("LONGPOINT_ADDR"),
		DatabaseURL: c.setting("DATABASE_URL"),
		Dir:         c.setting("LONGPOINT_DEMO_DIR"),
		Photos:      photos,
		Push:        c.push(),
		App:         c.webApp(),
		Logger:      slog.New(slog.NewTextHandler(c.err, &slog.HandlerOptions{Level: slog.LevelWarn})),
		Say:         func(s string) { fmt.Fprintln(c.out, s) },
	})
	if err != nil {
		return err
	}
	fmt.Fprint(c.out, demoNotice("http://"+d.Addr().String(), d.Home, d.Walk, d.Mail, c.webApp() != nil))
	<-d.Done()
	fmt.Fprintln(c.out, "Stopping; the data stays.")
	return d.Close()
}

// demoNotice says where to go and who signs in there.
func demoNotice(at, home, walk, mail string, withApp bool) string {
	var b strings.Builder
	fmt.Fprintf(&b, "\nLongpoint runs at %s with the house of %s.\n", at, demo.Company)
	if !withApp {
		fmt.Fprintf(&b, "The web app is not built into this program; the API answers at %s/api/v1.\n", at)
	}
	fmt.Fprintf(&b, "\n  %-34s %-10s %s\n", "open", "sign in as", "who")
	for _, p := range demo.Crew() {
		screen := "/bench"
		if p.Role.Leads() {
			screen = "/board"
		}
		fmt.Fprintf(&b, "  %-34s %-10s %s, %s\n", at+screen, p.SignIn, p.Name, p.Role)
	}
	if walk != "" {
		fmt.Fprintf(&b, "\n%s, the homeowner, has no account. Her walkthrough opens with this link:\n  %s\n", demo.Homeowner.Name, walk)
	}
	fmt.Fprintf(&b, "\nEveryone's passphrase is: %s\n", demo.Passphrase)
	if mail != "" {
		fmt.Fprintf(&b, "E-mail leaves this machine for nobody: each message is a file in %s.\n", mail)
	}
	fmt.Fprintf(&b, "The data is in %s. Ctrl-C stops; the data stays.\n\n", home)
	return b.String()
}
