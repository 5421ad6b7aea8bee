package main

import (
	"context"
	"encoding/json"
	"math"
	"regexp"
	"strings"
	"testing"
)

// helpsRoom is the room --help shows: 12 ft by 10 ft, a door on its first wall, base coped.
func helpsRoom(t *testing.T) string {
	t.Helper()
	help := longpoint(context.Background(), nil, "", "cut", "run", "--help").out
	room := regexp.MustCompile(`(?ms)^    \{$.*^    \}$`).FindString(help)
	if room == "" {
		t.Fatalf("got %s, want a room in it", help)
	}
	return room
}

// inInches finds what stands in inches only because --unit says so.
var inInches = regexp.MustCompile(`("[0-9][0-9 /]*)"([,}\n ])`)

// twoWalls is a crown on an open walk round an outside corner, returned at both ends.
const twoWalls = `{"room": {"open": true, "starts": "return", "ends": "return", "walls": [{"length": "6'", "turn": "outside"}, {"length": "4'", "stud": "7 1/2"}]},
	"profile": {"kind": "crown", "height": "4 5/8", "thickness": "5/8", "spring": 38000}, "corners": {}}`

func TestCutRunPrints(t *testing.T) {
	t.Parallel()
	room := helpsRoom(t)
	for name, c := range map[string]struct {
		in   string
		args []string
	}{
		"run.txt":         {room, nil},
		"run-explain.txt": {strings.Replace(room, `"cope"`, `"butt"`, 1), []string{"--explain"}},
		"run-crown.txt":   {twoWalls, []string{"-"}},
		"run-metric.txt":  {inInches.ReplaceAllString(room, `$1 in"$2`), []string{"--unit", "mm"}},
	} {
		got := longpoint(context.Background(), nil, c.in, append([]string{"cut", "run"}, c.args...)...)
		if got.code != exitDone || got.err != "" {
			t.Errorf("%s: got code %d, %q, want 0 and nothing on standard error", name, got.code, got.err)
		}
		golden(t, name, got.out)
	}
}

// The help's room by hand, in sixteenths of an inch (common practice): coped corners leave
// every back full, pieces between two inside corners get 1/16 of spring, and the door's wall
// stops at its casings, 40 − 2 3/4 and 144 − 70 − 2 3/4.
func TestTheRoomsNumbers(t *testing.T) {
	t.Parallel()
	got := longpoint(context.Background(), nil, helpsRoom(t), "cut", "run", "--json")
	var sheet struct {
		Pieces []struct {
			Name             string
			Length           int64
			Back             struct{ Length int64 }
			Left, Right      string
			LeftEnd          *struct{ Miter *float64 } `json:"left_end"`
			Nailing          *struct{ Nails int }
			Label, Back_Text string
		}
		Cuts []struct {
			Piece string
			Marks []struct{ Name string }
		}
		Corners []struct {
			Angle int64
			Saw   struct {
				Miter struct{ Want, Detent *float64 }
			}
		}
		Plan struct {
			Perimeter    struct{ Length int64 }
			ClosingError *struct{ Length int64 } `json:"closing_error"`
			Area         int64
			Closes       bool
		}
		Findings []struct{ Code, Severity, Sentence, Basis string }
		Cautions []string
		Rules    []struct{ Key, Origin string }
	}
	if err := json.Unmarshal([]byte(got.out), &sheet); err != nil || got.code != exitDone {
		t.Fatalf("got code %d, %s (%v)", got.code, got.err, err)
	}
	const sixteenth = 25_400_000 / 16
	want := map[string]int64{
		"wall_1_piece_1": 37*16 + 4, "wall_1_piece_2": 71*16 + 4, "wall_2_piece_1": 120*16 + 1,
		"wall_3_piece_1": 144*16 + 1, "wall_4_piece_1": 120*16 + 1,
	}
	if len(sheet.Pieces) != len(want) || len(sheet.Cuts) != len(want) {
		t.Fatalf("got %d pieces and %d cuts, want %d of each", len(sheet.Pieces), len(sheet.Cuts), len(want))
	}
	for _, p := range sheet.Pieces {
		if w := want[p.Name] * sixteenth; p.Length != w || p.Back.Length != w {
			t.Errorf("%s: got %d, %d along the back, want %d", p.Name, p.Length, p.Back.Length, w)
		}
		if p.LeftEnd == nil || p.LeftEnd.Miter == nil || p.Nailing == nil || p.Label == "" || p.Back_Text == "" {
			t.Errorf("%s: got %+v, want its ends, nailing and words", p.Name, p)
		}
	}
	if p := sheet.Pieces[0]; p.Left != "cope" || p.Right != "butt_casing" || *p.LeftEnd.Miter != 45 || p.Nailing.Nails != 4 || sheet.Cuts[0].Marks[0].Name != "short_point_face" {
		t.Errorf("wall 1, piece 1: got %+v, want coped at 45° on the left, butted to casing on the right, 4 nails", p)
	}
	if len(sheet.Corners) != 4 || sheet.Corners[0].Angle != 90_000 || *sheet.Corners[0].Saw.Miter.Want != 45 || *sheet.Corners[0].Saw.Miter.Detent != 45 {
		t.Errorf("corners: got %+v, want four of 90° at the 45° detent", sheet.Corners)
	}
	if p := sheet.Plan; p.Perimeter.Length != 528*16*sixteenth || p.Area != 11_148_365 || p.ClosingError == nil || p.ClosingError.Length != 0 || !p.Closes {
		t.Errorf("plan: got %+v, want 528 in round, 11148365 mm² (120 sq ft), closed", p)
	}
	if len(sheet.Findings) == 0 || sheet.Findings[0].Sentence == "" || sheet.Findings[0].Basis == "" || len(sheet.Cautions) == 0 || len(sheet.Rules) == 0 {
		t.Errorf("got findings %+v, cautions %q, %d rules; want all in words", sheet.Findings, sheet.Cautions, len(sheet.Rules))
	}
}

