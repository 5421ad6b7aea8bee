package trim

import (
	"math"
	"reflect"
	"testing"

	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
)

func TestScarfOnStuds(t *testing.T) {
	t.Parallel()
	stud := length.In(8, 0, 1) // so 8, 24, 40 … 280
	in := RunInput{
		Room:    Room{Open: true, Walls: []Wall{{Length: feet(24), Stud: &stud}}},
		Profile: Profile{Kind: Base, Height: length.In(5, 1, 4), Thickness: nineSixteenths, StockLength: feet(16)},
		Rules:   houserules.Defaults(),
	}
	for _, tt := range []struct {
		angle   Angle
		overlap float64
	}{{30 * Degree, 0.324760}, {45 * Degree, 0.5625}} {
		in.Corners.ScarfAngle = tt.angle
		out := Run(in)
		if len(out.Pieces) != 2 {
			t.Fatalf("%d pieces, want 2; %+v", len(out.Pieces), out.Findings)
		}
		a, b := out.Cuts[0], out.Cuts[1]
		// Studs at 136 and 152 lie equally far from the middle; the left piece laps, so the left stud.
		sum := (a.Value.Length + b.Value.Length).Inches() - 288
		if math.Abs(sum-tt.overlap) > 1e-6 || a.Ends[1].Joint != "scarf" || b.Ends[0].Joint != "scarf" || a.Ends[1].Miter != tt.angle.Degrees() {
			t.Errorf("%v°: pieces sum to the wall + %.6f, ends %+v %+v; want + %.6f", tt.angle.Degrees(), sum, a.Ends, b.Ends, tt.overlap)
		}
		if out.Pieces[0].Back.Length+out.Pieces[1].Back.Length != feet(24) {
			t.Errorf("backs sum to %v, want the wall", (out.Pieces[0].Back.Length + out.Pieces[1].Back.Length).Inches())
		}
		if mid := out.Pieces[0].Back.Length.Inches() + tt.overlap/2; math.Abs(mid-136) > 1e-6 {
			t.Errorf("scarf at %.4f, want on the stud at 136", mid)
		}
		for i, c := range out.Cuts {
			if c.Value.Length > feet(16) || out.Pieces[i].Sprung {
				t.Errorf("piece %d: %v in from 16 ft stock, sprung %v", i+1, c.Value.Length.Inches(), out.Pieces[i].Sprung)
			}
		}
	}
	in.Room.Walls[0].Stud = nil
	if out := Run(in); !has(out.Findings, "run_too_long_no_studs") || !finding.HasStop(out.Findings) {
		t.Errorf("no stud: %+v, want a stop", out.Findings)
	}
	in.Room.Walls[0].Stud = &stud
	in.Profile.StockLength = length.Foot
	if out := Run(in); !has(out.Findings, "run_stock_too_short") {
		t.Errorf("1 ft stock on 16 in studs: %+v, want a stop", out.Findings)
	}
}

func TestScarfsMirrorWithTheRoom(t *testing.T) {
	t.Parallel()
	// 40 ft in three pieces leaves slack, so several ways are equally good.
	stud := length.In(8, 0, 1)
	in := RunInput{
		Room:    Room{Open: true, Starts: EndButt, Walls: []Wall{{ID: "long", Length: feet(40), Stud: &stud}}},
		Profile: Profile{Kind: Base, Height: length.In(5, 1, 4), Thickness: nineSixteenths, StockLength: feet(16)},
		Rules:   houserules.Defaults(),
	}
	for _, lap := range []Hand{LeftPiece, RightPiece} {
		in.Corners.ScarfLap = lap
		want := pieces(in, Run(in), false)
		other := mirrored(in)
		if got := pieces(other, Run(other), true); !reflect.DeepEqual(got, want) || len(got) != 3 {
			t.Errorf("lap %s: mirrored %+v\nwant %+v", lap, got, want)
		}
	}
}

func TestNailsAtStuds(t *testing.T) {
	t.Parallel()
	out := Run(closet())
	in := func(whole ...int64) (ls []length.Length) {
		for _, w := range whole {
			ls = append(ls, length.In(w, 0, 1))
		}
		return ls
	}
	want := map[string]Nailing{
		"wall_1_piece_1": {Studs: in(8), Nails: 2},                // the stud at 24 lies on the casing's edge
		"wall_1_piece_2": {Nails: 4, ToePairs: 2, Adhesive: true}, // 56 1/2 to 72: the studs at 56 and 72 miss it
		"wall_3_piece_1": {Studs: in(8, 24, 40, 56), Nails: 8},
	}
	for _, p := range out.Pieces {
		w, ok := want[p.Name]
		if !ok {
			continue
		}
		if p.Nailing.Nails != w.Nails || len(p.Nailing.Studs) != len(w.Studs) || p.Nailing.ToePairs != w.ToePairs || p.Nailing.Adhesive != w.Adhesive {
			t.Errorf("%s: %+v, want %+v", p.Name, p.Nailing, w)
		}
	}
}
