package main

import (
	"context"
	"fmt"
	"io/fs"
	"log/slog"
	"os"

	"longpoint/internal/app"
	"longpoint/internal/httpapi"
	"longpoint/internal/mail"
	"longpoint/internal/photo"
	"longpoint/internal/push"
	"longpoint/web"
)

func (s system) logger() (*slog.Logger, error) {
	switch kind := s.setting("LONGPOINT_LOG"); kind {
	case "json":
		return slog.New(slog.NewJSONHandler(s.err, nil)), nil
	case "text":
		return slog.New(slog.NewTextHandler(s.err, nil)), nil
	default:
		return nil, &app.Problem{Sentence: fmt.Sprintf("LONGPOINT_LOG is %q: set it to json or text.", kind)}
	}
}

// webApp is the web app's files; nil when there are none.
func (s system) webApp() fs.FS {
	if dir := s.setting("LONGPOINT_WEB_DIR"); dir != "" {
		return os.DirFS(dir)
	}
	files, ok := web.App()
	if !ok {
		return nil
	}
	return files
}

// photos is where photos are kept: the folder, unless a bucket's address is given.
func (s system) photos() app.PhotoConfig {
	return app.PhotoConfig{
		Dir: s.setting("LONGPOINT_PHOTO_DIR"),
		Bucket: photo.BucketConfig{
			Endpoint:  s.setting("LONGPOINT_S3_ENDPOINT"),
			Bucket:    s.setting("LONGPOINT_S3_BUCKET"),
			Region:    s.setting("LONGPOINT_S3_REGION"),
			Prefix:    s.setting("LONGPOINT_S3_PREFIX"),
			AccessKey: s.setting("LONGPOINT_S3_ACCESS_KEY"),
			Secret:    s.setting("LONGPOINT_S3_SECRET_KEY"),
		},
	}
}

// mail is how e-mail goes out; off without a server.
func (s system) mail() mail.Config {
	return mail.Config{URL: s.setting("LONGPOINT_SMTP_URL"), From: s.setting("LONGPOINT_MAIL_FROM")}
}

// push is how messages go to the crew's phones; off without a key.
func (s system) push() push.Config {
	return push.Config{Key: s.setting("LONGPOINT_PUSH_KEY"), Contact: s.setting("LONGPOINT_PUSH_CONTACT")}
}

// pushKey prints a new key as the settings it belongs in.
func pushKey(_ context.Context, c *call) error {
	if err := c.parse(0, 0); err != nil {
		return err
	}
	key, err := push.NewKey()
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(c.out, "LONGPOINT_PUSH_KEY=%s\nLONGPOINT_PUSH_CONTACT=\n", key)
	return err
}

func serve(ctx context.Context, c *call) error {
	migrate := c.Bool("migrate", false, "first bring the schema up as LONGPOINT_OWNER_URL, and set the service role's password to DATABASE_URL's")
	if err := c.parse(0, 0); err != nil {
		return err
	}
	log, err := c.logger()
	if err != nil {
		return err
	}
	if *migrate {
		if err := app.MigrateForService(ctx, c.setting("LONGPOINT_OWNER_URL"), c.setting("DATABASE_URL")); err != nil {
			return err
		}
	}
	a, err := app.Run(ctx, app.Config{
		Addr:        c.setting("LONGPOINT_ADDR"),
		DatabaseURL: c.setting("DATABASE_URL"),
		ListenURL:   c.setting("DATABASE_LISTEN_URL"),
		MetricsAddr: c.setting("LONGPOINT_METRICS_ADDR"),
		Traces:      c.setting("OTEL_EXPORTER_OTLP_ENDPOINT") != "",
		App:         c.webApp(),
		Photos:      c.photos(),
		Mail:        c.mail(),
		Push:        c.push(),
		TrustProxy:  c.setting("LONGPOINT_TRUST_PROXY") == "1",
		Logger:      log,
	})
	if err != nil {
		return err
	}
	log.Info("serving", "addr", a.Addr().String(), "web_app", c.webApp() != nil)
	<-a.Done()
	return a.Close()
}

func printOpenAPI(_ context.Context, c *call) error {
	if err := c.parse(0, 0); err != nil {
		return err
	}
	b, err := httpapi.OpenAPI()
	if err != nil {
		return err
	}
	_, err = fmt.Fprintln(c.out, string(b))
	return err
}
