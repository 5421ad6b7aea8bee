package app

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"longpoint/internal/demo"
	"longpoint/internal/pglocal"
	"longpoint/internal/photo"
	"longpoint/internal/postgres"
	"longpoint/internal/testdb"
)

func TestMain(m *testing.M) {
	os.Exit(testdb.LeakFree(m))
}

// The demonstration keeps its data between runs, in a folder that it made.
func TestTheDemoOnItsOwnPostgreSQL(t *testing.T) {
	t.Parallel()
	dir, err := pglocal.HoldTempDir("", "longpoint-demo-test-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = dir.Release() })
	cfg := DemoConfig{Addr: "127.0.0.1:0", Dir: filepath.Join(dir.Path, "demo")}
	var first string
	for _, when := range []string{"first", "second"} {
		d, err := RunDemo(context.Background(), cfg)
		if err != nil {
			t.Fatalf("%s start: %v", when, err)
		}
		person, _, err := d.store.FindSignIn(context.Background(), demo.Crew()[0].SignIn)
		if err != nil {
			t.Errorf("%s start: looking for the lead: %v", when, err)
		}
		if err := d.Close(); err != nil {
			t.Errorf("%s stop: %v", when, err)
		}
		if first == "" {
			first = person.ID
		}
		if person.ID != first {
			t.Errorf("%s start: the lead is %s, want %s still", when, person.ID, first)
		}
	}
	info, err := os.Stat(filepath.Join(cfg.Dir, "PG_VERSION"))
	if err != nil || info.Size() == 0 {
		t.Errorf("data after the stop: %v, want it kept in %s", err, cfg.Dir)
	}
}

// An owner who is no superuser is enough.
func TestTheDemoAsAPlainOwner(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	db := testdb.Empty(t)
	owner := db.PlainOwner(t)
	photos := t.TempDir()
	d, err := RunDemo(ctx, DemoConfig{Addr: "127.0.0.1:0", DatabaseURL: owner, Photos: PhotoConfig{Dir: photos}})
	if err != nil {
		t.Fatalf("starting as a plain owner: %v", err)
	}
	if err := d.Close(); err != nil {
		t.Errorf("closing: %v", err)
	}
	rep, err := Rebuild(ctx, owner, "", true)
	if err != nil || rep.Jobs != 1 || len(rep.Differences) != 0 {
		t.Errorf("rebuild --check as the owner: got %+v (%v), want one job and no differences", rep, err)
	}
	// The owner is bound by row-level security, as COPY then is: backups work all the same.
	dir := t.TempDir()
	if _, err := Backup(ctx, BackupConfig{OwnerURL: owner, Photos: PhotoConfig{Dir: photos}, Dir: dir, Try: true}); err != nil {
		t.Errorf("a backup as the owner: %v", err)
	}
}

// A house left half built by a power cut is not served as if it were whole.
func TestAHalfBuiltHouseIsTold(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	db := testdb.New(t)
	clock := &demo.Clock{}
	clock.Set(time.Now())
	pg, err := postgres.Open(ctx, db.AppURL, postgres.Options{Clock: clock.Now, MaxConns: 2})
	if err != nil {
		t.Fatal(err)
	}
	defer pg.Close()
	hasher := hasher(t)
	cut, stop := context.WithCancel(ctx)
	if _, err := demo.Load(cut, stopAfter{pg, 20, stop, new(int)}, nil, clock, hasher, time.Now()); err == nil {
		t.Fatal("loading with the power cut: want an error")
	}
	_, err = RunDemo(ctx, DemoConfig{Addr: "127.0.0.1:0", DatabaseURL: db.OwnerURL, Photos: PhotoConfig{Dir: t.TempDir()}})
	if err == nil || !strings.Contains(err.Error(), "half built") {
		t.Errorf("starting on half a house: got %v, want it told", err)
	}
}

// The doctor says of a photo storage that cannot be used what to do about it.
func TestPhotoStoragesThatCannotBeUsed(t *testing.T) {
	t.Parallel()
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for name, tc := range map[string]struct {
		cfg  PhotoConfig
		says string
	}{
		"none":                        {PhotoConfig{}, "LONGPOINT_PHOTO_DIR"},
		"a file in place of a folder": {PhotoConfig{Dir: file}, "LONGPOINT_PHOTO_DIR"},
		"no keys":                     {PhotoConfig{Bucket: photo.BucketConfig{Endpoint: "https://objects.example.com", Bucket: "photos"}}, "LONGPOINT_S3_ACCESS_KEY"},
		"no scheme":                   {PhotoConfig{Bucket: photo.BucketConfig{Endpoint: "objects.example.com", Bucket: "photos"}}, "https://"},
	} {
		_, err := CheckPhotos(t.Context(), tc.cfg)
		var p *Problem
		if !errors.As(err, &p) || !strings.Contains(p.Sentence, tc.says) {
			t.Errorf("%s: got %v, want a sentence that names %s", name, err, tc.says)
		}
	}
	if where, err := CheckPhotos(t.Context(), PhotoConfig{Dir: filepath.Join(t.TempDir(), "new", "photos")}); err != nil || !strings.HasPrefix(where, "the folder ") {
		t.Errorf("a folder that is not there yet: got %q, %v", where, err)
	}
}
