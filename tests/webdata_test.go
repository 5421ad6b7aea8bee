package tests

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"testing"

	"longpoint/internal/finish"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

var update = flag.Bool("update", false, "write the files that are made from the rule book")

// commonFile is what the app offers before anybody has said anything. It is made from the
// rule book, so that the app holds no number of the trade of its own.
const commonFile = "../web/src/rulebook/common.json"

// TestAppOffersWhatTheRuleBookSays holds the app's choices to the rule book. After a change
// there: go test ./tests -run TestAppOffers -update
func TestAppOffersWhatTheRuleBookSays(t *testing.T) {
	t.Parallel()
	kinds := []trim.Kind{trim.Door, trim.CasedOpening, trim.Pair, trim.Pocket, trim.Bifold, trim.Bypass, trim.Window}
	common := struct {
		Units       map[trim.Kind]trim.Unit         `json:"units"`
		Casing      trim.Casing                     `json:"casing"`
		NailLengths map[finish.Kind][]length.Length `json:"nail_lengths"`
		NailPlaces  []finish.Where                  `json:"nail_places"`
	}{map[trim.Kind]trim.Unit{}, trim.CommonCasing(), map[finish.Kind][]length.Length{}, finish.Places()}
	for _, k := range kinds {
		common.Units[k] = trim.CommonUnit(k)
		for _, f := range trim.CheckUnit(common.Units[k]) {
			if f.Holds() && !f.Wanted {
				t.Errorf("the common %s is refused: %s", k, f.Code)
			}
		}
	}
	for _, k := range finish.Kinds() {
		common.NailLengths[k] = finish.StockLengths(k)
	}
	want, err := json.MarshalIndent(common, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	want = append(want, '\n')
	if *update {
		if err := os.WriteFile(commonFile, want, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(commonFile)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s is not what the rule book says; make it again with -update", commonFile)
	}
}
