package finish_test

import (
	"math"
	"testing"
	"time"

	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
	"longpoint/internal/stage"

	"pgregory.net/rapid"
)

var noon = time.Date(2026, 3, 4, 12, 0, 0, 0, time.UTC)

// laid is something put on minutes ago, dried by the house rule.
func laid(minutes int) []finish.Laid { return []finish.Laid{{At: *ago(minutes)}} }

// fill is filler that went in minutes ago and was sanded, when that is not nil.
func fill(minutes int, sanded *time.Time) []finish.Fill {
	return []finish.Fill{{Laid: finish.Laid{At: *ago(minutes)}, SandedAt: sanded}}
}

func byFillerSheet(minutes int, celsius finish.Tenths) []finish.Fill {
	f := fill(minutes, nil)
	f[0].Product, f[0].Sheet, f[0].Celsius = "Smooth filler", fillerSheet(), &celsius
	return f
}

func ago(minutes int) *time.Time { return ptr(noon.Add(-time.Duration(minutes) * time.Minute)) }

func at(celsius float64) finish.Weather {
	return finish.Weather{Celsius: ptr(finish.Tenths(10 * celsius))}
}

func damp(w finish.Weather, humidity float64) finish.Weather {
	w.Humidity = ptr(finish.Tenths(10 * humidity))
	return w
}

func twoRows(minutes int) []finish.Fill {
	f := byFillerSheet(minutes, 200)
	f[0].Sheet.Times = append(f[0].Sheet.Times, finish.SheetTime{Phase: finish.FillerSand, Celsius: 200, Minutes: 40})
	return f
}

// fillerSheet is invented: 90 minutes at 10 C, 45 at 20 C, 30 at 30 C.
func fillerSheet() finish.Sheet {
	return finish.Sheet{Times: []finish.SheetTime{
		{Phase: finish.FillerDry, Celsius: 200, Minutes: 45},
		{Phase: finish.FillerDry, Celsius: 100, Minutes: 90},
		{Phase: finish.FillerDry, Celsius: 300, Minutes: 30},
		{Phase: finish.CaulkSkin, Celsius: 50, Minutes: 999},
	}}
}

func TestWaitFor(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name string
		air  finish.Weather
		want finish.Wait
	}{
		{"at a row", at(20), finish.Wait{Minutes: 45, From: "sheet"}},
		{"just under a row", at(19.9), finish.Wait{Minutes: 90, From: "sheet"}},
		{"between", at(15), finish.Wait{Minutes: 90, From: "sheet"}},
		{"between, warm", at(25), finish.Wait{Minutes: 45, From: "sheet"}},
		{"hotter than the sheet", at(35), finish.Wait{Minutes: 30, From: "sheet"}},
		{"colder than the sheet", at(5), finish.Wait{Minutes: 120, From: "sheet", Colder: true}},
		{"as cold as its coldest row, to 1 °F", at(9.4), finish.Wait{Minutes: 90, From: "sheet"}},
		{"colder than that", at(9.3), finish.Wait{Minutes: 120, From: "sheet", Colder: true}},
		{"no temperature", finish.Weather{}, finish.Wait{Minutes: 90, From: "sheet"}},
		{"humidity the sheet does not ask for", damp(at(20), 95), finish.Wait{Minutes: 45, From: "sheet"}},
	} {
		if got := finish.WaitFor(finish.FillerDry, fillerSheet(), tt.air, houserules.Defaults()); got != tt.want {
			t.Errorf("%s: %+v, want %+v", tt.name, got, tt.want)
		}
	}
}

