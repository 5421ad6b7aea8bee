package stock_test

import (
	"context"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"longpoint/internal/stock"
)

func TestParseBothForms(t *testing.T) {
	t.Parallel()
	one, err := stock.ParseInstance([]byte("3\r\n150\r\n100 2\r\n20 1\r\n20 4\r\n"))
	want := stock.Problem{
		Stocks: []stock.Stock{{Length: 150, Cost: 1, Count: stock.Unlimited}},
		Pieces: []stock.Piece{{Length: 100, Demand: 2}, {Length: 20, Demand: 1}, {Length: 20, Demand: 4}},
	}
	if err != nil || !reflect.DeepEqual(one, want) {
		t.Errorf("got %+v, %v\nwant %+v", one, err, want)
	}
	several, err := stock.ParseInstance([]byte("# yard\nkerf 3\ntrim 10\nleast 400\nstock 5400 980 -1\nstock 2100 0 1\n\npiece 900 4\n"))
	want = stock.Problem{
		Stocks: []stock.Stock{{Length: 5400, Cost: 980, Count: stock.Unlimited}, {Length: 2100, Cost: 0, Count: 1}},
		Pieces: []stock.Piece{{Length: 900, Demand: 4}}, Kerf: 3, EndTrim: 10, LeastOffcut: 400,
	}
	if err != nil || !reflect.DeepEqual(several, want) {
		t.Errorf("got %+v, %v\nwant %+v", several, err, want)
	}
}

func TestParseRefuses(t *testing.T) {
	t.Parallel()
	for text, c := range map[string]struct{ code, word string }{
		"":                                    {stock.CodeBadFile, "empty"},
		"# nothing\n":                         {stock.CodeBadFile, "empty"},
		"3":                                   {stock.CodeBadFile, "ends"},
		"2 100 50 1":                          {stock.CodeBadFile, "announces 2"},
		"1 100 50 x":                          {stock.CodeBadFile, "\"x\""},
		"1 100 50 9999999999":                 {stock.CodeBadCount, "9999999999"},
		"-1 100":                              {stock.CodeBadFile, "announces -1"},
		"1 100 120 1":                         {stock.CodePieceTooLong, "120"},
		"plank 5":                             {stock.CodeBadFile, "Line 1"},
		"kerf 3\nstock 100 1":                 {stock.CodeBadFile, "Line 2"},
		"kerf 3\nstock 100 1 one":             {stock.CodeBadFile, "\"one\""},
		"stock 100 1 -1\npiece 0 1":           {stock.CodeBadLength, "zero"},
		"kerf 3\npiece 10 1":                  {stock.CodeNoStock, "no stick"},
		"kerf 30\nstock 99 1 -1\npiece 20 99": {stock.CodeKerfTooWide, "30"},
	} {
		_, err := stock.ParseInstance([]byte(text))
		if codeOf(err) != c.code || !strings.Contains(err.Error(), c.word) {
			t.Errorf("%q: got %v (%s), want %s with %q", text, err, codeOf(err), c.code, c.word)
		}
	}
}

// FuzzParseInstance: any text gives a problem or a sentence; what parses can be planned within
// a little work, and the plan holds.
func FuzzParseInstance(f *testing.F) {
	for _, s := range []string{"2\n100\n50 1\n30 4\n", "kerf 2\nstock 100 5 -1\nstock 60 0 1\npiece 31 3\n", "# c\r\nleast 4\r\n", "1 9 9 0"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		p, err := stock.ParseInstance(text)
		if err != nil {
			if codeOf(err) == "" || err.Error() == "" {
				t.Fatalf("not a sentence: %v", err)
			}
			return
		}
		plan, err := stock.Solve(context.Background(), p, stock.Options{Work: 1e7})
		if err != nil {
			switch codeOf(err) {
			case stock.CodeNotEnoughStock, stock.CodeNoPlanYet, stock.CodeNoPrice:
				return
			}
			t.Fatal(err)
		}
		if err := stock.Check(p, plan); err != nil {
			t.Fatal(err)
		}
	})
}

// Instances made for this project, their optima proven with the list of all maximal patterns
// and an outside whole-number solver (cbc).
func TestGeneratedInstances(t *testing.T) {
	t.Parallel()
	for name, want := range map[string]int64{
		"gen_room_small_1": 19800, "gen_house_skirting_1": 49200, "gen_architrave_1": 78600, "gen_priced_1": 12310,
		"gen_offcuts_many_1": 36000, "gen_inch16_1": 42240, "gen_monaci3_1": 7360, "gen_big_trim_1": 151800,
	} {
		text, err := os.ReadFile(filepath.Join("testdata", name+".txt"))
		if err != nil {
			t.Fatal(err)
		}
		p, err := stock.ParseInstance(text)
		if err != nil {
			t.Fatal(name, err)
		}
		if plan := solve(t, p, stock.Options{}); plan.Cost != want || plan.LowerBound != want || !plan.Optimal {
			t.Errorf("%s: got cost %d, bound %d, optimal %v; want %d", name, plan.Cost, plan.LowerBound, plan.Optimal, want)
		}
	}
}
