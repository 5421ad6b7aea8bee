package report_test

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/uuid"

	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/report"
	"longpoint/internal/trim"
	"longpoint/internal/walk"
)

// text is what poppler's pdftotext reads in a PDF, spaces evened out.
func text(t *testing.T, name string, pdf []byte) string {
	t.Helper()
	return strings.Join(strings.Fields(pageTexts(t, name, pdf)), " ")
}

// pageTexts is the same as it lies, a form feed after each page.
func pageTexts(t *testing.T, name string, pdf []byte) string {
	t.Helper()
	if dir := os.Getenv("LONGPOINT_REPORT_FOLDER"); dir != "" {
		if err := os.WriteFile(filepath.Join(dir, name+".pdf"), pdf, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	cmd := exec.Command("pdftotext", "-layout", "-enc", "UTF-8", "-", "-")
	cmd.Stdin = bytes.NewReader(pdf)
	var out, bad bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &bad
	if err := cmd.Run(); err != nil {
		t.Fatalf("pdftotext (Debian's poppler-utils; deploy/need.sh all installs it): %v %s", err, &bad)
	}
	return out.String()
}

func wantText(t *testing.T, name, got string, want ...string) {
	t.Helper()
	for _, w := range want {
		if w = strings.Join(strings.Fields(w), " "); !strings.Contains(got, w) {
			t.Errorf("%s: the text lacks %q:\n%.3000s", name, w, got)
		}
	}
}

func in(lang string) (joblog.Reader, report.Paper) {
	r := joblog.Reader{Language: lang, Now: noon, Style: length.Style{Unit: length.Inches, Step: length.Sixteenth}}
	if lang == "es" {
		r.Style = length.Style{Unit: length.Millimeters, Step: length.Millimeter}
	}
	return r, report.Paper{Job: "41 Larkspur Lane", Address: "41 Larkspur Lane", Language: lang, Now: noon}
}

// The sheets say what the rule book's views say, in the reader's words and unit: every piece's
// length, saw setting and mark is in the PDF's text.
func TestCutSheetSaysEveryPiece(t *testing.T) {
	t.Parallel()
	h := house(t)
	for _, lang := range []string{"en", "es"} {
		r, paper := in(lang)
		for id, room := range h.Rooms {
			var items []joblog.ItemView
			for _, it := range h.Items {
				if it.RoomID == id {
					items = append(items, joblog.ViewItem(h.Scope(nil, joblog.Command{ItemID: it.ID}), r))
				}
			}
			pdf, err := report.CutSheet(paper, room.Name, items)
			if err != nil {
				t.Fatal(err)
			}
			name := "cut-" + strings.ReplaceAll(room.Name, " ", "-") + "-" + lang
			got := text(t, name, pdf)
			rules := joblog.Words(lang)
			wantText(t, name, got, report.Words(lang)["cut_sheet"]+": "+room.Name, "1 / ", rules.Term("caution_saw"), rules.Term("caution_dust"))
			pieces := 0
			for _, it := range items {
				wantText(t, name, got, it.Name)
				for _, c := range it.Cuts {
					pieces++
					wantText(t, name, got, c.Tape.Text)
					for _, m := range c.Notes {
						wantText(t, name, got, m.Text)
					}
				}
			}
			for _, page := range strings.Split(pageTexts(t, name, pdf), "\f") {
				page = strings.Join(strings.Fields(page), " ")
				for _, it := range items {
					at := strings.LastIndex(page, it.Name+" "+it.KindLabel)
					if at >= 0 && len(it.Cuts) > 0 && !strings.Contains(page[at:], it.Cuts[0].Label) {
						t.Errorf("%s: %s stands at the foot of a page without its first piece", name, it.Name)
					}
				}
			}
			if pieces == 0 && room.Name == "Mudroom" {
				t.Error("the mudroom has no pieces: the test would prove nothing")
			}
		}
	}
}

// The sheet goes to the saw without the findings: a ripped piece says its width itself, rounded down
// where it must drop into a space, and a taper both of its ends.
func TestCutSheetSaysWhatIsRipped(t *testing.T) {
	t.Parallel()
	inch := func(whole, num, den int64) length.Length { return length.In(whole, num, den) }
	item := func(name string, unit trim.Unit, casing trim.Casing, read map[string]length.Length) joblog.ItemView {
		it := joblog.Item{Name: name, Spec: joblog.Spec{Unit: unit, CasingA: &casing}}
		for reading, v := range read {
			it.Takes = append(it.Takes, joblog.Take{Stamp: joblog.Stamp{CommandID: reading}, Reading: reading, Value: v})
		}
		r, _ := in("en")
		return joblog.ViewItem(joblog.Scope{Item: &it}, r)
	}
	casing := trim.CommonCasing()
	casing.Width = inch(2, 3, 4)
	door := item("Pantry", trim.UnitForDoor(inch(28, 0, 1), inch(80, 0, 1), inch(1, 3, 8)), casing, map[string]length.Length{
		"width_bottom": inch(30, 0, 1), "width_middle": inch(30, 0, 1), "width_top": inch(30, 0, 1), "height_hinge": inch(82, 0, 1),
		"height_strike": inch(82, 0, 1), "floor_strike_up": 0, "lean_hinge": 0, "wall_build_up": inch(4, 7, 8),
		"space_a_hinge": 39_400_000, // 39.4 mm and 7/8 of jamb and shim, less 1/8: 2.3012 in
	})
	unit := trim.CommonUnit(trim.Window)
	unit.ExtensionJambs, unit.JambThickness = true, inch(0, 3, 4)
	window := item("Landing", unit, casing, map[string]length.Length{
		"width_bottom": inch(36, 0, 1), "width_top": inch(36, 0, 1), "height_hinge": inch(48, 0, 1), "height_strike": inch(48, 0, 1),
		"depth_top_hinge": inch(2, 0, 1), "depth_bottom_hinge": inch(2, 1, 4), "depth_top_strike": inch(2, 1, 16), "depth_bottom_strike": inch(2, 1, 16),
	})
	_, paper := in("en")
	pdf, err := report.CutSheet(paper, "Hall", []joblog.ItemView{door, window})
	if err != nil {
		t.Fatal(err)
	}
	got := text(t, "cut-ripped-en", pdf)
	wantText(t, "ripped", got, "rip to 2 1/4 heavy wide", "rip to 5/16 wide", "rip to 2 1/4 wide at the foot, 2 at the top",
		"rip to 2 1/16 wide", "rip to 2 1/4 wide at the left, 2 1/16 at the right",
		"extension strip, leg, left side", "casing leg, face A, right side")
	if i := strings.Index(got, "Landing"); strings.Contains(got[i:], "hinge side") || strings.Contains(got[i:], "strike side") {
		t.Errorf("the window's pieces have hinges: %s", got[i:])
	}
}

// The card has the opening's drawing with its numbers, its stages, and a code to scan.
func TestOpeningCard(t *testing.T) {
	t.Parallel()
	h := house(t)
	for _, lang := range []string{"en", "es"} {
		r, paper := in(lang)
		for _, it := range h.Items {
			if it.Name != "Garage door" && it.Name != "Garden window" {
				continue
			}
			v := joblog.ViewItem(h.Scope(nil, joblog.Command{ItemID: it.ID}), r)
			pdf, err := report.Card(paper, v, "https://trim.example/bench/jobs/"+h.Job.ID+"/items/"+it.ID)
			if err != nil {
				t.Fatal(err)
			}
			name := "card-" + strings.ReplaceAll(it.Name, " ", "-") + "-" + lang
			got := text(t, name, pdf)
			want := []string{it.Name, v.RoomName, v.KindLabel, report.Words(lang)["card_caution"]}
			for _, s := range v.Stages {
				want = append(want, s.Label)
			}
			for _, s := range v.Drawing.Shapes {
				if s.Kind == "dim" && s.State == "taken" {
					want = append(want, s.Text)
				}
			}
			wantText(t, name, got, append(want, v.Cautions...)...)
		}
	}
}

// signed is the house with its walkthrough played to the signature.
func signed(t *testing.T) (told, string) {
	t.Helper()
	h := house(t)
	id := joblog.WalkIDs(h.State)[0]
	ada := joblog.Actor{PersonID: h.ids["ada"], Role: joblog.Guest}
	w := h.Walks[id]
	room := w.Remarks[0].RoomID
	for _, r := range []string{room, ""} {
		d := h.give(t, joblog.Command{ID: uuid.Must(uuid.NewV7()).String(), Version: 1, Kind: joblog.SignOffKind, JobID: h.Job.ID, WalkID: id, RoomID: r, At: noon,
			SignOff: &joblog.SignOff{Name: "Ada Brandt", Strokes: "M80 200 L300 90 L340 240 L480 80 L600 260 M640 120 L900 180", Open: w.OpenIn(r)}}, ada, noon)
		if d.Refused {
			t.Fatalf("signing: %+v", d.Findings)
		}
	}
	return h, id
}

// The punch list has each remark with its state, its words and its photo; the record has the
// signatures, what was open, and the seal.
func TestPunchListAndRecord(t *testing.T) {
	t.Parallel()
	h, id := signed(t)
	const value = "0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef"
	for _, lang := range []string{"en", "es"} {
		r, paper := in(lang)
		crew := joblog.ViewWalk(h.State, id, joblog.Lead, nil, r)
		pdf, err := report.PunchList(paper, crew, "Ada Brandt", map[string]string{h.ids["ruth"]: "Ruth Calloway"}, func(id string) []byte { return h.photos[id] })
		if err != nil {
			t.Fatal(err)
		}
		got := text(t, "punch-"+lang, pdf)
		var want []string
		for _, room := range crew.Rooms {
			want = append(want, room.Name)
			for _, m := range room.Remarks {
				want = append(want, m.Sentence, m.StateLabel)
				for _, move := range m.Moves {
					want = append(want, "Ruth Calloway: "+move.Sentence)
				}
			}
		}
		wantText(t, "punch-"+lang, got, append(want, report.Words(lang)["before_repair"])...)
		if bytes.Count(pdf, []byte("/Subtype /Image")) < 1 {
			t.Errorf("%s: the punch list has no photo in it", lang)
		}
		pdf, err = report.Record(paper, joblog.ViewWalk(h.State, id, joblog.Guest, nil, r), "Ada Brandt", value)
		if err != nil {
			t.Fatal(err)
		}
		got = text(t, "record-"+lang, pdf)
		wantText(t, "record-"+lang, got, report.Words(lang)["record"], report.Words(lang)["not_inspection"], "Ada Brandt, 2026-03-04 12:00 UTC",
			report.Words(lang)["open_then"], "Back hall door: ", "01234567 89abcdef 01234567", report.Words(lang)["not_signed"])
		if strings.Contains(got, "Ruth") {
			t.Errorf("%s: the homeowner's record names the crew", lang)
		}
	}
	if joblog.ViewWalk(h.State, id, joblog.Guest, nil, joblog.Reader{Now: noon}).Rooms[0].Remarks[0].State != walk.Said {
		t.Error("the walk of the test is another than its story")
	}
}

// The log's sheet has every entry, in order.
func TestLogSheet(t *testing.T) {
	t.Parallel()
	h := house(t)
	for _, lang := range []string{"en", "es"} {
		r, paper := in(lang)
		var lines []report.LogLine
		for _, e := range h.log {
			lines = append(lines, report.LogLine{EntryView: joblog.ViewEntry(e, r), Who: "Ñandú Peña", Where: "Mudroom"})
		}
		pdf, err := report.Log(paper, lines)
		if err != nil {
			t.Fatal(err)
		}
		again, err := report.Log(paper, lines)
		if err != nil || !bytes.Equal(pdf, again) {
			t.Errorf("%s: made twice it differs (%v)", lang, err)
		}
		got := text(t, "log-"+lang, pdf)
		wantText(t, "log-"+lang, got, "Ñandú Peña", report.Words(lang)["log_is_record"])
		for _, l := range lines {
			first := strings.Fields(l.Sentence)[0]
			wantText(t, "log-"+lang, got, first)
		}
		if n := strings.Count(got, "Ñandú Peña"); n != len(lines) {
			t.Errorf("%s: %d of %d entries are in the PDF", lang, n, len(lines))
		}
	}
}

func TestSheetsSpeakBothLanguages(t *testing.T) {
	t.Parallel()
	en, es := report.Words("en"), report.Words("es")
	for k, v := range en {
		if es[k] == "" || es[k] == v && k != "of" {
			t.Errorf("%s: %q in English, %q in Spanish", k, v, es[k])
		}
	}
	if len(en) != len(es) {
		t.Errorf("%d words in English, %d in Spanish", len(en), len(es))
	}
}
