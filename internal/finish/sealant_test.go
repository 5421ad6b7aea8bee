package finish_test

import (
	"math"
	"testing"

	"longpoint/internal/finish"
	"longpoint/internal/length"

	"pgregory.net/rapid"
)

// ASTM C920 as a trade guide explains it: class 25 in a 1/2 joint takes ±1/8.
func TestClassExample(t *testing.T) {
	t.Parallel()
	if c, ok := finish.ClassFor(in(0, 1, 8), in(0, 1, 2)); !ok || c != finish.Class25 {
		t.Errorf("1/8 in 1/2 wants class %d %v, want 250", c, ok)
	}
	if c, ok := finish.ClassFor(in(0, 1, 8)+1, in(0, 1, 2)); !ok || c != finish.Class35 {
		t.Errorf("a hair over 1/8 in 1/2 wants class %d %v, want 350", c, ok)
	}
}

func TestClassFor(t *testing.T) {
	t.Parallel()
	joint := 8 * length.Millimeter
	for _, tt := range []struct {
		movement length.Length
		class    finish.Class
		ok       bool
	}{
		{0, finish.Class12, true},
		{length.Millimeter, finish.Class12, true}, // 12.5 % exactly
		{length.Millimeter + 1, finish.Class25, true},
		{2 * length.Millimeter, finish.Class25, true},
		{2_800_000, finish.Class35, true},
		{2_800_001, finish.Class50, true},
		{4 * length.Millimeter, finish.Class50, true},
		{4*length.Millimeter + 1, finish.NoClass, false},
		{-1, finish.NoClass, false},
		{math.MaxInt64, finish.NoClass, false},
	} {
		c, ok := finish.ClassFor(tt.movement, joint)
		if c != tt.class || ok != tt.ok {
			t.Errorf("ClassFor(%d nm, 8 mm) = %d, %v; want %d, %v", tt.movement, c, ok, tt.class, tt.ok)
		}
	}
	if c, ok := finish.ClassFor(0, 0); ok {
		t.Errorf("a joint of no width takes class %d, want a refusal", c)
	}
}

// Common practice: basement the lowest class, ground floor 25, upper floors 50.
func TestClassByLevel(t *testing.T) {
	t.Parallel()
	for level, want := range map[finish.Level]finish.Class{finish.Basement: 125, finish.Ground: 250, finish.Upper: 500} {
		r, fs := finish.RequiredClass(finish.Joint{Width: in(0, 1, 8), Level: level})
		if r.Class != want || r.From != "level" || len(fs) > 0 {
			t.Errorf("%s: class %d from %s (%s), want %d from level", level, r.Class, r.From, codes(fs), want)
		}
	}
}

func TestRequiredClassFromClimate(t *testing.T) {
	t.Parallel()
	climate := &finish.Climate{Dry: finish.Air{Celsius: 211, Humidity: 300}, Damp: finish.Air{Celsius: 211, Humidity: 600}}
	// 5 in red oak over 4.8 % grows 0.0886 in (Hardwood Floors, Feb/Mar 2017).
	for _, tt := range []struct {
		name  string
		width length.Length
		grain finish.Grain
		class finish.Class
		want  string
	}{
		{"1/4 joint: 35.4 %", in(0, 1, 4), finish.FlatSawn, finish.Class50, ""},
		{"1/2 joint: 17.7 %", in(0, 1, 2), finish.FlatSawn, finish.Class25, ""},
		{"quarter-sawn, 1/4 joint: 15.2 %", in(0, 1, 4), finish.QuarterSawn, finish.Class25, ""},
		{"1/8 joint: 70.8 %", in(0, 1, 8), finish.FlatSawn, finish.NoClass, "stop:joint_moves_too_much"},
		{"no joint", 0, finish.FlatSawn, finish.NoClass, "stop:joint_size_bad"},
		{"grain", in(0, 1, 4), "rift", finish.NoClass, "stop:entry_unknown"},
	} {
		r, fs := finish.RequiredClass(finish.Joint{Width: tt.width, Member: 5 * length.Inch, Species: "red_oak", Grain: tt.grain, Climate: climate, Level: finish.Ground})
		if r.Class != tt.class || codes(fs) != tt.want {
			t.Errorf("%s: class %d, %q; want %d, %q", tt.name, r.Class, codes(fs), tt.class, tt.want)
		}
	}
	r, _ := finish.RequiredClass(finish.Joint{Width: in(0, 1, 2), Member: 5 * length.Inch, Species: "red_oak", Climate: climate})
	if r.From != "climate" || r.Movement == nil {
		t.Fatalf("Required = %+v, want one from the climate with its movement", r)
	}
	near(t, "movement", r.Movement.Length.Inches(), 0.08856, 0.0012) // the table's rounding, 0.06 % MC at each end
	near(t, "share", r.Share, 17.7, 0.3)
}

