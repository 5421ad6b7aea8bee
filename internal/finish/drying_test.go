package finish_test

import (
	"math"
	"testing"
	"time"

	"longpoint/internal/finish"
	"longpoint/internal/houserules"

	"pgregory.net/rapid"
)

var noon = time.Date(2026, 3, 4, 12, 0, 0, 0, time.UTC)

func ago(minutes int) *time.Time { return ptr(noon.Add(-time.Duration(minutes) * time.Minute)) }

// fillerSheet is invented: 90 minutes at 10 C, 45 at 20 C, 30 at 30 C.
func fillerSheet() finish.Sheet {
	return finish.Sheet{Product: "filler", Times: []finish.SheetTime{
		{Phase: finish.FillerDry, Celsius: 20, Minutes: 45},
		{Phase: finish.FillerDry, Celsius: 10, Minutes: 90},
		{Phase: finish.FillerDry, Celsius: 30, Minutes: 30},
		{Phase: finish.CaulkSkin, Celsius: 5, Minutes: 999},
	}}
}

func TestWaitFor(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name    string
		celsius *float64
		want    finish.Wait
	}{
		{"at a row", ptr(20.0), finish.Wait{Minutes: 45, From: "sheet"}},
		{"just under a row", ptr(19.9), finish.Wait{Minutes: 90, From: "sheet"}},
		{"between", ptr(15.0), finish.Wait{Minutes: 90, From: "sheet"}},
		{"between, warm", ptr(25.0), finish.Wait{Minutes: 45, From: "sheet"}},
		{"hotter than the sheet", ptr(35.0), finish.Wait{Minutes: 30, From: "sheet"}},
		{"colder than the sheet", ptr(5.0), finish.Wait{Minutes: 120, From: "sheet", Colder: true}},
		{"no temperature", nil, finish.Wait{Minutes: 90, From: "sheet"}},
		{"not a temperature", ptr(math.NaN()), finish.Wait{Minutes: 90, From: "sheet"}},
	} {
		if got := finish.WaitFor(finish.FillerDry, fillerSheet(), tt.celsius, houserules.Defaults()); got != tt.want {
			t.Errorf("%s: %+v, want %+v", tt.name, got, tt.want)
		}
	}
}

func TestWaitForFallsBackToTheHouseRule(t *testing.T) {
	t.Parallel()
	r := houserules.Defaults() // 120, 30, 240 and 240 minutes: common practice
	for phase, want := range map[finish.Phase]int64{
		finish.FillerDry: 120, finish.FillerSand: 120, finish.CaulkSkin: 30, finish.CaulkCure: 240, finish.Recoat: 240,
	} {
		got := finish.WaitFor(phase, finish.Sheet{}, ptr(20.0), r)
		if got.Minutes != want || got.From != "house_rule" {
			t.Errorf("%s: %+v, want %d from the house rule", phase, got, want)
		}
	}
	if got := finish.WaitFor(finish.FillerSand, fillerSheet(), ptr(20.0), r); got.Minutes != 45 || got.From != "sheet" {
		t.Errorf("sanding, by the sheet's drying time: %+v, want 45 from the sheet", got)
	}
	if got := finish.WaitFor(finish.CaulkCure, fillerSheet(), ptr(20.0), r); got.Minutes != 240 || got.From != "house_rule" {
		t.Errorf("curing is not skinning: %+v, want 240 from the house rule", got)
	}
	bad := finish.Sheet{Times: []finish.SheetTime{{Phase: finish.Recoat, Celsius: math.NaN(), Minutes: 1}, {Phase: finish.Recoat, Celsius: 20, Minutes: -5}}}
	if got := finish.WaitFor(finish.Recoat, bad, ptr(20.0), r); got.Minutes != 240 || got.From != "house_rule" {
		t.Errorf("rows that cannot be: %+v, want 240 from the house rule", got)
	}
}

func TestCheckSheet(t *testing.T) {
	t.Parallel()
	if fs := finish.CheckSheet(fillerSheet()); len(fs) > 0 {
		t.Errorf("a good sheet: %q", codes(fs))
	}
	for _, tt := range []struct {
		row  finish.SheetTime
		want string
	}{
		{finish.SheetTime{Phase: finish.Recoat, Celsius: 20, Minutes: 0}, "stop:sheet_time_bad"},
		{finish.SheetTime{Phase: finish.Recoat, Celsius: 20, Minutes: finish.MostWait + 1}, "stop:sheet_time_bad"},
		{finish.SheetTime{Phase: finish.Recoat, Celsius: 70, Minutes: 60}, "stop:sheet_time_bad"}, // Fahrenheit, surely
		{finish.SheetTime{Phase: finish.Recoat, Celsius: math.Inf(1), Minutes: 60}, "stop:sheet_time_bad"},
		{finish.SheetTime{Phase: "glue", Celsius: 20, Minutes: 60}, "stop:entry_unknown"},
	} {
		if got := codes(finish.CheckSheet(finish.Sheet{Times: []finish.SheetTime{tt.row}})); got != tt.want {
			t.Errorf("%+v: %q, want %q", tt.row, got, tt.want)
		}
	}
	if got := codes(finish.CheckSheet(finish.Sheet{Times: make([]finish.SheetTime, 101)})); got != "stop:sheet_too_long" {
		t.Errorf("101 rows: %q, want stop:sheet_too_long", got)
	}
}

