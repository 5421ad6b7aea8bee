package main

import (
	"context"
	"strings"
	"testing"

	"longpoint/internal/account"
	"longpoint/internal/joblog"
	"longpoint/internal/postgres"
	"longpoint/internal/testdb"
)

// A fresh service has nobody in it: the first person is made here, and let back in here.
func TestAccount(t *testing.T) {
	t.Parallel()
	db := testdb.New(t)
	env := map[string]string{"DATABASE_URL": db.AppURL}
	create := func(in string, more ...string) result {
		return longpoint(context.Background(), env, in, append([]string{"account", "create", "--company", "Plumb & Level", "--name", "Ruth Ames"}, more...)...)
	}
	const passphrase, next = "chalk line and plumb bob", "another plumb bob entirely"
	for name, c := range map[string]struct {
		got  result
		code int
		says string
	}{
		"no sign-in name":       {create(passphrase), exitUsage, "--sign-in"},
		"a short passphrase":    {create("short\n", "--sign-in", "ruth"), exitRefused, "at least 15 characters"},
		"no passphrase":         {create("", "--sign-in", "ruth"), exitRefused, "at least 15 characters"},
		"a name with spaces":    {create(passphrase, "--sign-in", "ruth ames"), exitRefused, "without spaces"},
		"another language":      {create(passphrase, "--sign-in", "ruth", "--language", "fr"), exitRefused, "English (en) or Spanish (es)"},
		"a company of no width": {create(passphrase, "--sign-in", "ruth", "--company", "\u200b"), exitRefused, "does not show"},
		"nobody's passphrase":   {longpoint(context.Background(), env, passphrase, "account", "passphrase", "nobody"), exitRefused, "Nobody signs in as nobody."},
		"no database":           {longpoint(context.Background(), nil, passphrase, "account", "passphrase", "ruth"), exitRefused, "DATABASE_URL"},
	} {
		if c.got.code != c.code || !strings.Contains(c.got.err, c.says) || c.got.out != "" {
			t.Errorf("%s: got %d, %q, %q; want %d and %q", name, c.got.code, c.got.out, c.got.err, c.code, c.says)
		}
	}
	if got := create(passphrase+"\n", "--sign-in", "Ruth", "--language", "es", "--unit", "mm"); got.code != exitDone || !strings.Contains(got.out, "Ruth Ames signs in as ruth") {
		t.Fatalf("create: got %d, %s %s", got.code, got.out, got.err)
	}
	if got := create(passphrase, "--sign-in", "ruth"); got.code != exitRefused || !strings.Contains(got.err, "taken") {
		t.Errorf("the same sign-in name again: got %d, %s", got.code, got.err)
	}
	pg, err := postgres.Open(t.Context(), db.AppURL, postgres.Options{MaxConns: 1})
	if err != nil {
		t.Fatal(err)
	}
	defer pg.Close()
	hasher, err := account.NewHasher(1)
	if err != nil {
		t.Fatal(err)
	}
	p, err := hasher.SignIn(t.Context(), pg, "ruth", passphrase)
	if err != nil || p.Role != joblog.Owner || p.Language != "es" || p.Unit != "mm" {
		t.Errorf("signing in: got %+v and %v, want the owner", p, err)
	}
	people, err := pg.People(t.Context(), p.Viewer())
	if err != nil || len(people) != 1 {
		t.Errorf("people after a second try: got %+v and %v, want one", people, err)
	}
	if got := longpoint(context.Background(), env, next, "account", "passphrase", "RUTH"); got.code != exitDone {
		t.Errorf("passphrase: got %d, %s", got.code, got.err)
	}
	if _, err := hasher.SignIn(t.Context(), pg, "ruth", passphrase); err == nil {
		t.Error("the old passphrase still signs in")
	}
	if _, err := hasher.SignIn(t.Context(), pg, "ruth", next); err != nil {
		t.Errorf("the new passphrase: %v", err)
	}
}