func TestRequiredClassBadInput(t *testing.T) {
	t.Parallel()
	ok := finish.Climate{Dry: finish.Air{Celsius: 210, Humidity: 300}, Damp: finish.Air{Celsius: 210, Humidity: 600}}
	hot := finish.Climate{Dry: finish.Air{Celsius: 2100, Humidity: 300}, Damp: ok.Damp}
	for name, tt := range map[string]struct {
		j    finish.Joint
		want string
	}{
		"level":   {finish.Joint{Level: "attic"}, "stop:entry_unknown"},
		"species": {finish.Joint{Width: length.Half, Member: length.Inch, Species: "oak?", Climate: &ok}, "stop:entry_unknown"},
		"climate": {finish.Joint{Width: length.Half, Member: length.Inch, Species: "red_oak", Climate: &hot}, "stop:climate_implausible"},
		"member":  {finish.Joint{Width: length.Half, Member: -length.Inch, Species: "red_oak", Climate: &ok}, "stop:joint_size_bad"},
	} {
		r, fs := finish.RequiredClass(tt.j)
		if codes(fs) != tt.want || r.Class != finish.NoClass {
			t.Errorf("%s: class %d, %q; want none, %q", name, r.Class, codes(fs), tt.want)
		}
	}
}

func TestCheckSealant(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name string
		s    finish.Sealant
		need finish.Class
		want string
	}{
		{"equal", finish.Sealant{Class: finish.Class25}, finish.Class25, ""},
		{"higher", finish.Sealant{Class: finish.Class50}, finish.Class25, ""},
		{"lower", finish.Sealant{Class: finish.Class25}, finish.Class50, "stop:sealant_class_low"},
		{"none", finish.Sealant{}, finish.Class12, "stop:sealant_without_class"},
		// US government guide specification: C834 latex where movement stays within 15 %.
		{"latex, low", finish.Sealant{Latex: true}, finish.Class12, ""},
		{"latex, 25", finish.Sealant{Latex: true}, finish.Class25, "stop:sealant_class_low"},
		{"latex with a class", finish.Sealant{Latex: true, Class: finish.Class25}, finish.Class25, ""},
		{"not a class", finish.Sealant{Class: 300}, finish.Class25, "stop:sealant_class_unknown"},
		{"negative", finish.Sealant{Class: -125}, finish.Class25, "stop:sealant_class_unknown"},
	} {
		if got := codes(finish.CheckSealant(tt.s, finish.Required{Class: tt.need})); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}

// More movement, or a narrower joint, never lets a lower class through.
func TestMoreMovementNeverLowersTheClass(t *testing.T) {
	t.Parallel()
	rank := func(m, w length.Length) finish.Class {
		if c, ok := finish.ClassFor(m, w); ok {
			return c
		}
		return 1000
	}
	rapid.Check(t, func(t *rapid.T) {
		joint := rapid.Int64Range(1, int64(2*length.Inch))
		w1, w2 := length.Length(joint.Draw(t, "w1")), length.Length(joint.Draw(t, "w2"))
		w1, w2 = min(w1, w2), max(w1, w2)
		move := rapid.Int64Range(0, int64(w2))
		m1, m2 := length.Length(move.Draw(t, "m1")), length.Length(move.Draw(t, "m2"))
		m1, m2 = min(m1, m2), max(m1, m2)
		if rank(m2, w1) < rank(m1, w1) || rank(m1, w1) < rank(m1, w2) {
			t.Fatalf("movement %d→%d, joint %d→%d: classes %d %d %d", m1, m2, w1, w2, rank(m1, w1), rank(m2, w1), rank(m1, w2))
		}
		c, ok := finish.ClassFor(m1, w1)
		share := 1000 * float64(m1) / float64(w1)
		if ok && share > float64(c)+1e-6 || !ok && share < 500-1e-6 {
			t.Fatalf("movement %d in %d is %.6f tenths of a percent; class %d %v", m1, w1, share, c, ok)
		}
	})
}
