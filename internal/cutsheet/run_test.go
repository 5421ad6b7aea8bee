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

// room is 12 ft by 10 ft with a door on the first wall, the base butted at the corners.
const room = `{
	"room": {"walls": [{"length": "12'", "stud": "8"}, {"length": "10'"}, {"length": "3657.6 mm"}, {"length": 3048000000, "turn": "inside", "angle": 90000}]},
	"features": [{"wall": 1, "kind": "opening", "offset": "40", "width": "30", "main": true, "casing_left": "2 3/4", "casing_right": "2 3/4", "casing_thickness": "3/4"}],
	"profile": {"kind": "base", "height": "5 1/4", "thickness": "9/16", "square_edge": true, "stock_length": "16'"},
	"corners": {}
}`

func decodeRun(t *testing.T, text string) Run {
	t.Helper()
	r, err := DecodeRun([]byte(text), length.Inches)
	if err != nil {
		t.Fatalf("decoding: %v", err)
	}
	return r
}

func workRun(t *testing.T, text string) RunSheet {
	t.Helper()
	sheet, refused := WorkRun(decodeRun(t, text), inches)
	if len(refused) > 0 {
		t.Fatalf("refused: %s %s", refused[0].Sentence, refused[0].Remedy)
	}
	return sheet
}

// The pieces by hand, in sixteenths of an inch (common practice; the rules of inside butt
// joints and sprung fits): the wall away from the door runs into both corners, 144 and 1/16
// of spring; the side walls into one and against a face at the other, 120 − 9/16 + 1/16; the
// door's wall is second at both, 40 − 2 3/4 − 9/16 and 144 − 70 − 2 3/4 − 9/16, and does
// not spring, for it meets casing.
func TestAButtedRoomByHand(t *testing.T) {
	t.Parallel()
	sheet := workRun(t, room)
	want := map[string]int64{
		"wall_1_piece_1": 36*16 + 11, "wall_1_piece_2": 70*16 + 11, "wall_2_piece_1": 119*16 + 8,
		"wall_3_piece_1": 144*16 + 1, "wall_4_piece_1": 119*16 + 8,
	}
	if len(sheet.Pieces) != len(want) {
		t.Errorf("got %d pieces, want %d", len(sheet.Pieces), len(want))
	}
	for _, p := range sheet.Pieces {
		if w := length.Length(want[p.Name]) * length.Sixteenth; p.Length != w || p.Back.Length != w {
			t.Errorf("%s: got %s, %s along the back, want %s", p.Name, p.Length.Print(inches.Style), p.BackText, w.Print(inches.Style))
		}
	}
	if p := sheet.Pieces[0]; p.LeftEnd.Saw != "square" || p.LeftEnd.Label != "against the first piece's face" || p.Tape.Text != "36 11/16" {
		t.Errorf("wall 1, piece 1: got %s, %q, %q", p.Tape.Text, p.LeftEnd.Label, p.LeftEnd.Saw)
	}
	// Studs every 16 from 8; the piece from 9/16 to 37 1/4 crosses 8 and 24, two nails in each.
	if n := sheet.Pieces[0]; n.Nailing.Nails != 4 || strings.Join(n.StudTexts, " ") != "8 24" {
		t.Errorf("nailing: got %+v at %q, want 4 nails at 8 and 24", n.Nailing, n.StudTexts)
	}
	if p := sheet.Plan; p == nil || p.Perimeter.Length != 528*length.Inch || p.ClosingError.Length != 0 || p.Area != 11_148_365 {
		t.Errorf("plan: got %+v, want 528 in around, closed, 120 sq ft (11148364.8 mm²)", p)
	}
}