// TestWaitForByHumidity reads an invented sheet of paint: at 20 °C 120 minutes in air of 40 %
// and 200 in air of 70 %; at 30 °C 90 minutes in any air.
func TestWaitForByHumidity(t *testing.T) {
	t.Parallel()
	sheet := finish.Sheet{Times: []finish.SheetTime{
		{Phase: finish.Recoat, Celsius: 200, Humidity: ptr(finish.Tenths(700)), Minutes: 200},
		{Phase: finish.Recoat, Celsius: 200, Humidity: ptr(finish.Tenths(400)), Minutes: 120},
		{Phase: finish.Recoat, Celsius: 300, Minutes: 90},
	}}
	for _, tt := range []struct {
		name string
		air  finish.Weather
		want finish.Wait
	}{
		{"at a row", damp(at(20), 40), finish.Wait{Minutes: 120, From: "sheet"}},
		{"at the other", damp(at(20), 70), finish.Wait{Minutes: 200, From: "sheet"}},
		{"between", damp(at(20), 40.1), finish.Wait{Minutes: 200, From: "sheet"}},
		{"drier than the sheet", damp(at(20), 30), finish.Wait{Minutes: 200, From: "sheet"}},
		{"damper than the sheet", damp(at(20), 70.1), finish.Wait{Minutes: 240, From: "sheet", Damper: true}}, // house rule 240
		{"humidity not read", at(20), finish.Wait{Minutes: 200, From: "sheet"}},
		{"warmer, between the rows", damp(at(25), 40), finish.Wait{Minutes: 120, From: "sheet"}},
		{"at the row for any air", damp(at(30), 99), finish.Wait{Minutes: 90, From: "sheet"}},
		{"nothing read", finish.Weather{}, finish.Wait{Minutes: 200, From: "sheet"}},
	} {
		if got := finish.WaitFor(finish.Recoat, sheet, tt.air, houserules.Defaults()); got != tt.want {
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
		got := finish.WaitFor(phase, finish.Sheet{}, at(20), r)
		if got.Minutes != want || got.From != "house_rule" {
			t.Errorf("%s: %+v, want %d from the house rule", phase, got, want)
		}
	}
	if got := finish.WaitFor(finish.FillerSand, fillerSheet(), at(20), r); got.Minutes != 45 || got.From != "sheet" {
		t.Errorf("sanding, by the sheet's drying time: %+v, want 45 from the sheet", got)
	}
	if got := finish.WaitFor(finish.CaulkCure, fillerSheet(), at(20), r); got.Minutes != 240 || got.From != "house_rule" {
		t.Errorf("curing is not skinning: %+v, want 240 from the house rule", got)
	}
	bad := finish.Sheet{Times: []finish.SheetTime{{Phase: finish.Recoat, Celsius: 601, Minutes: 1}, {Phase: finish.Recoat, Celsius: 200, Minutes: -5}, {Phase: finish.Recoat, Celsius: 200, Humidity: ptr(finish.Tenths(1001)), Minutes: 9}}}
	if got := finish.WaitFor(finish.Recoat, bad, at(20), r); got.Minutes != 240 || got.From != "house_rule" {
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
		{finish.SheetTime{Phase: finish.Recoat, Celsius: 200, Minutes: 0}, "stop:sheet_time_bad"},
		{finish.SheetTime{Phase: finish.Recoat, Celsius: 200, Minutes: finish.MostWait + 1}, "stop:sheet_time_bad"},
		{finish.SheetTime{Phase: finish.Recoat, Celsius: 700, Minutes: 60}, "stop:sheet_time_bad"}, // Fahrenheit, surely
		{finish.SheetTime{Phase: finish.Recoat, Celsius: math.MaxInt64, Minutes: 60}, "stop:sheet_time_bad"},
		{finish.SheetTime{Phase: finish.Recoat, Celsius: 200, Humidity: ptr(finish.Tenths(-1)), Minutes: 60}, "stop:sheet_time_bad"},
		{finish.SheetTime{Phase: "glue", Celsius: 200, Minutes: 60}, "stop:entry_unknown"},
	} {
		if got := codes(finish.CheckSheet(finish.Sheet{Times: []finish.SheetTime{tt.row}})); got != tt.want {
			t.Errorf("%+v: %q, want %q", tt.row, got, tt.want)
		}
	}
	if got := codes(finish.CheckSheet(finish.Sheet{Coldest: ptr(finish.Tenths(700))})); got != "stop:air_bad" {
		t.Errorf("put on at 70 °C: %q, want stop:air_bad", got)
	}
	if got := codes(finish.CheckSheet(finish.Sheet{Times: make([]finish.SheetTime, 101)})); got != "stop:sheet_too_long" {
		t.Errorf("101 rows: %q, want stop:sheet_too_long", got)
	}
}

// Whatever the sheet and the air, the wait is never shorter than a row beside it, never made
// up, never longer for knowing more, and does not depend on the order of the rows.
func TestWaitIsNeverFasterThanTheSheet(t *testing.T) {
	t.Parallel()
	r := houserules.Defaults()
	rapid.Check(t, func(t *rapid.T) {
		rows := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) finish.SheetTime {
			x := finish.SheetTime{Phase: finish.CaulkCure, Celsius: finish.Tenths(10 * rapid.IntRange(-5, 45).Draw(t, "c")), Minutes: rapid.Int64Range(1, 2000).Draw(t, "m")}
			if rapid.Bool().Draw(t, "says humidity") {
				x.Humidity = ptr(finish.Tenths(100 * rapid.IntRange(0, 10).Draw(t, "h")))
			}
			return x
		}), 1, 8).Draw(t, "rows")
		celsius, humidity := finish.Tenths(5*rapid.IntRange(-20, 100).Draw(t, "half degrees")), finish.Tenths(50*rapid.IntRange(0, 20).Draw(t, "humidity"))
		air := finish.Weather{Celsius: &celsius, Humidity: &humidity}
		got := finish.WaitFor(finish.CaulkCure, finish.Sheet{Times: rows}, air, r)

		below, above := finish.Tenths(math.MinInt32), finish.Tenths(math.MaxInt32)
		made, slowest := (got.Colder || got.Damper) && got.Minutes == r.CaulkCure, int64(0)
		for _, x := range rows {
			made, slowest = made || x.Minutes == got.Minutes, max(slowest, x.Minutes)
			if x.Celsius <= celsius {
				below = max(below, x.Celsius)
			}
			if x.Celsius >= celsius {
				above = min(above, x.Celsius)
			}
		}
		if !made {
			t.Fatalf("%d minutes stand on no row of %v", got.Minutes, rows)
		}
		for _, x := range rows {
			beside := x.Celsius == below || x.Celsius == above
			sure := x.Humidity == nil || *x.Humidity == humidity // of rows that give a humidity only this one must count
			if beside && sure && got.Minutes < x.Minutes {
				t.Fatalf("at %v: %d minutes, but a row beside it says %+v", celsius, got.Minutes, x)
			}
		}
		// Half a degree under the coldest row is that row's air still: thermometers show no less than 1 °F.
		if got.Colder != (below == math.MinInt32 && above > celsius+5) {
			t.Fatalf("at %v: colder %v, nearest rows %v and %v", celsius, got.Colder, below, above)
		}
		if blind := finish.WaitFor(finish.CaulkCure, finish.Sheet{Times: rows}, finish.Weather{}, r); blind.Minutes != slowest ||
			!got.Colder && !got.Damper && got.Minutes > blind.Minutes {
			t.Fatalf("with nothing read %d minutes, with the air read %d, slowest row %d", blind.Minutes, got.Minutes, slowest)
		}
		turned := rapid.Permutation(rows).Draw(t, "turned")
		if again := finish.WaitFor(finish.CaulkCure, finish.Sheet{Times: turned}, air, r); again != got {
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
		{"sand wet filler", finish.Sand, finish.DryLog{Filled: fill(119, nil)}, "stop:filler_not_dry", ago(-1)},
		{"sand dry filler", finish.Sand, finish.DryLog{Filled: fill(120, nil)}, "", nil},
		{"caulk before filling", finish.CaulkStep, finish.DryLog{HolesOpen: true}, "warn:fill_before_caulk", nil},
		{"caulk, nothing to fill", finish.CaulkStep, finish.DryLog{}, "", nil},
		{"paint wet caulk", finish.FirstCoat, finish.DryLog{Caulked: laid(29)}, "stop:caulk_wet", ago(-211)},
		{"paint skinned caulk", finish.FirstCoat, finish.DryLog{Caulked: laid(30)}, "stop:caulk_not_cured", ago(-210)},
		{"paint cured caulk", finish.FirstCoat, finish.DryLog{Caulked: laid(240)}, "", nil},
		{"paint raw filler", finish.FirstCoat, finish.DryLog{Filled: fill(500, nil)}, "stop:sand_before_paint", nil},
		{"paint wet filler", finish.FirstCoat, finish.DryLog{Filled: fill(10, nil)}, "stop:filler_not_dry stop:sand_before_paint", ago(-110)},
		{"sanded too soon", finish.FirstCoat, finish.DryLog{Filled: fill(500, ago(381))}, "stop:sanded_too_soon", nil},
		{"sanded in time", finish.FirstCoat, finish.DryLog{Filled: fill(500, ago(380))}, "", nil},
		{"filled again after sanding", finish.FirstCoat, finish.DryLog{Filled: fill(300, ago(400))}, "stop:sand_before_paint", nil},
		{"caulked before filled", finish.FirstCoat, finish.DryLog{Filled: fill(500, ago(300)), Caulked: laid(600)}, "warn:caulked_before_filled", nil},
		{"recoat too soon", finish.NextCoat, finish.DryLog{Coated: laid(239)}, "stop:coat_not_dry", ago(-1)},
		{"recoat", finish.NextCoat, finish.DryLog{Coated: laid(240)}, "", nil},
		{"the clock is ahead", finish.NextCoat, finish.DryLog{Coated: laid(-10)}, "stop:coat_not_dry warn:logged_ahead_of_clock", ago(-250)},
		{"sheet at 20 C", finish.Sand, finish.DryLog{Filled: byFillerSheet(44, 200)}, "stop:filler_not_dry", ago(-1)},
		{"sheet, dry", finish.Sand, finish.DryLog{Filled: twoRows(45)}, "", nil},
		{"colder than the sheet", finish.Sand, finish.DryLog{Filled: byFillerSheet(500, 50)}, "warn:colder_than_sheet", nil},
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

// TestManyLaid judges each fill and bead by its own product and time; the last to be ready decides.
func TestManyLaid(t *testing.T) {
	t.Parallel()
	r := houserules.Defaults()
	quick := byFillerSheet(50, 200)[0] // dry in 45 minutes, 5 minutes ago
	slow := finish.Fill{Laid: finish.Laid{Entry: "slow", At: *ago(60)}}
	for name, tt := range map[string]struct {
		step   finish.Step
		log    finish.DryLog
		want   string
		clears *time.Time
	}{
		"the slow filler decides":          {finish.Sand, finish.DryLog{Filled: []finish.Fill{slow, quick}}, "stop:filler_not_dry", ago(-60)},
		"each sanded in its own time":      {finish.FirstCoat, finish.DryLog{Filled: []finish.Fill{{Laid: quick.Laid, SandedAt: ago(5)}, {Laid: finish.Laid{At: *ago(500)}, SandedAt: ago(380)}}}, "", nil},
		"one of two sanded too soon":       {finish.FirstCoat, finish.DryLog{Filled: []finish.Fill{{Laid: quick.Laid, SandedAt: ago(5)}, {Laid: finish.Laid{At: *ago(500)}, SandedAt: ago(381)}}}, "stop:sanded_too_soon", nil},
		"putty without a sheet":            {finish.NextCoat, finish.DryLog{Puttied: laid(1)}, "", nil},
		"putty with one":                   {finish.NextCoat, finish.DryLog{Puttied: []finish.Laid{{At: *ago(10), Sheet: finish.Sheet{Times: []finish.SheetTime{{Phase: finish.Recoat, Celsius: 200, Minutes: 30}}}}}}, "stop:putty_not_dry", ago(-20)},
		"the first bead of two is not yet": {finish.FirstCoat, finish.DryLog{Caulked: append(laid(500), laid(239)...)}, "stop:caulk_not_cured", ago(-1)},
	} {
		fs := finish.CheckDry(noon, tt.step, tt.log, r)
		if got := codes(fs); got != tt.want {
			t.Errorf("%s: %q, want %q", name, got, tt.want)
		} else if tt.clears != nil && !fs[0].ClearsAt.Equal(*tt.clears) {
			t.Errorf("%s: clears at %v, want %v", name, fs[0].ClearsAt, tt.clears)
		}
	}
	first := finish.CheckDry(noon, finish.Sand, finish.DryLog{Filled: []finish.Fill{byFillerSheet(10, 200)[0]}}, r)[0]
	if got := finding.In("en").Render(first, length.Style{}).Basis; got != "Drying time from Smooth filler: 45 minutes." {
		t.Errorf("basis %q, want the product and its 45 minutes", got)
	}
	house := finish.CheckDry(noon, finish.NextCoat, finish.DryLog{Coated: laid(10)}, r)[0]
	if got := finding.In("en").Render(house, length.Style{}).Basis; got != "Drying time from the house rule: 240 minutes." {
		t.Errorf("basis %q, want the house rule and its 240 minutes", got)
	}
}

func TestPutOnTooCold(t *testing.T) {
	t.Parallel()
	sheet := finish.Sheet{Coldest: ptr(finish.Tenths(100))} // 10 °C, invented
	put := func(celsius *finish.Tenths) []finish.Laid {
		return []finish.Laid{{Entry: "x", Product: "Gloss", Sheet: sheet, Weather: finish.Weather{Celsius: celsius}}}
	}
	if fs := finish.CheckLaid(stage.Painted, put(ptr(finish.Tenths(100)))); len(fs) > 0 {
		t.Errorf("at the sheet's own 10 °C: %s", codes(fs))
	}
	if fs := finish.CheckLaid(stage.Painted, put(nil)); len(fs) > 0 {
		t.Errorf("with no temperature read: %s", codes(fs))
	}
	fs := finish.CheckLaid(stage.Painted, put(ptr(finish.Tenths(99))))
	if codes(fs) != "stop:put_on_too_cold" || fs[0].About != "x" || fs[0].Stage != "painted" {
		t.Fatalf("at 9.9 °C: %+v, want put_on_too_cold of entry x at painted", fs)
	}
	for unit, want := range map[length.Unit]string{
		length.Millimeters: "Gloss went on at 9.9 °C; its sheet asks for 10 °C or more.",
		length.Inches:      "Gloss went on at 40 °F; its sheet asks for 50 °F or more.",
	} {
		fs := finish.CheckLaid(stage.Painted, put(ptr(finish.Tenths(map[length.Unit]int64{length.Millimeters: 99, length.Inches: 44}[unit]))))
		if got := finding.In("en").Render(fs[0], length.Style{Unit: unit}).Sentence; got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// TestOneDegreeUnderTheSheetsOnlyRow: most labels give one row, "70 °F (21 °C), 50 %". A room
// typed as 69 °F is that row's; one of 60 °F is not covered, and the person is told so.
func TestOneDegreeUnderTheSheetsOnlyRow(t *testing.T) {
	t.Parallel()
	label := finish.Sheet{Times: []finish.SheetTime{{Phase: finish.CaulkCure, Celsius: 211, Minutes: 180}}} // invented
	at := func(fahrenheit int) finish.Weather {
		return finish.Weather{Celsius: ptr(finish.Tenths(math.Round(float64(fahrenheit-32) * 50 / 9)))}
	}
	for f, colder := range map[int]bool{71: false, 70: false, 69: false, 68: true, 60: true} {
		if got := finish.WaitFor(finish.CaulkCure, label, at(f), houserules.Defaults()); got.Colder != colder || !colder && got.Minutes != 180 || colder && got.Minutes != 240 {
			t.Errorf("%d °F: %+v, want colder %v", f, got, colder)
		}
	}
	fs := finish.CheckDry(noon, finish.FirstCoat, finish.DryLog{Caulked: []finish.Laid{{At: *ago(500), Product: "Bead", Sheet: label, Weather: at(60)}}}, houserules.Defaults())
	if codes(fs) != "warn:colder_than_sheet" {
		t.Fatalf("at 60 °F: %s", codes(fs))
	}
	if got := finding.In("en").Render(fs[0], length.Style{Unit: length.Inches}).Sentence; got != "It was 60 °F, colder than any row of the product's sheet for this: caulk skinning. How long it takes there the sheet does not say." {
		t.Errorf("%q", got)
	}
}

func TestCheckProduct(t *testing.T) {
	t.Parallel()
	row := func(p finish.Phase) finish.Sheet {
		return finish.Sheet{Times: []finish.SheetTime{{Phase: p, Celsius: 200, Minutes: 60}}}
	}
	for name, tt := range map[string]struct {
		p    finish.Product
		want string
	}{
		"filler":              {finish.Product{Kind: finish.FillerProduct, Sheet: row(finish.FillerSand)}, ""},
		"caulk with a class":  {finish.Product{Kind: finish.CaulkProduct, Sheet: row(finish.CaulkCure), Class: finish.Class35}, ""},
		"putty":               {finish.Product{Kind: finish.PuttyProduct, Sheet: row(finish.Recoat)}, ""},
		"adhesive":            {finish.Product{Kind: finish.AdhesiveProduct, Sheet: row(finish.CaulkCure)}, ""},
		"no sheet at all":     {finish.Product{Kind: finish.PaintProduct}, ""},
		"kind":                {finish.Product{Kind: "wax"}, "stop:entry_unknown"},
		"filler that recoats": {finish.Product{Kind: finish.FillerProduct, Sheet: row(finish.Recoat)}, "stop:sheet_row_of_another"},
		"paint with a class":  {finish.Product{Kind: finish.PaintProduct, Class: finish.Class25}, "stop:class_of_another"},
		"latex filler":        {finish.Product{Kind: finish.FillerProduct, Latex: true}, "stop:class_of_another"},
		"class 7":             {finish.Product{Kind: finish.CaulkProduct, Class: 70}, "stop:sealant_class_unknown"},
	} {
		if got := codes(finish.CheckProduct(tt.p)); got != tt.want {
			t.Errorf("%s: %q, want %q", name, got, tt.want)
		}
	}
}

// A finding that says when it clears is there a nanosecond before and gone at that moment.
func TestWaitingClearsWhatItSays(t *testing.T) {
	t.Parallel()
	r := houserules.Defaults()
	rapid.Check(t, func(t *rapid.T) {
		log := finish.DryLog{
			Caulked: laid(rapid.IntRange(0, 300).Draw(t, "caulked")),
			Filled:  fill(rapid.IntRange(0, 300).Draw(t, "filled"), nil),
			Coated:  laid(rapid.IntRange(0, 300).Draw(t, "coated")),
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