// Whatever the sheet and the temperature, the wait is never shorter than either row beside
// the temperature, never made up, and does not depend on the order of the rows.
func TestWaitIsNeverFasterThanTheSheet(t *testing.T) {
	t.Parallel()
	r := houserules.Defaults()
	rapid.Check(t, func(t *rapid.T) {
		rows := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) finish.SheetTime {
			return finish.SheetTime{Phase: finish.CaulkCure, Celsius: float64(rapid.IntRange(-5, 45).Draw(t, "c")), Minutes: rapid.Int64Range(1, 2000).Draw(t, "m")}
		}), 1, 8).Draw(t, "rows")
		at := float64(rapid.IntRange(-20, 100).Draw(t, "half degrees")) / 2
		got := finish.WaitFor(finish.CaulkCure, finish.Sheet{Times: rows}, &at, r)
		below, above, exact := math.Inf(-1), math.Inf(1), false
		made := got.Colder && got.Minutes == r.CaulkCure
		for _, x := range rows {
			made = made || x.Minutes == got.Minutes
			exact = exact || x.Celsius == at
			if x.Celsius <= at {
				below = max(below, x.Celsius)
			}
			if x.Celsius >= at {
				above = min(above, x.Celsius)
			}
		}
		if !made {
			t.Fatalf("%d minutes stand on no row of %v", got.Minutes, rows)
		}
		for _, x := range rows {
			beside := x.Celsius == at || !exact && (x.Celsius == below || x.Celsius == above)
			if beside && got.Minutes < x.Minutes {
				t.Fatalf("at %v: %d minutes, but the row at %v says %d", at, got.Minutes, x.Celsius, x.Minutes)
			}
		}
		if got.Colder != math.IsInf(below, -1) {
			t.Fatalf("at %v: colder %v, nearest row below %v", at, got.Colder, below)
		}
		turned := rapid.Permutation(rows).Draw(t, "turned")
		if again := finish.WaitFor(finish.CaulkCure, finish.Sheet{Times: turned}, &at, r); again != got {
			t.Fatalf("rows in another order: %+v, want %+v", again, got)
		}
	})
}

func TestReadyAt(t *testing.T) {
	t.Parallel()
	east := time.FixedZone("", -5*3600)
	got := finish.ReadyAt(time.Date(2026, 3, 4, 22, 30, 0, 0, east), 120)
	if want := time.Date(2026, 3, 5, 5, 30, 0, 0, time.UTC); got != want {
		t.Errorf("ReadyAt = %v, want %v", got, want)
	}
	if got := finish.ReadyAt(noon, -1); got != noon {
		t.Errorf("a negative wait ends %v, want %v", got, noon)
	}
	if got, want := finish.ReadyAt(noon, math.MaxInt64), noon.AddDate(0, 0, 30); got != want {
		t.Errorf("an endless wait ends %v, want %v", got, want)
	}
}