// An outside corner of 135° on the room's other side turns 45°: the base's long points
// stand 9/16 × tan 22.5° past the walls, cut at 22.5° (plane geometry; common practice).
func TestAnOutsideCornerByHand(t *testing.T) {
	t.Parallel()
	sheet := workRun(t, `{"room": {"open": true, "starts": "butt", "ends": "butt",
		"walls": [{"length": "50", "turn": "outside", "angle": 135000}, {"length": "20"}]},
		"profile": {"kind": "base", "height": "3", "thickness": "9/16"}, "corners": {}}`)
	past := length.Length(5_918_076) // 14 287 500 nm × 0.414213562
	for i, wall := range []length.Length{50 * length.Inch, 20 * length.Inch} {
		if got := sheet.Pieces[i]; got.Length != wall+past || got.Back.Length != wall {
			t.Errorf("piece %d: got %d along the long point and %d along the back, want %d and %d", i+1, got.Length, got.Back.Length, wall+past, wall)
		}
	}
	if e := sheet.Pieces[0].RightEnd; e.Saw != "miter 22.5°" || e.Label != "outside miter" {
		t.Errorf("end at the corner: got %q, %q, want an outside miter at 22.5°", e.Label, e.Saw)
	}
	if w := sheet.Corners[0].Worked; len(w) != 1 || w[0].Value != past || !strings.Contains(w[0].Explain.Line, "tangent of half the turn") {
		t.Errorf("worked corner: got %+v, want %d by the tangent of half the turn", w, past)
	}
}

// The sheet's cuts come by way of the job log, its pieces straight from the rule book.
func TestTheRunSheetIsTheRuleBooks(t *testing.T) {
	t.Parallel()
	for name, text := range map[string]string{
		"butted": room,
		"coped, one wall not read": strings.NewReplacer(`{"length": "10'"}`, `{"bow": "1/4"}`,
			`"corners": {}`, `"corners": {"inside": "cope"}, "taped": [{"wall": 1, "stretch": 1, "length": "37 1/4"}]`).Replace(room),
		"crown on a saw of its own": `{"room": {"walls": [{"length": "144", "angle": 91500}, {"length": "120"}, {"length": "144", "angle": 88500}, {"length": "120", "stud": "7"}]},
			"profile": {"kind": "crown", "height": "4 5/8", "thickness": "5/8", "spring": 38000, "stock_length": "8'"},
			"corners": {"inside": "miter"}, "saw": {"miter_most": 40000, "bevel_most": 30000}, "rules": {"room_close": 76200000}}`,
		"a rail that returns": `{"room": {"open": true, "starts": "return", "ends": "return", "walls": [{"length": "60"}]},
			"profile": {"kind": "chair_rail", "height": "2 1/2", "thickness": "3/4", "mount": "32"}, "corners": {}}`,
	} {
		req := decodeRun(t, text)
		sheet := workRun(t, text)
		in := req.RunInput
		in.Rules, _ = houserules.Resolve(houserules.Layer{Origin: houserules.Company, Set: req.Rules})
		want := trim.Run(in)
		if len(sheet.Cuts) != len(want.Cuts) || len(sheet.Pieces) != len(want.Pieces) || len(want.Pieces) == 0 {
			t.Fatalf("%s: got %d cuts and %d pieces, want %d and %d", name, len(sheet.Cuts), len(sheet.Pieces), len(want.Cuts), len(want.Pieces))
		}
		lengths := map[string]length.Length{}
		for i, c := range want.Cuts {
			lengths[c.Piece] = c.Value.Length
			got := sheet.Cuts[i]
			if got.Piece != c.Piece || got.Value.Length != c.Value.Length || len(got.Marks) != len(c.Marks) || got.Ends[0] != c.Ends[0] || got.Ends[1] != c.Ends[1] {
				t.Errorf("%s: cut %d: got %s %d %v, want %s %d %v", name, i, got.Piece, got.Value.Length, got.Ends, c.Piece, c.Value.Length, c.Ends)
			}
		}
		for i, p := range want.Pieces {
			if got := sheet.Pieces[i]; got.Name != p.Name || got.Length != lengths[p.Name] || got.Back.Length != p.Back.Length {
				t.Errorf("%s: piece %d: got %s %d, want %s %d", name, i, got.Name, got.Length, p.Name, lengths[p.Name])
			}
		}
		if len(sheet.Findings) != len(stopsFirst(nil, want.Findings)) || len(sheet.Corners) != len(want.Corners) {
			t.Errorf("%s: got %d findings and %d corners, want %d and %d", name, len(sheet.Findings), len(sheet.Corners), len(want.Findings), len(want.Corners))
		}
		for _, f := range sheet.Findings {
			if f.Sentence == "" || f.Basis == "" || strings.Contains(f.Sentence+f.Remedy, "{") {
				t.Errorf("%s: finding %s reads %q %q", name, f.Code, f.Sentence, f.Remedy)
			}
		}
	}
}

