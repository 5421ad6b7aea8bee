package schedule_test

import (
	"strings"
	"testing"
	"unicode/utf16"

	"longpoint/internal/finding"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/schedule"
	"longpoint/internal/trim"
	"longpoint/internal/words"
)

var style = length.Style{Unit: length.Inches, Step: length.Sixteenth}

func say(f finding.Finding) string { return schedule.Render(f, "en", joblog.Words("en"), style) }

// read reads a table and its rows as the screen first does.
func read(t *testing.T, text string) []schedule.Row {
	t.Helper()
	sheet, bad := schedule.Read([]byte(text))
	if bad != nil {
		t.Fatalf("refused: %s", say(*bad))
	}
	columns, named := schedule.Guess(sheet)
	if fs := schedule.CheckColumns(columns); len(fs) > 0 {
		t.Fatalf("columns %v: %s", columns, say(fs[0]))
	}
	return schedule.Rows(sheet, schedule.Reading{Columns: columns, Named: named, Unit: length.Inches, Words: words.In("en")})
}

func in(whole, num, den int64) length.Length { return length.In(whole, num, den) }

func TestARowOfEveryColumn(t *testing.T) {
	t.Parallel()
	rows := read(t, "Room,Level,Mark,Description,Kind,Width,Height,Thickness,Core,Hand,Swing,Wall,Finish,Casing,Casing width,Casing thickness,Exit,Note\n"+
		"Kitchen,Main,D3,Pantry,door,\"29 3/4\"\"\",6' 8\",1-3/4,solid core,RHR,,4 11/16,stain,butt head,2 3/4,11/16,yes,Keep the old knob\n")
	if len(rows) != 1 || len(rows[0].Problems) != 0 {
		t.Fatalf("got %+v", rows)
	}
	r := rows[0]
	u := r.Spec.Unit
	if r.Room != "Kitchen" || r.Level != "ground" || r.Name != "D3 Pantry" || r.Note != "Keep the old knob" || r.Line != 2 || r.Count != 1 {
		t.Errorf("names: got %+v", r)
	}
	if u.Kind != trim.Door || u.SlabWidth != in(29, 3, 4) || u.SlabHeight != in(80, 0, 1) || u.SlabThickness != in(1, 3, 4) || u.Core != trim.Solid ||
		u.HingeOn != "right" || u.SwingsTo != trim.FaceA || u.JambWidth != in(4, 11, 16) || u.Grade != trim.Stain || !u.Exit {
		t.Errorf("unit: got %+v", u)
	}
	for _, c := range []*trim.Casing{r.Spec.CasingA, r.Spec.CasingB} {
		if c.Style != trim.ButtHead || c.Width != in(2, 3, 4) || c.Thickness != in(0, 11, 16) {
			t.Errorf("casing: got %+v", c)
		}
	}
}

func TestWhatIsNotSaidIsCommon(t *testing.T) {
	t.Parallel()
	rows := read(t, "room\tmark\ttype\tsize\nBath\tW1\twindow\t36 x 48\nBath\tD1\t-\t2868\nHall\tD2\tbifold\t21068\n")
	want := []struct{ w, h length.Length }{{in(36, 0, 1), in(48, 0, 1)}, {in(32, 0, 1), in(80, 0, 1)}, {in(34, 0, 1), in(80, 0, 1)}}
	for i, r := range rows {
		if len(r.Problems) > 0 || r.Spec.Unit.SlabWidth != want[i].w || r.Spec.Unit.SlabHeight != want[i].h {
			t.Errorf("row %d: got %+v %+v", i, r.Problems, r.Spec.Unit)
		}
	}
	if rows[0].Spec.CasingB != nil || rows[0].Spec.Unit.Surround == "" || rows[1].Spec.Unit.JambThickness != in(0, 5, 8) {
		t.Errorf("got %+v", rows[0].Spec)
	}
}

