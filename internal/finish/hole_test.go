package finish_test

import (
	"testing"

	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// The whole matrix, written out: 6 kinds × 4 treatments × 2 grades × sanded × after the first
// coat. Common practice.
func TestHoleMatrix(t *testing.T) {
	t.Parallel()
	type cell struct {
		kind  finish.Kind
		with  finish.Treatment
		grade trim.Grade
	}
	// Codes for: raw, sanded, after the first coat, both.
	want := map[cell][4]string{}
	same := func(c string) [4]string { return [4]string{c, c, c, c} }
	for _, k := range finish.Kinds() {
		want[cell{k, finish.LeftOpen, trim.Paint}] = same("holes_untreated")
		want[cell{k, finish.Putty, trim.Paint}] = same("putty_under_paint")
		want[cell{k, finish.Filler, trim.Paint}] = [4]string{"filler_not_sanded", "", "filler_not_sanded", ""}
		want[cell{k, finish.LeftOpen, trim.Stain}] = same("holes_untreated")
		want[cell{k, finish.Caulk, trim.Stain}] = same("caulk_under_stain")
		want[cell{k, finish.Filler, trim.Stain}] = same("filler_under_stain")
		want[cell{k, finish.Putty, trim.Stain}] = [4]string{"putty_too_soon", "putty_too_soon", "", ""}
	}
	want[cell{finish.Pin23, finish.Caulk, trim.Paint}] = same("")
	want[cell{finish.Brad18, finish.Caulk, trim.Paint}] = same("")
	want[cell{finish.Finish16, finish.Caulk, trim.Paint}] = same("caulk_in_large_hole")
	want[cell{finish.Finish15, finish.Caulk, trim.Paint}] = same("caulk_in_large_hole")
	want[cell{finish.HandFinish, finish.Caulk, trim.Paint}] = same("caulk_in_large_hole")
	want[cell{finish.TrimScrew, finish.Caulk, trim.Paint}] = same("caulk_in_large_hole")
	if len(want) != 6*4*2 {
		t.Fatalf("matrix has %d cells, want 48", len(want))
	}
	for c, codesWant := range want {
		for i, code := range codesWant {
			fs := finish.CheckTreatment(c.kind, c.with, c.grade, i&1 == 1, i&2 == 2)
			got := ""
			if len(fs) > 0 {
				got = fs[0].Code
			}
			if got != code || len(fs) > 1 {
				t.Errorf("%s with %s under %s (sanded %v, after coat %v): %q (%d findings), want %q",
					c.kind, c.with, c.grade, i&1 == 1, i&2 == 2, got, len(fs), code)
			}
			if len(fs) > 0 && (fs[0].Severity != finding.Stop || fs[0].Stage != "filled") {
				t.Errorf("%s: %s on %s, want a stop on filled", got, fs[0].Severity, fs[0].Stage)
			}
		}
	}
}

func TestCheckTreatmentRefusesUnknownWords(t *testing.T) {
	t.Parallel()
	for name, fs := range map[string][]finding.Finding{
		"kind":      finish.CheckTreatment("staple", finish.Filler, trim.Paint, true, true),
		"treatment": finish.CheckTreatment(finish.Brad18, "chewing_gum", trim.Paint, true, true),
		"grade":     finish.CheckTreatment(finish.Brad18, finish.Filler, "", true, true),
	} {
		if got, want := codes(fs), "stop:entry_unknown"; got != want {
			t.Errorf("unknown %s: %q, want %q", name, got, want)
		}
	}
}

func TestCaulkRefusalReads(t *testing.T) {
	t.Parallel()
	fs := finish.CheckTreatment(finish.Finish16, finish.Caulk, trim.Paint, false, false)
	f := finding.In("en").Render(fs[0], length.Style{Unit: length.Inches})
	if want := "16-gauge holes can't be caulked: it shrinks and dimples."; f.Sentence != want {
		t.Errorf("sentence %q, want %q", f.Sentence, want)
	}
	if want := "Fill and sand them."; f.Remedy != want {
		t.Errorf("remedy %q, want %q", f.Remedy, want)
	}
}

func TestHolesUnderTheStopDoNotShow(t *testing.T) {
	t.Parallel()
	got := finish.HoleKindsOf([]finish.Fastener{
		{Kind: finish.Finish15, Length: in(2, 1, 2), Count: 12, Where: finish.HiddenUnderStop},
		{Kind: finish.Brad18, Length: in(1, 1, 4), Count: 20, Where: finish.JambEdge},
		{Kind: finish.Finish16, Length: in(2, 0, 0), Count: 18, Where: finish.Stud},
		{Kind: finish.Brad18, Length: in(1, 0, 0), Count: 6, Where: finish.StopFace},
		{Kind: finish.Finish16, Length: in(2, 0, 0), Count: -5, Where: finish.Stud},
	})
	want := []finish.Hole{{Kind: finish.Brad18, Count: 26}, {Kind: finish.Finish16, Count: 18}}
	if len(got) != len(want) || got[0] != want[0] || got[1] != want[1] {
		t.Errorf("HoleKindsOf = %v, want %v", got, want)
	}
}

func TestMissingTreatments(t *testing.T) {
	t.Parallel()
	driven := []finish.Fastener{
		{Kind: finish.Finish15, Length: in(2, 1, 2), Count: 12, Where: finish.HiddenUnderStop},
		{Kind: finish.Brad18, Length: in(1, 1, 4), Count: 20, Where: finish.JambEdge},
		{Kind: finish.Finish16, Length: in(2, 0, 0), Count: 18, Where: finish.Stud},
	}
	filled := finish.Treated{Kind: finish.Finish16, With: finish.Filler, Sanded: true}
	caulked := finish.Treated{Kind: finish.Finish16, With: finish.Caulk}
	small := finish.Treated{Kind: finish.Brad18, With: finish.Caulk}
	for _, tt := range []struct {
		name    string
		treated []finish.Treated
		want    string
	}{
		{"nothing", nil, "stop:holes_untreated stop:holes_untreated"},
		{"one kind left", []finish.Treated{small}, "stop:holes_untreated"},
		{"all", []finish.Treated{small, filled}, ""},
		{"caulked by mistake", []finish.Treated{small, caulked}, "stop:caulk_in_large_hole"},
		{"dug out and filled", []finish.Treated{small, caulked, filled}, ""},
		{"caulked over", []finish.Treated{small, filled, caulked}, "stop:caulk_in_large_hole"},
	} {
		if got := codes(finish.MissingTreatments(driven, tt.treated, trim.Paint)); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}

// Caulk may fill 23- and 18-gauge holes, so those may stay open when it goes on (common practice).
func TestHolesOpen(t *testing.T) {
	t.Parallel()
	brads := finish.Fastener{Kind: finish.Brad18, Length: in(1, 1, 4), Count: 20, Where: finish.JambEdge}
	nails := finish.Fastener{Kind: finish.Finish16, Length: in(2, 0, 0), Count: 18, Where: finish.Stud}
	hidden := finish.Fastener{Kind: finish.Finish15, Length: in(2, 1, 2), Count: 12, Where: finish.HiddenUnderStop}
	put := func(with finish.Treatment) []finish.Treated {
		return []finish.Treated{{Kind: finish.Finish16, With: with}}
	}
	for _, tt := range []struct {
		name    string
		driven  []finish.Fastener
		treated []finish.Treated
		grade   trim.Grade
		want    bool
	}{
		{"no holes", nil, nil, trim.Paint, false},
		{"16 gauge", []finish.Fastener{brads, nails}, nil, trim.Paint, true},
		{"16 gauge filled, brads open", []finish.Fastener{brads, nails}, put(finish.Filler), trim.Paint, false},
		{"16 gauge caulked by mistake", []finish.Fastener{nails}, put(finish.Caulk), trim.Paint, true},
		{"filled, then left", []finish.Fastener{nails}, append(put(finish.Filler), put(finish.LeftOpen)...), trim.Paint, true},
		{"brads alone", []finish.Fastener{brads}, nil, trim.Paint, false},
		{"under the stop", []finish.Fastener{hidden}, nil, trim.Paint, false},
		{"stain takes no filler", []finish.Fastener{nails}, nil, trim.Stain, false},
	} {
		if got := finish.HolesOpen(tt.driven, tt.treated, tt.grade); got != tt.want {
			t.Errorf("%s: %v, want %v", tt.name, got, tt.want)
		}
	}
}
