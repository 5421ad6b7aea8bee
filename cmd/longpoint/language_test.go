package main

import (
	"context"
	"strings"
	"testing"
)

func TestTheCalculatorSpeaksSpanish(t *testing.T) {
	t.Parallel()
	chain := readFile(t, "testdata/chain.json")
	for _, c := range []struct {
		env        map[string]string
		in         string
		args       []string
		code       int
		says, errs string
	}{
		{nil, chain, []string{"cut", "door", "--lang", "es"}, exitDone, "larguero, lado de bisagras", ""},
		{map[string]string{"LANG": "es_MX.UTF-8"}, chain, []string{"cut", "door"}, exitDone, "larguero, lado de bisagras", ""},
		{map[string]string{"LANG": "es_MX.UTF-8"}, chain, []string{"cut", "door", "--lang", "en"}, exitDone, "jamb leg, hinge side", ""},
		{map[string]string{"LANG": "C.UTF-8"}, chain, []string{"cut", "door"}, exitDone, "jamb leg, hinge side", ""},
		{nil, "", []string{"cut", "length", "9/8", "--lang=es"}, exitRefused, "", "9/8 da 1 1/8: escriba 1 1/8."},
		{nil, "", []string{"cut", "length", "9/8", "--lang=fr"}, exitUsage, "", "The language is one of en, es."},
	} {
		got := longpoint(context.Background(), c.env, c.in, c.args...)
		if got.code != c.code || !strings.Contains(got.out, c.says) || !strings.Contains(got.err, c.errs) {
			t.Errorf("%v %v: got code %d, %q and %q, want %d, %q and %q", c.env, c.args, got.code, got.out, got.err, c.code, c.says, c.errs)
		}
	}
}