func TestTablesAsTheyCome(t *testing.T) {
	t.Parallel()
	utf16of := func(s string, big bool) string {
		units := utf16.Encode([]rune("\ufeff" + s))
		var b strings.Builder
		for _, u := range units {
			if big {
				b.WriteByte(byte(u >> 8))
				b.WriteByte(byte(u))
			} else {
				b.WriteByte(byte(u))
				b.WriteByte(byte(u >> 8))
			}
		}
		return b.String()
	}
	plain := "room,mark,width\nBaño,P-1,30\n"
	for name, text := range map[string]string{
		"UTF-8":               plain,
		"a byte order mark":   "\xef\xbb\xbf" + plain,
		"UTF-16 little":       utf16of(plain, false),
		"UTF-16 big":          utf16of(plain, true),
		"semicolons":          "room;mark;width\nBaño;P-1;30\n",
		"tabs, as pasted":     "room\tmark\twidth\nBaño\tP-1\t30",
		"Windows' line ends":  "room,mark,width\r\nBaño,P-1,30\r\n",
		"old line ends":       "room,mark,width\rBaño,P-1,30\r",
		"a line of sep=":      "sep=;\nroom;mark;width\nBaño;P-1;30\n",
		"blank lines":         "\n\n,,\nroom,mark,width\n,,\nBaño,P-1,30\n\n",
		"Spanish names":       "Cuarto,Marca,Ancho\nBaño,P-1,30\n",
		"inch marks":          "room,mark,width\nBaño,P-1,30\"\n",
		"spaces nobody sees":  "room,mark,width\n\u00a0Baño\u00a0,P-1,\u202f30\n",
		"a decimal semicolon": "room;mark;width\nBaño;P-1;30,0\n",
	} {
		rows := read(t, text)
		if len(rows) != 1 || rows[0].Room != "Baño" || rows[0].Name != "P-1" || rows[0].Spec.Unit.SlabWidth != in(30, 0, 1) || len(rows[0].Problems) != 0 {
			t.Errorf("%s: got %+v", name, rows)
		}
	}
}

func TestTablesThatAreRefusedWhole(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct{ text, code, says string }{
		"too large":       {strings.Repeat("a", schedule.MostBytes+1), "sheet_too_large", "at most 1 MB"},
		"empty":           {" \n\n", "sheet_empty", "nothing"},
		"only commas":     {",,\n,,\n", "sheet_empty", "nothing"},
		"a workbook":      {"PK\x03\x04rest", "sheet_workbook", "whole workbook"},
		"a PDF":           {"%PDF-1.7", "sheet_pdf", "PDF"},
		"UTF-16 unmarked": {"r\x00o\x00o\x00m\x00", "sheet_not_text", "not text"},
		"half of UTF-16":  {"\xff\xfer", "sheet_not_text", "not text"},
		"Windows-1252":    {"room,mark\nKitchen,D1\nBa\xf1o,D2\n", "sheet_encoding", "Line 3"},
		"an open quote":   {"room,mark\nKitchen,D1\n\"Bath,D2\nHall,D3\n", "sheet_broken", "line 3"},
		"quote run on":    {"room,mark\nKit\"chen,\"D1\nBath,D2\n", "sheet_broken", "line 2"},
		"too many rows":   {strings.Repeat("a,b\n", schedule.MostRows+2), "sheet_many_rows", "1002 lines"},
		"too wide":        {strings.Repeat("a,", 60) + "a", "sheet_many_columns", "61 columns"},
		"a long cell":     {"room\n" + strings.Repeat("x", 401), "sheet_cell_long", "line 2"},
	} {
		_, bad := schedule.Read([]byte(c.text))
		if bad == nil || bad.Code != c.code || !strings.Contains(say(*bad), c.says) {
			t.Errorf("%s: got %+v, want %s", name, bad, c.code)
		}
	}
}

