package trim_test

import (
	"testing"

	"longpoint/internal/finding"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

func TestMiteredCasing(t *testing.T) {
	t.Parallel()
	in := chainInput()
	in.CasingA.Style, in.CasingA.Overhang = trim.Mitered, 0
	out := trim.Opening(in)
	head, leg := cutOf(t, out, "casing_a_head"), cutOf(t, out, "casing_a_leg_hinge")
	wantLen(t, "head, long point", head.Value.Length, length.In(34, 0, 1))
	wantLen(t, "leg, long point", leg.Value.Length, length.In(82, 3, 8))
	for i, e := range head.Ends {
		if e.Joint != "miter" || e.Miter != 45 {
			t.Errorf("head end %d: want a 45° miter, got %+v", i, e)
		}
	}
	if leg.Ends[0].Joint != "square" || leg.Ends[1].Miter != 45 {
		t.Errorf("leg: want a square foot and a 45° top, got %+v", leg.Ends)
	}
}

func TestCornerBlocks(t *testing.T) {
	t.Parallel()
	in := chainInput()
	*in.CasingA = trim.Casing{Style: trim.CornerBlocks, Width: length.In(2, 3, 4), Thickness: length.In(0, 3, 4), Block: length.In(3, 1, 4), PlinthHeight: length.In(6, 0, 1)}
	out := trim.Opening(in)
	wantLen(t, "head between blocks", cutOf(t, out, "casing_a_head").Value.Length, length.In(28, 0, 1))
	wantLen(t, "leg from plinth to block", cutOf(t, out, "casing_a_leg_hinge").Value.Length, length.In(73, 3, 8))
	wantLen(t, "block", cutOf(t, out, "casing_a_block_strike").Value.Length, length.In(3, 1, 4))
	wantLen(t, "plinth", cutOf(t, out, "casing_a_plinth_hinge").Value.Length, length.In(6, 0, 1))
}

func TestNarrowSides(t *testing.T) {
	t.Parallel()
	for _, w := range []struct {
		name         string
		style        trim.CasingStyle
		space        length.Length // from the jamb's face
		width        length.Length // ripped; zero when whole
		ear          length.Length // left at that side of a butt head
		stop, narrow bool
	}{
		{"room for all", trim.ButtHead, length.In(3, 7, 8), 0, length.In(1, 0, 1), false, false},
		{"ear kept, leg ripped", trim.ButtHead, length.In(3, 1, 2), length.In(2, 3, 8), length.In(1, 0, 1), false, false},
		{"ear gives way", trim.ButtHead, length.In(2, 1, 8), length.In(2, 0, 1), 0, false, false},
		{"mitered", trim.Mitered, length.In(2, 1, 8), length.In(2, 0, 1), 0, false, false},
		{"mitered, narrow", trim.Mitered, length.In(1, 1, 8), length.In(1, 0, 1), 0, false, true},
		{"no room", trim.Mitered, length.In(0, 7, 8), 0, 0, true, false},
	} {
		in := chainInput()
		in.CasingA.Style = w.style
		// The tape reads from the rough opening, which lies behind the jamb's face by the jamb
		// (5/8) and the shim space there (1/4).
		space := w.space - length.In(0, 7, 8)
		if w.stop {
			in.Rules.Reveal = length.In(0, 7, 16)
		}
		in.Readings.SpaceAHinge = &space
		out := trim.Opening(in)
		if w.stop {
			if _, ok := findingOf(out.Findings, "casing_no_room"); !ok || hasCut(out, "casing_a_head") {
				t.Errorf("%s: want a stop and no casing on A", w.name)
			}
			if !hasCut(out, "casing_b_head") {
				t.Errorf("%s: want face B cased all the same", w.name)
			}
			continue
		}
		leg := cutOf(t, out, "casing_a_leg_hinge")
		switch {
		case w.width == 0 && leg.Width != nil:
			t.Errorf("%s: want the leg whole, got %s", w.name, show(leg.Width.Length))
		case w.width != 0 && (leg.Width == nil || leg.Width.Length != w.width):
			t.Errorf("%s: want a rip to %s, got %+v", w.name, show(w.width), leg.Width)
		}
		if cutOf(t, out, "casing_a_leg_strike").Width != nil {
			t.Errorf("%s: want the far side whole", w.name)
		}
		f, ok := findingOf(out.Findings, "casing_ripped")
		if ok != (w.width != 0) || ok && (f.Severity == finding.Warn) != w.narrow {
			t.Errorf("%s: want ripped %v narrow %v, got %+v", w.name, w.width != 0, w.narrow, f)
		}
		head := cutOf(t, out, "casing_a_head")
		full := length.In(2, 3, 4)
		hinge := w.width
		if hinge == 0 {
			hinge = full
		}
		want := length.In(28, 1, 2) + hinge + full
		if w.style == trim.ButtHead {
			want += w.ear + length.Inch
			if w.width != 0 && (head.Marks[0].From != "left" || head.Marks[0].Value.Length != hinge+w.ear) {
				t.Errorf("%s: want the left mark at %s, got %+v", w.name, show(hinge+w.ear), head.Marks)
			}
		}
		wantLen(t, w.name+": head", head.Value.Length, want)
		if end := hinge + w.ear + in.Rules.Reveal; end > w.space {
			t.Errorf("%s: casing ends %s from the jamb, past the wall at %s", w.name, show(end), show(w.space))
		}
	}
}

// Nail bearing, common practice: under 3/4 warn, under 1/2 stop.
func TestNailBearing(t *testing.T) {
	t.Parallel()
	for _, w := range []struct {
		width length.Length // casing
		code  string
	}{
		{length.In(1, 5, 8), ""}, // 1/8 + 1 5/8 − 5/8 − 1/4 = 7/8
		{length.In(1, 1, 2), ""}, // 3/4
		{length.In(1, 31, 64), "bearing_thin"},
		{length.In(1, 1, 4), "bearing_thin"}, // 1/2
		{length.In(1, 15, 64), "bearing_miss"},
	} {
		in := chainInput()
		in.CasingA.Width = w.width
		in.CasingB = nil
		got := ""
		for _, f := range trim.Opening(in).Findings {
			if f.Code == "bearing_thin" || f.Code == "bearing_miss" {
				got = f.Code
				if f.Stage != "nailed" || (f.Severity == finding.Stop) != (f.Code == "bearing_miss") {
					t.Errorf("%s: got %s on %s", f.Code, f.Severity, f.Stage)
				}
			}
		}
		if got != w.code {
			t.Errorf("casing %s: want %q, got %q", show(w.width), w.code, got)
		}
	}
}

func TestCornersByGauge(t *testing.T) {
	t.Parallel()
	in := chainInput()
	in.CasingA.Style, in.CasingA.Overhang = trim.Mitered, 0
	in.Readings.CornerHinge, in.Readings.CornerStrike = anglePtr(91*trim.Degree), anglePtr(89*trim.Degree)
	in.Readings.DiagonalRise, in.Readings.DiagonalFall = lenPtr(86, 0, 1), lenPtr(85, 1, 2)
	out := trim.Opening(in)
	head := cutOf(t, out, "casing_a_head")
	if head.Ends[0].Miter != 44.5 || head.Ends[1].Miter != 45.5 {
		t.Errorf("want miters 44.5 and 45.5 by the gauge, got %+v", head.Ends)
	}
	in.Unit.HingeOn = "right"
	head = cutOf(t, trim.Opening(in), "casing_a_head")
	if head.Ends[0].Miter != 45.5 || head.Ends[1].Miter != 44.5 {
		t.Errorf("hinged right, seen from A: want 45.5 left and 44.5 right, got %+v", head.Ends)
	}
	for _, c := range out.Corners {
		if c.From != "angle_gauge" {
			t.Errorf("%s: want the gauge to win, got %s", c.Name, c.From)
		}
	}
}
