package cutsheet

import (
	"errors"
	"strings"
	"testing"

	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

const door = `{
	"unit": {"core": "hollow", "hinge_on": "left", "swings_to": "a", "slab_width": "28", "slab_height": "80", "slab_thickness": "1 3/4", "jamb_thickness": "5/8", "jamb_width": "4 9/16",
		"head_thickness": "5/8", "stop_thickness": "3/8"},
	"readings": {"width_bottom": "30", "width_middle": "762 mm", "width_top": 762000000, "height_hinge": "80 3/8", "height_strike": "80 1/2",
		"floor_strike_up": "-1/8", "lean_hinge": 0, "wall_build_up": "4 9/16"}
}`

var inches = Reader{Language: "en", Style: length.Style{Unit: length.Inches, Step: length.Sixteenth}}

func decode(t *testing.T, text string) Opening {
	t.Helper()
	o, err := Decode([]byte(text))
	if err != nil {
		t.Fatalf("decoding: %v", err)
	}
	return o
}

// The sheet is the rule book's own numbers, whichever way it was reached.
func TestTheSheetIsTheRuleBooks(t *testing.T) {
	t.Parallel()
	o := decode(t, door)
	sheet, refused := Work(o, inches)
	if len(refused) > 0 {
		t.Fatalf("refused: %+v", refused)
	}
	o.Unit.Kind, o.Unit.Grade, o.OpeningInput.Rules = trim.Door, trim.Paint, houserules.Defaults()
	want := trim.Opening(o.OpeningInput)
	if len(sheet.Cuts) != len(want.Cuts) || len(sheet.Cuts) == 0 {
		t.Fatalf("cuts: got %d, want %d", len(sheet.Cuts), len(want.Cuts))
	}
	for i, c := range want.Cuts {
		if got := sheet.Cuts[i]; got.Piece != c.Piece || got.Value.Length != c.Value.Length {
			t.Errorf("cut %d: got %s %d, want %s %d", i, got.Piece, got.Value.Length, c.Piece, c.Value.Length)
		}
	}
	if len(sheet.Values) != len(want.Values) || len(sheet.Findings) != len(want.Findings) {
		t.Errorf("got %d values and %d findings, want %d and %d", len(sheet.Values), len(sheet.Findings), len(want.Values), len(want.Findings))
	}
	if len(sheet.Cautions) == 0 || !strings.HasPrefix(sheet.Cautions[0], "Saw:") {
		t.Errorf("cautions: got %q, want the saw's first", sheet.Cautions)
	}
}

func TestHouseRulesBear(t *testing.T) {
	t.Parallel()
	o := decode(t, door)
	o.Rules = houserules.Set{"bottom_gap": int64(length.Half)}
	sheet, _ := Work(o, inches)
	for _, c := range sheet.Cuts {
		if c.Piece == "slab" && c.Tape.Text != "78 7/8" { // 79 1/8 with the built-in 1/4
			t.Errorf("slab over a 1/2 gap: got %s, want 78 7/8", c.Tape.Text)
		}
	}
	for _, r := range sheet.Rules {
		if r.Key == "bottom_gap" && (r.Value != int64(length.Half) || r.Origin != houserules.Company) {
			t.Errorf("rule in force: got %+v, want 1/2 as set", r)
		}
	}
}

func TestAMissingSizeIsAFindingOnce(t *testing.T) {
	t.Parallel()
	o := decode(t, door)
	o.Unit.Core = ""
	sheet, refused := Work(o, inches)
	if len(refused) > 0 {
		t.Fatalf("refused for a size not given: %+v", refused)
	}
	n := 0
	for _, f := range sheet.Findings {
		if f.Code == "unit_missing" && f.About == "core" {
			n++
		}
	}
	if n != 1 || len(sheet.Cuts) == 0 {
		t.Errorf("got the finding %d times and %d cuts, want it once and the cuts", n, len(sheet.Cuts))
	}
}

func TestMissingReadingsAreFindings(t *testing.T) {
	t.Parallel()
	o := decode(t, door)
	o.Readings.HeightStrike = nil
	sheet, refused := Work(o, inches)
	if len(refused) > 0 {
		t.Fatalf("refused for a reading not taken: %+v", refused)
	}
	for _, c := range sheet.Cuts {
		if c.Piece == "slab" {
			t.Errorf("slab: got %s, want it left out without the height", c.Tape.Text)
		}
	}
	if !finding.HasStop(sheet.Findings) {
		t.Errorf("findings: got %+v, want the reading that is wanted", sheet.Findings)
	}
}

func TestWhatCannotBeIsRefused(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		change func(*Opening)
		about  string
	}{
		"3 in wide":              {func(o *Opening) { v := 3 * length.Inch; o.Readings.WidthTop = &v }, "width"},
		"a window's reading":     {func(o *Opening) { v := length.Inch; o.Readings.DepthTopHinge = &v }, "reading"},
		"a rule that is not one": {func(o *Opening) { o.Rules = houserules.Set{"generosity": 1} }, "generosity"},
		"a rule out of range":    {func(o *Opening) { o.Rules = houserules.Set{"coats": 99} }, "between 1 and 5"},
		"an unknown kind":        {func(o *Opening) { o.Unit.Kind = "porthole" }, ""},
		"casing as wide as a bed": {func(o *Opening) {
			o.CasingA = &trim.Casing{Style: trim.ButtHead, Width: 90 * length.Inch, Thickness: length.Inch}
		}, ""},
	} {
		o := decode(t, door)
		c.change(&o)
		sheet, refused := Work(o, inches)
		if len(refused) == 0 || len(sheet.Cuts) > 0 {
			t.Errorf("%s: got %d refusals and %d cuts, want no sheet", name, len(refused), len(sheet.Cuts))
			continue
		}
		if f := refused[0]; f.Sentence == "" || !strings.Contains(f.Sentence, c.about) {
			t.Errorf("%s: got %q, want it to say %q", name, f.Sentence, c.about)
		}
	}
}

func TestDecodeSaysWhy(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]struct {
		notJSON bool
		says    string
	}{
		``:                                    {true, "not JSON"},
		`{"unit":`:                            {true, "not JSON"},
		door + `{}`:                           {true, "follows"},
		`{"unit":{"slab_wdth":"28"}}`:         {false, `"slab_wdth"`},
		`{"unit":{"kind":7}}`:                 {false, "unit.kind cannot hold a number"},
		`{"readings":{"width_top":"30 5/7"}}`: {false, "5/7 is not a tape fraction"},
		`{"readings":{"width_top":1.5}}`:      {false, "1.5"},
	} {
		_, err := Decode([]byte(text))
		var bad *DecodeError
		if !errors.As(err, &bad) || bad.NotJSON != want.notJSON || !strings.Contains(bad.Sentence, want.says) {
			t.Errorf("%.40q: got %v, want it to say %q", text, err, want.says)
		}
	}
}

func FuzzDecode(f *testing.F) {
	f.Add([]byte(door))
	f.Add([]byte(`{"unit":{"kind":"window"},"readings":{"corner_hinge":90000}}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		o, err := Decode(data)
		if err != nil {
			if err.Error() == "" {
				t.Error("refused without a sentence")
			}
			return
		}
		Work(o, inches) // must not panic, whatever it is
	})
}