func TestCheckDry(t *testing.T) {
	t.Parallel()
	// House rules: filler 120, caulk skins in 30 and cures in 240, recoat 240 (common practice).
	for _, tt := range []struct {
		name   string
		step   finish.Step
		log    finish.DryLog
		want   string
		clears *time.Time
	}{
		{"sand wet filler", finish.Sand, finish.DryLog{FilledAt: ago(119)}, "stop:filler_not_dry", ago(-1)},
		{"sand dry filler", finish.Sand, finish.DryLog{FilledAt: ago(120)}, "", nil},
		{"caulk before filling", finish.CaulkStep, finish.DryLog{HolesToFill: true}, "stop:fill_before_caulk", nil},
		{"caulk after filling", finish.CaulkStep, finish.DryLog{HolesToFill: true, FilledAt: ago(1)}, "", nil},
		{"caulk, nothing to fill", finish.CaulkStep, finish.DryLog{}, "", nil},
		{"second pass on a wet bead", finish.SecondPass, finish.DryLog{CaulkedAt: ago(29)}, "stop:caulk_not_skinned", ago(-1)},
		{"second pass on a skin", finish.SecondPass, finish.DryLog{CaulkedAt: ago(30)}, "", nil},
		{"paint wet caulk", finish.FirstCoat, finish.DryLog{CaulkedAt: ago(29)}, "stop:caulk_wet", ago(-211)},
		{"paint skinned caulk", finish.FirstCoat, finish.DryLog{CaulkedAt: ago(30)}, "stop:caulk_not_cured", ago(-210)},
		{"paint cured caulk", finish.FirstCoat, finish.DryLog{CaulkedAt: ago(240)}, "", nil},
		{"paint open holes", finish.FirstCoat, finish.DryLog{HolesToFill: true}, "stop:fill_before_paint", nil},
		{"paint raw filler", finish.FirstCoat, finish.DryLog{FilledAt: ago(500)}, "stop:sand_before_paint", nil},
		{"paint wet filler", finish.FirstCoat, finish.DryLog{FilledAt: ago(10)}, "stop:filler_not_dry stop:sand_before_paint", ago(-110)},
		{"sanded too soon", finish.FirstCoat, finish.DryLog{FilledAt: ago(500), SandedAt: ago(381)}, "stop:sanded_too_soon", nil},
		{"sanded in time", finish.FirstCoat, finish.DryLog{FilledAt: ago(500), SandedAt: ago(380)}, "", nil},
		{"filled again after sanding", finish.FirstCoat, finish.DryLog{FilledAt: ago(300), SandedAt: ago(400)}, "stop:sand_before_paint", nil},
		{"caulked before filled", finish.FirstCoat, finish.DryLog{FilledAt: ago(500), SandedAt: ago(300), CaulkedAt: ago(600)}, "warn:caulked_before_filled", nil},
		{"recoat too soon", finish.NextCoat, finish.DryLog{CoatedAt: ago(239)}, "stop:coat_not_dry", ago(-1)},
		{"recoat", finish.NextCoat, finish.DryLog{CoatedAt: ago(240)}, "", nil},
		{"the clock is ahead", finish.NextCoat, finish.DryLog{CoatedAt: ago(-10)}, "stop:coat_not_dry warn:logged_ahead_of_clock", ago(-250)},
		{"sheet at 20 C", finish.Sand, finish.DryLog{FilledAt: ago(44), Filler: fillerSheet(), Celsius: ptr(20.0)}, "stop:filler_not_dry", ago(-1)},
		{"sheet, dry", finish.Sand, finish.DryLog{FilledAt: ago(45), Filler: finish.Sheet{Times: append(fillerSheet().Times, finish.SheetTime{Phase: finish.FillerSand, Celsius: 20, Minutes: 40})}, Celsius: ptr(20.0)}, "", nil},
		{"colder than the sheet", finish.Sand, finish.DryLog{FilledAt: ago(500), Filler: fillerSheet(), Celsius: ptr(5.0)}, "stop:colder_than_sheet", nil},
		{"step", "varnish", finish.DryLog{}, "stop:entry_unknown", nil},
	} {
		fs := finish.CheckDry(noon, tt.step, tt.log, houserules.Defaults())
		if got := codes(fs); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
			continue
		}
		if tt.clears == nil {
			for _, f := range fs {
				if f.ClearsAt != nil {
					t.Errorf("%s: %s clears at %v, want no time", tt.name, f.Code, f.ClearsAt)
				}
			}
			continue
		}
		if fs[0].ClearsAt == nil || !fs[0].ClearsAt.Equal(*tt.clears) {
			t.Errorf("%s: clears at %v, want %v", tt.name, fs[0].ClearsAt, tt.clears)
		}
	}
}

// A finding that says when it clears is there a nanosecond before and gone at that moment.
func TestWaitingClearsWhatItSays(t *testing.T) {
	t.Parallel()
	r := houserules.Defaults()
	rapid.Check(t, func(t *rapid.T) {
		log := finish.DryLog{
			CaulkedAt: ago(rapid.IntRange(0, 300).Draw(t, "caulked")),
			FilledAt:  ago(rapid.IntRange(0, 300).Draw(t, "filled")),
			CoatedAt:  ago(rapid.IntRange(0, 300).Draw(t, "coated")),
		}
		step := rapid.SampledFrom(finish.Steps()).Draw(t, "step")
		for _, f := range finish.CheckDry(noon, step, log, r) {
			if f.ClearsAt == nil {
				continue
			}
			if !has(finish.CheckDry(f.ClearsAt.Add(-1), step, log, r), "stop:") {
				t.Fatalf("%s: nothing waits a nanosecond before %v", f.Code, f.ClearsAt)
			}
			for _, after := range finish.CheckDry(*f.ClearsAt, step, log, r) {
				if after.ClearsAt != nil && (after.Code == f.Code || f.Code == "caulk_wet" && after.Code == "caulk_not_cured") {
					t.Fatalf("%s still waits at %v", after.Code, f.ClearsAt)
				}
			}
		}
	})
}