func TestRowsThatAreBad(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct{ row, field, says string }{
		"a formula":             {"Kitchen,D1,=B2*2", "width", "The width is a formula, =B2*2."},
		"a formula as a name":   {"Kitchen,\"@SUM(1)\",30", "mark", "The mark is a formula"},
		"a hidden command":      {"\"=cmd|' /C calc'!A1\",D1,30", "room", "The room is a formula"},
		"a plus formula":        {"Kitchen,D1,+A1", "width", "formula"},
		"a zero-width space":    {"Kit\u200bchen,D1,30", "room", "U+200B"},
		"text turned round":     {"Kitchen,D1\u202e,30", "mark", "U+202E"},
		"a bell":                {"Kitchen,D\x07,30", "mark", "U+0007"},
		"no room":               {",D1,30", "room", "No room is named."},
		"no mark":               {"Kitchen,,30", "mark", "no mark"},
		"a size nobody tapes":   {"Kitchen,D1,30 1/3", "width", "The width cannot be read"},
		"words for a length":    {"Kitchen,D1,wide", "width", "The width cannot be read"},
		"nothing for a length":  {"Kitchen,D1,0", "width", "cannot be nothing"},
		"a name without an end": {strings.Repeat("k", 81) + ",D1,30", "room", "longer than 80"},
	} {
		rows := read(t, "room,mark,width\n"+c.row+"\n")
		if len(rows) != 1 || len(rows[0].Problems) == 0 {
			t.Errorf("%s: got %+v", name, rows)
			continue
		}
		if p := rows[0].Problems[0]; p.About != c.field || !strings.Contains(say(p), c.says) {
			t.Errorf("%s: about %s: %s; want about %s: %s", name, p.About, say(p), c.field, c.says)
		}
	}
	// Names written from right to left are names like any other; a dash says that there is nothing.
	for _, row := range []string{"מטבח,D1,30", "مطبخ,D1,30", "Kitchen,D1,-", "Kitchen,D1,—", "Kitchen,-1,30"} {
		if rows := read(t, "room,mark,width\n"+row); len(rows[0].Problems) != 0 {
			t.Errorf("%s: got %s", row, say(rows[0].Problems[0]))
		}
	}
	for column, c := range map[string]struct{ cell, says string }{
		"kind": {"trapdoor", "Write door, cased opening"}, "core": {"cheese", "Write hollow"}, "hand": {"up", "left or right"}, "swing": {"round", "A or B"},
		"level": {"moon", "basement, ground or upper"}, "count": {"900", "from 1 to 50, not 900"}, "exit": {"maybe", "yes or no"}, "size": {"large", "30 × 80"}, "panels": {"0", "from 1 to 8"},
	} {
		rows := read(t, "room,mark,"+column+"\nKitchen,D1,"+c.cell)
		if len(rows[0].Problems) != 1 || rows[0].Problems[0].About != column || !strings.Contains(say(rows[0].Problems[0]), c.says) {
			t.Errorf("%s: got %+v", column, rows[0].Problems)
		}
	}
}

func TestColumns(t *testing.T) {
	t.Parallel()
	sheet, _ := schedule.Read([]byte("DOOR NO.,Room Name,W,H,Hinge side,Remarks,Mystery\nD1,Hall,30,80,L,,\n"))
	columns, named := schedule.Guess(sheet)
	if got := strings.Join(columns, ","); !named || got != "mark,room,width,height,hand,note," {
		t.Errorf("guessed %s, named %v", got, named)
	}
	sheet, _ = schedule.Read([]byte("Hall,D1,30\nHall,D2,30\n"))
	if columns, named = schedule.Guess(sheet); named || strings.Join(columns, "") != "" {
		t.Errorf("a table without names: guessed %v, named %v", columns, named)
	}
	for _, c := range []struct {
		columns []string
		code    string
	}{{[]string{"room", "mark", "width", "width"}, "column_twice"}, {[]string{"mark"}, "column_wanted"}, {[]string{"room", "width"}, "column_wanted"}, {[]string{"room", "mark", "color"}, "column_unknown"}} {
		if fs := schedule.CheckColumns(c.columns); len(fs) != 1 || fs[0].Code != c.code {
			t.Errorf("%v: got %+v, want %s", c.columns, fs, c.code)
		}
	}
}