func TestCutRunRefuses(t *testing.T) {
	t.Parallel()
	room := helpsRoom(t)
	gapes := strings.Replace(room, `"10'"}, {"length": "12'"}`, `"10'"}, {"length": "13'"}`, 1)
	for _, c := range []struct {
		in   string
		args []string
		code int
		says string
	}{
		{"", nil, 1, "That is not JSON"},
		{"{}", nil, 1, "Say base, shoe"},
		{strings.Replace(room, `"wall": 1`, `"wal": 1`, 1), nil, 1, `no field "wal" in a run`},
		{strings.Replace(room, `"40"`, `"40 5/7"`, 1), nil, 1, "5/7 is not a tape fraction"},
		{strings.Replace(room, `"40"`, `"140"`, 1), nil, 1, "does not fit"},
		{strings.Replace(room, "90000", "90.5", 1), nil, 1, "thousandths of a degree"},
		{strings.Repeat(" ", mostInput+1), nil, 1, "at most 1 MiB"},
		{gapes, nil, 0, ""},
		{gapes, []string{"--strict"}, 1, "A stop stands"},
		{room, []string{"--strict"}, 0, ""},
		{room, []string{"--unit", "ell"}, 2, "in or mm"},
		{room, []string{"a", "b"}, 2, "one word too many"},
		{"", []string{"/nowhere/at/all"}, 1, "is not there"},
	} {
		got := longpoint(context.Background(), nil, c.in, append([]string{"cut", "run"}, c.args...)...)
		if got.code != c.code || !strings.Contains(got.err, c.says) {
			t.Errorf("%.60q %q: got %d, %q, want %d and %q", c.in, c.args, got.code, got.err, c.code, c.says)
		}
		if c.code != 0 {
			checkSentence(t, c.args, got)
		}
	}
	if got := longpoint(context.Background(), nil, gapes, "cut", "run"); !strings.Contains(got.out, "stop  The walls miss closing by 12") {
		t.Errorf("a room a foot out: got %s, want the closing error told", got.out)
	}
}

// Miter-saw manuals print 35.3 and 30 for 45° crown in a square corner. An outside corner
// of 270° has the same angles as an inside one of 90°, and the other side of the blade.
func TestCrownJSONInsideAndOutside(t *testing.T) {
	t.Parallel()
	miters := map[string]float64{}
	for corner, turn := range map[string]string{"90": "inside", "270": "outside"} {
		got := longpoint(context.Background(), nil, "", "cut", "crown", "--spring", "45", "--corner", corner, "--json")
		var a struct {
			MiterDeg *json.Number `json:"miter_deg"`
			BevelDeg *json.Number `json:"bevel_deg"`
			Cuts     []struct{ Corner, Keep, Hand, Position string }
		}
		d := json.NewDecoder(strings.NewReader(got.out))
		if err := d.Decode(&a); err != nil || a.MiterDeg == nil || a.BevelDeg == nil {
			t.Fatalf("%s: got %d, %s %s (%v)", corner, got.code, got.out, got.err, err)
		}
		m, _ := a.MiterDeg.Float64()
		b, _ := a.BevelDeg.Float64()
		miters[corner] = m
		// atan(sin 45° × cot 45°) = atan(0.70710678) = 35.2644°, asin(0.70710678²) = asin(1/2).
		if math.Abs(m-35.2644) > 0.00005 || math.Abs(b-30) > 0.00005 {
			t.Errorf("%s: got miter %v and bevel %v, want 35.2644 and 30.0000", corner, m, b)
		}
		for _, cut := range a.Cuts {
			if cut.Corner != turn || cut.Position == "flat" && cut.Hand == "left" && (cut.Keep == "left") != (turn == "inside") {
				t.Errorf("%s: got %+v, want an %s corner with the piece on its side of the blade", corner, cut, turn)
			}
		}
	}
	if math.Abs(miters["90"]-miters["270"]) > 1e-9 {
		t.Errorf("miters: got %v, want the same inside and outside", miters)
	}
	for _, c := range []struct{ spring, corner, says string }{
		{"4", "90", "A spring angle of 4° cannot be: read it again, from 5° to 85°."},
		{"38", "29.5", "A corner angle of 29.5° cannot be: read it again, from 30° to 330°."},
		{"38", "-90", "A corner angle of -90° cannot be"},
	} {
		got := longpoint(context.Background(), nil, "", "cut", "crown", "--json", "--spring", c.spring, "--corner", c.corner)
		if got.code != exitRefused || got.out != "" || !strings.Contains(got.err, c.says) {
			t.Errorf("spring %s, corner %s: got %d, %q, want 1 and %q", c.spring, c.corner, got.code, got.err, c.says)
		}
		checkSentence(t, c, got)
	}
}
