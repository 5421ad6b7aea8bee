package httpapi_test

import (
	"bytes"
	"net/http"
	"os/exec"
	"strings"
	"testing"

	"longpoint/internal/joblog"
	"longpoint/internal/walk"
)

// pdfText is what poppler reads in an answer that has to be a PDF.
func (a answer) pdfText() string {
	a.t.Helper()
	a.want(http.StatusOK)
	if got := a.header.Get("Content-Type"); got != "application/pdf" {
		a.t.Fatalf("%s: content type %q, want a PDF", a.what, got)
	}
	cmd := exec.Command("pdftotext", "-layout", "-", "-")
	cmd.Stdin = bytes.NewReader(a.body)
	out, err := cmd.Output()
	if err != nil {
		a.t.Fatalf("%s: pdftotext (Debian's poppler-utils): %v", a.what, err)
	}
	return strings.Join(strings.Fields(string(out)), " ")
}

// Sheets go to who may see what they show, in their words.
func TestSheetsAndWhoMaySeeThem(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	link := openWalk(b, h, nil)
	ada, _ := enter(b, secretOf(t, link), "")
	said := joblog.Command{Kind: joblog.SayRemarkKind, WalkID: link.WalkID, RoomID: h.room, ItemID: h.item, SayRemark: &joblog.SayRemark{About: walk.Rubs, Text: "a la derecha: ñ"}}
	if out := ada.say(h, said); !out.Outcomes[0].Applied {
		t.Fatalf("a remark: %+v", out.Outcomes[0].Findings)
	}
	walkPath := "/walks/" + link.WalkID
	for path, want := range map[string][]string{
		"/rooms/" + h.room + "/cut-sheet.pdf": {"Cut sheet: ", "Hall door", "Saw: guard in place"},
		"/items/" + h.item + "/card.pdf":      {"Hall door", "Scan to open"},
		"/log.pdf":                            {"Job log", "Ines", "Ada Brandt", "Homeowner: It rubs or sticks"},
		walkPath + "/punch-list.pdf":          {"Punch list for Ada Brandt", "It rubs or sticks: a la derecha: ñ", "waiting for your answer"},
		walkPath + "/record.pdf":              {"Sign-off record for Ada Brandt", "Not signed.", "No seal"},
	} {
		got := h.lead.get(h.path(path)).pdfText()
		for _, w := range want {
			if !strings.Contains(got, w) {
				t.Errorf("%s lacks %q: %.800s", path, w, got)
			}
		}
		es := h.lead.get(h.path(path + "?language=es&unit=mm")).pdfText()
		if es == got || strings.Contains(es, want[len(want)-1]) && !strings.Contains(path, "log") {
			t.Errorf("%s reads the same in Spanish: %.300s", path, es)
		}
		b.as(b.strangers.lead).get(h.path(path)).refused(http.StatusNotFound, "not_found")
		ada.do(http.MethodGet, h.path(path), nil, ada.header()).refused(http.StatusUnauthorized, "unauthorized")
	}
	// The homeowner's own: their words, and nobody of the crew by name.
	got := ada.do(http.MethodGet, "/api/v1/walk/punch-list.pdf", nil, ada.header()).pdfText()
	if !strings.Contains(got, "waiting for the crew's answer") || strings.Contains(got, "Ines") {
		t.Errorf("the homeowner's punch list: %.500s", got)
	}
	sign := joblog.Command{Kind: joblog.SignOffKind, WalkID: link.WalkID, SignOff: &joblog.SignOff{Name: "Ada Brandt", Strokes: "M1 1 L90 90",
		Open: ada.page().View.Open}}
	if out := ada.say(h, sign); !out.Outcomes[0].Applied {
		t.Fatalf("signing: %+v", out.Outcomes[0].Findings)
	}
	record := ada.do(http.MethodGet, "/api/v1/walk/record.pdf", nil, ada.header()).pdfText()
	for _, w := range []string{"Signed by Ada Brandt", "Open by agreement", "Hall door: It rubs or sticks", "through entry"} {
		if !strings.Contains(record, w) {
			t.Errorf("the signed record lacks %q: %.800s", w, record)
		}
	}
	ada.do(http.MethodGet, "/api/v1/walk/record.pdf", nil, nil).refused(http.StatusUnauthorized, "unauthorized")
}
