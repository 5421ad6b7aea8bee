package tests

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"strings"
	"testing"

	"longpoint/internal/finish"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
	"longpoint/internal/trim"
	"longpoint/internal/wire"
	"longpoint/internal/words"
)

var update = flag.Bool("update", false, "write the files that are made from the rule book")

// commonFile is what the board offers before anybody has said anything, nailsFile what the bench
// does: the phone loads no more than that. They are made from the rule book, so that the app holds
// no number of the trade of its own.
const (
	commonFile = "../web/src/rulebook/common.json"
	nailsFile  = "../web/src/rulebook/nails.json"
)

// TestAppOffersWhatTheRuleBookSays holds the app's choices to the rule book. After a change
// there: go test ./tests -run TestAppOffers -update
func TestAppOffersWhatTheRuleBookSays(t *testing.T) {
	t.Parallel()
	kinds := []trim.Kind{trim.Door, trim.CasedOpening, trim.Pair, trim.Pocket, trim.Bifold, trim.Bypass, trim.Window}
	common := struct {
		Units    map[trim.Kind]trim.Unit       `json:"units"`
		Casing   trim.Casing                   `json:"casing"`
		Profiles map[trim.RunKind]trim.Profile `json:"profiles"`
		Woods    []string                      `json:"woods"`
	}{map[trim.Kind]trim.Unit{}, trim.CommonCasing(), map[trim.RunKind]trim.Profile{}, nil}
	nails := struct {
		NailLengths map[finish.Kind][]length.Length `json:"nail_lengths"`
		NailPlaces  []finish.Where                  `json:"nail_places"`
	}{map[finish.Kind][]length.Length{}, finish.Places()}
	for _, s := range finish.AllSpecies() {
		if s.Key != "mdf" { // a material, not a wood
			common.Woods = append(common.Woods, s.Key)
		}
	}
	for _, k := range kinds {
		common.Units[k] = trim.CommonUnit(k)
		for _, f := range trim.CheckUnit(common.Units[k]) {
			if f.Holds() && !f.Wanted {
				t.Errorf("the common %s is refused: %s", k, f.Code)
			}
		}
	}
	for _, k := range []trim.RunKind{trim.Base, trim.Shoe, trim.ChairRail, trim.CrownRun} {
		common.Profiles[k] = trim.CommonProfile(k)
		for _, f := range trim.CheckProfile(common.Profiles[k]) {
			t.Errorf("the common %s is refused: %s", k, f.Code)
		}
	}
	for _, k := range finish.Kinds() {
		nails.NailLengths[k] = finish.StockLengths(k)
	}
	holdMade(t, commonFile, common)
	holdMade(t, nailsFile, nails)
}

// holdMade holds a file of the app to what the rule book says, or makes it with -update.
func holdMade(t *testing.T, file string, says any) {
	t.Helper()
	want, err := json.MarshalIndent(says, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	want = append(want, '\n')
	if *update {
		if err := os.WriteFile(file, want, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s is not what the rule book says; make it again with -update", file)
	}
}

// warmFile is the small job a phone's worker views while nothing is asked. An old log stays
// readable, so it need not be made again when rules change; to make it reach more of them,
// bigjob.Log(3, 1) is its content.
const warmFile = "../web/src/rulebook/warm.json"

// TestRuleBookWarmsUp goes the way of web/src/rulebook/warm.ts: a call that is refused would
// warm nothing, and nobody would see it.
func TestRuleBookWarmsUp(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile(warmFile)
	if err != nil {
		t.Fatal(err)
	}
	var log struct {
		Now     string            `json:"now"`
		Entries []json.RawMessage `json:"entries"`
	}
	if err := json.Unmarshal(text, &log); err != nil {
		t.Fatal(err)
	}
	book := wire.NewBook()
	var answer struct {
		OK   bool `json:"ok"`
		View struct {
			Rooms []struct {
				Items []struct{} `json:"items"`
			} `json:"rooms"`
		} `json:"view"`
	}
	call := func(name string, in map[string]any) {
		sent, err := json.Marshal(in)
		if err != nil {
			t.Fatal(err)
		}
		said := book.Call(name, string(sent))
		if err := json.Unmarshal([]byte(said), &answer); err != nil || !answer.OK {
			t.Fatalf("%s: %v %.300s", name, err, said)
		}
	}
	call("words", map[string]any{"language": "en", "text": words.Text("en")})
	call("open", map[string]any{"as": " warm"})
	call("apply", map[string]any{"as": " warm", "entries": log.Entries})
	call("view_job", map[string]any{"as": " warm", "company": map[string]any{}, "reader": map[string]any{"language": "en", "unit": "in", "step": 1_587_500, "now": log.Now}})
	if rooms := answer.View.Rooms; len(rooms) != 1 || len(rooms[0].Items) != 6 {
		t.Errorf("the job's rooms are %v, want one of 3 doors and 3 runs", rooms)
	}
}

// TestRuleSourcesAreInTheAppsWords holds what the house rules screen says a rule stands on to the rule book: a source
// beside common practice has words of its own, in both languages, and the English ones are the rule book's.
func TestRuleSourcesAreInTheAppsWords(t *testing.T) {
	t.Parallel()
	const prefix = "houseRules.basis."
	said := map[string]map[string]string{}
	for _, language := range []string{"en", "es"} {
		raw, err := os.ReadFile("../web/src/words/" + language + ".json")
		if err != nil {
			t.Fatal(err)
		}
		var all map[string]any
		if err := json.Unmarshal(raw, &all); err != nil {
			t.Fatal(err)
		}
		said[language] = map[string]string{}
		for key, word := range all {
			if rule, ok := strings.CutPrefix(key, prefix); ok {
				said[language][rule], _ = word.(string)
			}
		}
	}
	sourced := 0
	for _, s := range houserules.Settings() {
		if s.Basis == "common practice" {
			continue
		}
		sourced++
		if got := said["en"][s.Key]; got != s.Basis {
			t.Errorf("%s stands on %q, the app says %q", s.Key, s.Basis, got)
		}
		if es := said["es"][s.Key]; es == "" || es == s.Basis {
			t.Errorf("%s has no Spanish source: %q", s.Key, es)
		}
	}
	if sourced == 0 || len(said["en"]) != sourced {
		t.Errorf("%d rules have a source of their own, the app has words for %d", sourced, len(said["en"]))
	}
}