func TestPlanAgainstAJob(t *testing.T) {
	t.Parallel()
	st := joblog.NewState()
	st.Rooms["k"] = &joblog.Room{ID: "k", Name: "Kitchen", Level: "upper", AddedSeq: 2}
	st.Items["d"] = &joblog.Item{ID: "d", RoomID: "k", Name: "D1"}
	st.Items["e"] = &joblog.Item{ID: "e", RoomID: "k", Name: "D9", Removed: &joblog.Removal{}}
	rows := read(t, "room,level,mark,count,note\nkitchen,,d1,,\nKitchen,,D9,,\nHall,basement,D2,2,Mind the step\nHall,,D3,,\nKitchen,ground,D1,,\nHall,,D2 1,,\n")
	p := schedule.PlanRows(rows, st, "job", func(what string) string { return what })
	var states []string
	for _, r := range p.Rows {
		states = append(states, string(r.State))
	}
	// D9 was taken off the job; a Kitchen on the ground floor is another room; D2 1 is made by the count already.
	if got := strings.Join(states, " "); got != "there new new new new bad" {
		t.Errorf("states: got %s", got)
	}
	if p.NewRooms != 2 || p.NewItems != 5 || len(p.Commands) != 9 {
		t.Errorf("got %d rooms, %d openings, %d commands, want 2, 5, 9", p.NewRooms, p.NewItems, len(p.Commands))
	}
	if f := p.Rows[5].Problems[0]; say(f) != "D2 1 stands in Hall twice: here and in line 4." {
		t.Errorf("twice: got %s", say(f))
	}
	if got := p.Commands[1]; got.Kind != joblog.AddRoomKind || got.AddRoom.Level != "basement" {
		t.Errorf("the hall: got %+v", got)
	}
}

func TestWordsInBothLanguages(t *testing.T) {
	t.Parallel()
	en, es := schedule.Words("en"), schedule.Words("es")
	for code, said := range en.Findings {
		if other := es.Findings[code].Sentence; other == "" || strings.Count(said.Sentence, "{") != strings.Count(other, "{") {
			t.Errorf("%s: Spanish has %q", code, other)
		}
	}
	for key := range en.Terms {
		if es.Terms[key] == "" {
			t.Errorf("term %s has no Spanish", key)
		}
	}
	for _, f := range schedule.Fields {
		if en.Terms["column_"+f] == "" {
			t.Errorf("column %s has no word", f)
		}
	}
}

// FuzzSchedule holds that no table breaks the reading of it, and that a row is either taken or
// says why not; what is taken holds no character that hides.
func FuzzSchedule(f *testing.F) {
	for _, s := range []string{"room,mark,width\nKitchen,D1,30\n", "room;mark;size\nHall;D2;2868\n", "\xff\xfer\x00o\x00", "a\"b,\"c\n", "room\tmark\n=1\t\u202eD\n", "sep=;\na;b\n"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		sheet, bad := schedule.Read(data)
		if bad != nil {
			if said := say(*bad); said == "" || strings.ContainsAny(said, "{}") {
				t.Fatalf("%s says %q", bad.Code, said)
			}
			return
		}
		columns, named := schedule.Guess(sheet)
		for i := range columns { // what a person might choose
			if columns[i] == "" {
				columns[i] = schedule.Fields[i%len(schedule.Fields)]
			}
		}
		rows := schedule.Rows(sheet, schedule.Reading{Columns: columns, Named: named, Unit: length.Inches, Words: words.In("en")})
		plan := schedule.PlanRows(rows, joblog.NewState(), "job", func(what string) string { return what })
		for _, r := range plan.Rows {
			if (r.State == schedule.Bad) != (len(r.Problems) > 0) {
				t.Fatalf("row %d is %s with %d problems", r.Line, r.State, len(r.Problems))
			}
			if r.State == schedule.New && (r.Room == "" || r.Name == "" || strings.ContainsAny(r.Room+r.Name, "\u200b\u202e\x00\x07\n=") && r.Room[0] == '=') {
				t.Fatalf("row %d is taken as %q in %q", r.Line, r.Name, r.Room)
			}
		}
	})
}