// Lying flat and standing nested, crown takes other angles: the sheet says which it means.
// 38° crown, square corner: miter-saw manuals print 31.62 and 33.86 flat; nested it is 45.
func TestASheetOfCrownSaysHowItLies(t *testing.T) {
	t.Parallel()
	const crown = `{"room": {"open": true, "walls": [{"length": "72"}, {"length": "48"}]}, "corners": {"inside": "miter"},
		"profile": {"kind": "crown", "height": "4 5/8", "thickness": "5/8", "spring": 38000, "position": "flat"}}`
	for position, want := range map[string][2]string{
		`"flat"`:   {"flat on its back", "miter 31.62°, bevel 33.86°"},
		`""`:       {"flat on its back", "miter 31.62°, bevel 33.86°"},
		`"nested"`: {"upside down against the fence", "miter 45°"},
	} {
		sheet := workRun(t, strings.Replace(crown, `"flat"`, position, 1))
		if got := sheet.Pieces[0].RightEnd.Saw; sheet.Position != want[0] || got != want[1] {
			t.Errorf("%s: got %q, %q, want %q", position, sheet.Position, got, want)
		}
	}
	if got := workRun(t, room).Position; got != "" {
		t.Errorf("base: got %q, want nothing said", got)
	}
}

func TestARunsFindings(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		from, to, code string
		stop           bool
	}{
		"a wall not read":       {`{"length": "10'"}`, `{}`, "wall_length_missing", true},
		"a room that gapes":     {`"3657.6 mm"`, `"150"`, "room_does_not_close", true},
		"a taped stretch apart": {`"corners": {}`, `"corners": {}, "taped": [{"wall": 2, "stretch": 1, "length": "121"}]`, "taped_apart", true},
		"nothing odd":           {"", "", "", false},
	} {
		sheet := workRun(t, strings.Replace(room, c.from, c.to, 1))
		found := c.code == ""
		for _, f := range sheet.Findings {
			found = found || f.Code == c.code
		}
		if !found || finding.HasStop(sheet.Findings) != c.stop {
			t.Errorf("%s: got %+v, want %q and a stop: %v", name, sheet.Findings, c.code, c.stop)
		}
	}
}

// By hand: three of four walls of the room are right and one is a foot long, so the walk
// ends 12 back from where it began; 1/2 and a 500th of 540 is allowed.
func TestAClosingErrorIsExplained(t *testing.T) {
	t.Parallel()
	sheet := workRun(t, strings.Replace(room, `"3657.6 mm"`, `"13'"`, 1))
	got := map[string]string{}
	for _, v := range sheet.Values {
		got[v.Name] = v.Explain.Line
		for _, term := range v.Explain.Terms {
			got[v.Name] += "; " + term.Text
		}
	}
	for name, want := range map[string]string{
		"perimeter":             "540 = 144 + 120 + 156 + 120; 144; 120; 156; 120",
		"closing_error":         "12: root of the sum of the squares; −12; 0",
		"closing_error_allowed": "1 9/16 heavy = 1/2 + 1 1/16 heavy; 1/2; 1 1/16 heavy",
	} {
		if got[name] != want {
			t.Errorf("%s: got %q, want %q", name, got[name], want)
		}
	}
}

func TestHouseRulesBearOnARun(t *testing.T) {
	t.Parallel()
	sheet := workRun(t, strings.Replace(room, `"corners": {}`, `"corners": {}, "rules": {"sprung_long": 0, "stud_spacing": 304800000}`, 1))
	if p := sheet.Pieces[3]; p.Length != 144*length.Inch || p.Sprung {
		t.Errorf("wall 3 without spring: got %s, want 144", p.Tape.Text)
	}
	// Studs every 12 from 8: the piece to 37 1/4 crosses 8, 20 and 32.
	if n := sheet.Pieces[0].Nailing.Nails; n != 6 {
		t.Errorf("nails at 12 in centers: got %d, want 6", n)
	}
}

