package httpapi_test

import (
	"encoding/csv"
	"encoding/json"
	"net/http"
	"strings"
	"testing"

	"longpoint/internal/httpapi"
	"longpoint/internal/joblog"
	"longpoint/internal/stage"
)

// A log is looked through by person, room, opening, stage and kind, page by page, and handed
// out as a table and as lines, filtered alike.
func TestALogIsLookedThroughAndHandedOut(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	bo := b.as(b.ours.installer)
	bo.send(h, append(h.chain(), joblog.Command{Kind: joblog.TickStageKind, ItemID: h.item, TickStage: &joblog.TickStage{Stage: stage.Measured}},
		h.note("=HYPERLINK(\"x\") the sill is out, call me"))...)
	page := func(query string) httpapi.LogPage {
		t.Helper()
		var p httpapi.LogPage
		h.lead.get(h.path("/history" + query)).want(http.StatusOK).into(&p)
		return p
	}
	all := page("")
	if len(all.Entries) != 14 || all.More || all.Entries[0].Kind != joblog.NoteKind || all.Entries[0].Seq != 14 {
		t.Fatalf("the whole log: got %d, more %v", len(all.Entries), all.More)
	}
	for query, want := range map[string]int{
		"?person=" + b.ours.lead.ID: 4, "?room=" + h.room: 13, "?item=" + h.item: 11, "?stage=measured": 9, "?kind=note": 1,
		"?stage=measured&kind=tick_stage": 1, "?stage=painted": 0, "?person=" + b.ours.installer.ID + "&stage=measured": 9,
	} {
		if p := page(query); len(p.Entries) != want || p.Seq != 14 {
			t.Errorf("%s: got %d entries, want %d", query, len(p.Entries), want)
		}
	}
	var seqs []int64
	for before := int64(0); ; {
		p := page("?limit=4&stage=measured&before=" + itoa(before))
		for _, e := range p.Entries {
			seqs = append(seqs, e.Seq)
			if e.Stage != "measured" {
				t.Errorf("entry %d is of stage %q", e.Seq, e.Stage)
			}
		}
		if !p.More {
			break
		}
		before = p.Entries[len(p.Entries)-1].Seq
	}
	for i := range seqs {
		if len(seqs) != 9 || i > 0 && seqs[i] >= seqs[i-1] {
			t.Fatalf("pages: got %v", seqs)
		}
	}

	sheet := h.lead.get(h.path("/history.csv?item=" + h.item)).want(http.StatusOK)
	rows, err := csv.NewReader(strings.NewReader(string(sheet.body))).ReadAll()
	if err != nil || len(rows) != 12 || rows[0][0] != "seq" {
		t.Fatalf("the table: %d rows, %v", len(rows), err)
	}
	for _, row := range rows {
		for _, cell := range row {
			if cell != "" && strings.ContainsRune("=+-@", rune(cell[0])) {
				t.Errorf("a cell would be run: %q", cell)
			}
		}
	}
	if row := rows[2]; row[3] != "Bo" || row[5] != "Hall" || row[6] != "Hall door" || row[7] != "measured" || !strings.Contains(row[9], "30") {
		t.Errorf("the first row: got %v", row)
	}
	lines := strings.Split(strings.TrimSpace(string(h.lead.get(h.path("/history.jsonl?kind=note")).want(http.StatusOK).body)), "\n")
	var line struct {
		Seq     int64          `json:"seq"`
		Person  string         `json:"person"`
		Command joblog.Command `json:"command"`
	}
	if err := json.Unmarshal([]byte(lines[0]), &line); err != nil || len(lines) != 1 || line.Seq != 14 || line.Person != "Bo" || !strings.HasPrefix(line.Command.Note.Text, "=HYPERLINK") {
		t.Errorf("the lines: got %+v, %v", line, err)
	}
	far := b.as(b.strangers.lead)
	for _, path := range []string{"/history", "/history.csv", "/history.jsonl"} {
		if got := far.get(h.path(path)); strings.Contains(string(got.body), "Hall") || got.status != http.StatusNotFound {
			t.Errorf("strangers at %s: got %d %s", path, got.status, got.body)
		}
	}
}

func itoa(n int64) string {
	b, _ := json.Marshal(n)
	return string(b)
}

// What is looked for is found by how its words begin, in what a person may see and no further.
func TestSearch(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	other := buildHouse(b, b.strangers, "Sill Street")
	h.lead.send(h, h.note("The baño door's jamb is split near the strike; bring glue. (A long note goes on so that its end is cut off: the painter asked twice, nobody answered, and the week went by.)"))
	other.lead.send(other, other.note("the strangers' jamb"))
	find := func(c *client, q string) []httpapi.SearchHit {
		t.Helper()
		var out httpapi.SearchHits
		c.get("/api/v1/search?q=" + q).want(http.StatusOK).into(&out)
		return out.Hits
	}
	for _, c := range []struct {
		q    string
		want []string
	}{
		{"hall", []string{"room", "item"}}, {"HALL+do", []string{"item"}}, {"sill", []string{"job"}}, {"jam+spl", []string{"entry"}}, {"bano", []string{"entry"}},
		{"ba%C3%B1o", []string{"entry"}}, {"zzz", nil}, {"%26%7C%21%28%27%3A%2A", nil}, {"", nil}, {"jamb%27+%26+glue", []string{"entry"}}, {"strangers", nil},
	} {
		hits := find(h.lead, c.q)
		got := map[string]bool{}
		for _, hit := range hits {
			got[hit.Kind] = true
			if hit.JobID != h.job {
				t.Errorf("%s: found in job %s", c.q, hit.JobID)
			}
		}
		for _, k := range c.want {
			if !got[k] {
				t.Errorf("%s: no %s in %+v", c.q, k, hits)
			}
		}
		if len(c.want) == 0 && len(hits) > 0 {
			t.Errorf("%s: got %+v", c.q, hits)
		}
	}
	hit := find(h.lead, "answ")[0]
	if hit.ItemID != h.item || hit.Room != "Hall" || hit.Item != "Hall door" || hit.Seq == 0 {
		t.Errorf("the note: got %+v", hit)
	}
	text, marked := "", ""
	for _, p := range hit.Parts {
		text += p.Text
		if p.Hit {
			marked += p.Text
		}
	}
	if marked != "answ" || !strings.HasPrefix(text, "… ") || !strings.Contains(text, "nobody answered") {
		t.Errorf("the snippet: %q, marked %q", text, marked)
	}
	// An installer who is on no job finds nothing.
	lone := b.as(b.ours.installer)
	if hits := find(lone, "hall"); len(hits) == 0 {
		t.Error("an installer on the job finds nothing")
	}
	h.lead.send(h, joblog.Command{Kind: joblog.AssignKind, RoomID: h.room, Assign: &joblog.Assign{}})
	if hits := find(lone, "hall"); len(hits) != 0 {
		t.Errorf("an installer on no job finds %+v", hits)
	}
}
