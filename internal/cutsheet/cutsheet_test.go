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
	o, err := Decode([]byte(text), length.Inches)
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
		_, err := Decode([]byte(text), length.Inches)
		var bad *DecodeError
		if !errors.As(err, &bad) || bad.NotJSON != want.notJSON || !strings.Contains(bad.Sentence, want.says) {
			t.Errorf("%.40q: got %v, want it to say %q", text, err, want.says)
		}
	}
}

// A bare number in quotes is in the unit asked for, what says its unit is what it says, and a number
// without quotes nanometers. The door of the chain is 30 wide, 762 mm.
func TestBareNumbersAreInTheUnit(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]length.Length{
		`"762"`: 762 * length.Millimeter, `"762.5"`: 762*length.Millimeter + length.Millimeter/2, `"30 in"`: 30 * length.Inch,
		`"2' 6\""`: 30 * length.Inch, `762000000`: 30 * length.Inch, `"76.2 cm"`: 30 * length.Inch,
	} {
		o, err := Decode([]byte(`{"readings":{"Width_Top":`+text+`},"casing_a":{"style":"mitered","width":"57","thickness":"14"}}`), length.Millimeters)
		if err != nil || o.Readings.WidthTop == nil || *o.Readings.WidthTop != want || o.CasingA.Width != 57*length.Millimeter {
			t.Errorf("%s in millimeters: got %+v (%v), want %d", text, o.Readings.WidthTop, err, want)
		}
	}
	in := func(text string) Run {
		r, err := DecodeRun([]byte(`{"room":{"walls":[{"length":`+text+`},{"length":"10'"}]},"profile":{"kind":"base"}}`), length.Millimeters)
		if err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		return r
	}
	if r := in(`"3000"`); r.Room.Walls[0].Length != 3*1000*length.Millimeter || r.Room.Walls[1].Length != 10*length.Foot {
		t.Errorf("walls: got %+v, want 3000 mm and 10 ft", r.Room.Walls)
	}
	for text, says := range map[string]string{
		`{"readings":{"width_top":"30 1/2"}}`:     "Bare numbers are millimeters here",
		`{"readings":{"width_top":"30"}}{}`:       "follows",
		`{"readings":{"width_tpo":"30"}}`:         `"width_tpo"`,
		`{"readings":{"width_top":{"at":"30"}}}`:  "length",
		`{"readings":["30"]}`:                     "cannot hold an array",
		`{"unit":{"kind":7}}`:                     "unit.kind cannot hold a number",
		`{"readings":{"width_top":"30 in 20mm"}}`: "",
	} {
		_, err := Decode([]byte(text), length.Millimeters)
		var bad *DecodeError
		if !errors.As(err, &bad) || !strings.Contains(bad.Sentence, says) {
			t.Errorf("%s: got %v, want it to say %q", text, err, says)
		}
	}
}

// A number without quotes that no tape shows was meant in inches or millimeters: it is refused by its
// field, whichever unit is asked for. Zero and a pencil line's width are lengths.
func TestANumberWithoutAUnitIsRefused(t *testing.T) {
	t.Parallel()
	for text, says := range map[string]string{
		`{"readings":{"width_middle":30}}`:                `The 30 in readings.width_middle says no unit and would be nanometers: write "30 in" or "30 mm", in quotes.`,
		`{"readings":{"lean_hinge":-1}}`:                  `The -1 in readings.lean_hinge says no unit`,
		`{"unit":{"slab_height":2032}}`:                   `"2032 mm"`,
		`{"casing_a":{"width":57}}`:                       `casing_a.width`,
		`{"rules":{"reveal":3}}`:                          `rules.reveal`,
		`{"readings":{"lean_hinge":0,"width_top":9.9e7}}`: "",
		`{"readings":{"lean_hinge":99219}}`:               "",
		`{"rules":{"coats":3},"unit":{"return_air":50}}`:  "",
		`{"readings":{"corner_hinge":90000}}`:             "",
	} {
		for _, unit := range []length.Unit{length.Inches, length.Millimeters} {
			_, err := Decode([]byte(text), unit)
			var bad *DecodeError
			if (says == "") != (err == nil) || says != "" && (!errors.As(err, &bad) || bad.NotJSON || !strings.Contains(bad.Sentence, says)) {
				t.Errorf("%s in %s: got %v, want it to say %q", text, unit, err, says)
			}
		}
	}
	_, err := DecodeRun([]byte(`{"room":{"walls":[{"length":"10'"},{"length":144}]}}`), length.Inches)
	if err == nil || !strings.Contains(err.Error(), "room.walls[2].length") {
		t.Errorf("a wall of 144: got %v, want it refused by its place", err)
	}
}

func FuzzDecode(f *testing.F) {
	f.Add([]byte(door))
	f.Add([]byte(`{"unit":{"kind":"window"},"readings":{"corner_hinge":90000}}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		if _, err := Decode(data, length.Millimeters); err != nil && err.Error() == "" {
			t.Error("refused without a sentence, in millimeters")
		}
		o, err := Decode(data, length.Inches)
		if err != nil {
			if err.Error() == "" {
				t.Error("refused without a sentence")
			}
			return
		}
		Work(o, inches) // must not panic, whatever it is
	})
}