func TestARunThatCannotBeIsRefused(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct{ from, to, says string }{
		"a corner in whole degrees": {`90000`, `90`, "cannot be 0.1°"},
		"a wall of -10":             {`{"length": "10'"}`, `{"length": "-10"}`, "cannot be"},
		"a corner of 10°":           {`90000`, `10000`, "10.0°"},
		"a turn of no kind":         {`"inside"`, `"widdershins"`, "widdershins"},
		"a door off the wall":       {`"40"`, `"140"`, "does not fit"},
		"a feature on wall 9":       {`"wall": 1`, `"wall": 9`, "wall 9"},
		"stock of no thickness":     {`"9/16"`, `"0"`, "thickness"},
		"a run of no kind":          {`"base"`, `"gutter"`, "gutter"},
		"a joint of no kind":        {`"corners": {}`, `"corners": {"inside": "glue"}`, "glue"},
		"a scarf at 10°":            {`"corners": {}`, `"corners": {"scarf_angle": 10000}`, "10.0°"},
		"a stretch taped under 0":   {`"corners": {}`, `"corners": {}, "taped": [{"wall": 1, "stretch": 1, "length": "-1"}]`, "cannot tape"},
		"a rule that is not one":    {`"corners": {}`, `"corners": {}, "rules": {"generosity": 1}`, "generosity"},
		"a house rule out of line":  {`"corners": {}`, `"corners": {}, "rules": {"stud_spacing": 1}`, "between"},
	} {
		sheet, refused := WorkRun(decodeRun(t, strings.Replace(room, c.from, c.to, 1)), inches)
		if len(refused) == 0 || len(sheet.Pieces) > 0 {
			t.Errorf("%s: got %d refusals and %d pieces, want no sheet", name, len(refused), len(sheet.Pieces))
			continue
		}
		if f := refused[0]; !strings.Contains(f.Sentence, c.says) || f.Remedy == "" {
			t.Errorf("%s: got %q %q, want it to say %q", name, f.Sentence, f.Remedy, c.says)
		}
	}
}

func TestDecodeRunSaysWhy(t *testing.T) {
	t.Parallel()
	many := strings.Repeat(`{"wall":1,"kind":"box","offset":1000000,"width":1000000},`, 401)
	for text, want := range map[string]struct {
		notJSON bool
		says    string
	}{
		``:                                    {true, "That is not JSON: send the run's room, profile and corners"},
		`[]`:                                  {false, "The run cannot be read"},
		room + `{}`:                           {true, "follows the run's"},
		`{"room":{"wals":[]}}`:                {false, `There is no field "wals" in a run`},
		`{"room":{"walls":{}}}`:               {false, "room.walls cannot hold an object"},
		`{"room":{"walls":[{"angle":90.5}]}}`: {false, "thousandths of a degree"},
		`{"room":{"walls":[{"angle":"90"}]}}`: {false, "thousandths of a degree"},
		`{"room":{"walls":[{"length":"10 5/7"}]}}`:  {false, "5/7 is not a tape fraction"},
		`{"features":[{"wall":1.5}]}`:               {false, "takes a whole number, not 1.5"},
		`{"features":[` + many[:len(many)-1] + `]}`: {false, "lists 401"},
	} {
		_, err := DecodeRun([]byte(text), length.Inches)
		var bad *DecodeError
		if !errors.As(err, &bad) || bad.NotJSON != want.notJSON || !strings.Contains(bad.Sentence, want.says) {
			t.Errorf("%.40q: got %v, want it to say %q", text, err, want.says)
		}
	}
}

func FuzzDecodeRun(f *testing.F) {
	f.Add([]byte(room))
	f.Add([]byte(`{"room":{"open":true,"walls":[{"length":"9","stud":"1"}]},"profile":{"kind":"crown","height":"4","thickness":"1","spring":45000}}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		if _, err := DecodeRun(data, length.Millimeters); err != nil && err.Error() == "" {
			t.Error("refused without a sentence, in millimeters")
		}
		r, err := DecodeRun(data, length.Inches)
		if err != nil {
			if err.Error() == "" {
				t.Error("refused without a sentence")
			}
			return
		}
		sheet, refused := WorkRun(r, inches) // must not panic, whatever it is
		if len(refused) == 0 && len(sheet.Pieces) > len(sheet.Cuts) {
			t.Errorf("got %d pieces and %d cuts, want a cut for each", len(sheet.Pieces), len(sheet.Cuts))
		}
	})
}
