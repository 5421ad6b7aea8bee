package report

import (
	"bytes"
	"fmt"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"github.com/skip2/go-qrcode"

	"longpoint/internal/drawing"
	"longpoint/internal/joblog"
)

// Paper is what every sheet of a job has at its head and foot.
type Paper struct {
	Job, Address string
	Language     string
	Now          time.Time
}

func (a Paper) page(title string) (*Page, map[string]string) {
	w := Words(a.Language)
	sub := a.Address
	if sub == "" || sub == a.Job {
		sub = a.Job
	} else {
		sub = a.Job + ", " + a.Address
	}
	return NewPage(Head{Title: title, Sub: sub, Printed: w["printed"] + " " + stamp(a.Now), Page: w["page"], Lang: a.Language, Made: a.Now}), w
}

// stamp is a moment as any reader reads it: years first, the clock of the whole world.
func stamp(t time.Time) string { return t.UTC().Format("2006-01-02 15:04 UTC") }

func day(t time.Time) string { return t.UTC().Format("2006-01-02") }

// CutSheet is a room's pieces to cut: each with its length, saw setting, marks, a drawing of
// it on the saw and a box to tick.
func CutSheet(a Paper, room string, items []joblog.ItemView) ([]byte, error) {
	p, w := a.page(Words(a.Language)["cut_sheet"] + ": " + room)
	rules := joblog.Words(a.Language)
	cautions := []string{rules.Term("caution_saw"), rules.Term("caution_dust"), w["measured_rounding"]}
	for i := range items {
		cautions = addNew(cautions, items[i].Cautions...)
	}
	p.Cautions(cautions)
	for i := range items {
		it := &items[i]
		if len(it.Cuts) > 0 {
			_, high, _ := p.pieceRoom(&it.Cuts[0], w)
			p.Room(headTall + high) // a name stays with its first piece
		}
		p.Heading(it.Name)
		p.Fine(it.KindLabel)
		if len(it.Cuts) == 0 {
			p.Text(w["no_cuts"])
			continue
		}
		for j := range it.Cuts {
			p.piece(&it.Cuts[j], w)
		}
	}
	return p.Bytes()
}

const (
	pieceText = 76.0 // mm for the words beside a piece's drawing
	pieceTall = 44.0
	headTall  = 12.0 // an item's name and kind
)

// pieceRoom is what is said beside a piece's drawing, the height the piece takes and that of its drawing.
func (p *Page) pieceRoom(c *joblog.CutView, w map[string]string) (lines []string, high, drawn float64) {
	if c.Rip != "" {
		lines = append(lines, c.Rip)
	}
	if len(c.Saw) > 0 {
		lines = append(lines, w["saw"]+": "+strings.Join(c.Saw, " · "))
	}
	for _, m := range c.Notes {
		// A number and its unit stay on one line.
		lines = append(lines, m.Label+": "+strings.ReplaceAll(m.Text, " ", "\u00a0"))
	}
	switch c.State {
	case joblog.PieceCutOK:
		lines = append(lines, w["cut"]+" "+c.AsCut)
	case joblog.PieceOff:
		lines = append(lines, w["off"]+": "+c.AsCut)
	case joblog.PieceStale:
		lines = append(lines, w["stale"])
	}
	p.pdf.SetFont(family, "", body)
	high = 12.0
	for _, l := range lines {
		high += 4.4 * float64(len(p.pdf.SplitText(l, pieceText-10)))
	}
	if c.Drawing.Width > 0 {
		drawn = min(pieceTall, float64(c.Drawing.Height)*p.pieceWide()/float64(c.Drawing.Width))
	}
	return lines, max(high, drawn) + 3, drawn
}

func (p *Page) pieceWide() float64 { return p.Width() - pieceText - 2 }

func (p *Page) piece(c *joblog.CutView, w map[string]string) {
	lines, high, drawn := p.pieceRoom(c, w)
	p.Room(high)
	y := p.pdf.GetY() + 1
	p.Box(margin, y+1, 5)
	if c.State == joblog.PieceCutOK {
		p.pdf.SetLineWidth(0.5)
		p.pdf.Line(margin+0.8, y+1.8, margin+4.2, y+5.2)
		p.pdf.Line(margin+4.2, y+1.8, margin+0.8, y+5.2)
	}
	p.pdf.SetXY(margin+8, y)
	p.pdf.SetFont(family, "", body)
	p.pdf.CellFormat(pieceText-8, 4.4, p.fit(c.Label, pieceText-9), "", 2, "L", false, 0, "")
	p.pdf.SetFont(family, "B", title)
	p.pdf.CellFormat(pieceText-8, 7, c.Tape.Text, "", 2, "L", false, 0, "")
	p.pdf.SetFont(family, "", body)
	for _, l := range lines {
		p.pdf.SetX(margin + 8)
		p.pdf.MultiCell(pieceText-10, 4.4, l, "", "L", false)
	}
	p.Drawing(c.Drawing, margin+pieceText+2, y, p.pieceWide(), drawn, nil)
	p.pdf.SetXY(margin, y+high)
	p.pdf.SetLineWidth(0.1)
	p.pdf.Line(margin, y+high-1, margin+p.Width(), y+high-1)
}

// Card is one opening on one sheet, to hang on its jack stud: its drawing, what is next, and a
// code that opens it in the app at address.
func Card(a Paper, it joblog.ItemView, address string) ([]byte, error) {
	p, w := a.page(it.Name)
	code, err := qrcode.New(address, qrcode.High)
	if err != nil {
		return nil, fmt.Errorf("drawing a QR code: %w", err)
	}
	const side = 46.0
	x, y := margin+p.Width()-side, p.pdf.GetY()+1
	p.qr(code.Bitmap(), x, y, side)
	p.pdf.SetXY(x, y+side)
	p.pdf.SetFont(family, "", small)
	p.pdf.MultiCell(side, 3.6, w["scan"], "", "C", false)
	under := p.pdf.GetY()
	p.pdf.SetXY(margin, y)
	p.pdf.SetFont(family, "B", large)
	p.pdf.CellFormat(p.Width()-side-6, 6, it.RoomName+" · "+it.KindLabel, "", 2, "L", false, 0, "")
	p.pdf.SetFont(family, "", body)
	next := w["nothing_next"]
	if it.Next != nil {
		for _, s := range it.Stages {
			if s.Stage == it.Next.Stage {
				next = w["next"] + ": " + s.Label
			}
		}
	}
	p.pdf.CellFormat(p.Width()-side-6, 5, next, "", 2, "L", false, 0, "")
	for _, s := range it.Stages {
		by := p.pdf.GetY()
		p.Box(margin, by+0.8, 3.6)
		if s.Status == "done" {
			p.pdf.SetFillColor(0, 0, 0)
			p.pdf.Rect(margin+0.7, by+1.5, 2.2, 2.2, "F")
		}
		p.pdf.SetXY(margin+6, by)
		p.pdf.CellFormat(60, 5, s.Label, "", 2, "L", false, 0, "")
	}
	p.pdf.SetXY(margin, max(under, p.pdf.GetY())+2)
	cautions := addNew(append([]string{}, it.Cautions...), w["card_caution"])
	_, tall := p.pdf.GetPageSize()
	room := tall - margin - 10 - p.pdf.GetY() - p.cautionsHigh(cautions) - 6
	at := p.pdf.GetY()
	p.Drawing(it.Drawing, margin, at, p.Width(), max(60, room), nil)
	p.pdf.SetXY(margin, at+max(60, room))
	if it.Drawing.Exaggerated > 1 {
		p.Fine(w["exaggerated"])
	}
	p.Cautions(cautions)
	return p.Bytes()
}

func (p *Page) qr(rows [][]bool, x, y, side float64) {
	p.pdf.SetFillColor(0, 0, 0)
	one := side / float64(len(rows))
	for j, row := range rows {
		for i := 0; i < len(row); i++ {
			from := i
			for i < len(row) && row[i] {
				i++
			}
			if i > from {
				p.pdf.Rect(x+float64(from)*one, y+float64(j)*one, float64(i-from)*one, one*1.01, "F")
			}
		}
	}
}

// Picture opens a photo of the job, small; nil while it is not there.
type Picture func(id string) []byte

// PunchList is a walkthrough room by room: what was said, where, what came of it, and a box for
// what is to be done. It is for the side the view was made for.
func PunchList(a Paper, v *joblog.WalkView, guest string, names map[string]string, picture Picture) ([]byte, error) {
	p, w := a.page(Words(a.Language)["punch_list"] + " " + Words(a.Language)["of"] + " " + guest)
	p.Cautions([]string{w["before_repair"], w["stairs"]})
	number := 0
	for i := range v.Rooms {
		room := &v.Rooms[i]
		p.Heading(room.Name)
		if room.Signed != nil {
			p.Fine(w["room_signed"] + " " + room.Signed.Name + ", " + stamp(room.Signed.At))
		}
		if len(room.Remarks) == 0 {
			p.Text(w["nothing_said"])
		}
		drawn := map[string]drawing.Drawing{}
		for _, it := range room.Items {
			drawn[it.ID] = it.Drawing
		}
		for j := range room.Remarks {
			number++
			p.remark(number, &room.Remarks[j], drawn[room.Remarks[j].ItemID], names, picture, w)
		}
	}
	return p.Bytes()
}

const remarkPicture = 50.0 // mm, the side of a photo or drawing

func (p *Page) remark(n int, r *joblog.RemarkView, d drawing.Drawing, names map[string]string, picture Picture, w map[string]string) {
	shows := len(r.Photos) > 0 || r.Spot != nil
	if shows {
		p.Room(remarkPicture + 26)
	} else {
		p.Room(22)
	}
	p.Space(2)
	y := p.pdf.GetY()
	p.Box(margin, y+0.6, 4.6)
	if r.Settled {
		p.pdf.SetFillColor(0, 0, 0)
		p.pdf.Rect(margin+1, y+1.6, 2.6, 2.6, "F")
	}
	p.pdf.SetXY(margin+8, y)
	p.pdf.SetFont(family, "B", body+1)
	said := fmt.Sprintf("%d. ", n)
	if r.ItemName != "" {
		said += r.ItemName + ": "
	}
	p.pdf.MultiCell(p.Width()-8, 5, said+r.Sentence, "", "L", false)
	p.pdf.SetX(margin + 8)
	p.pdf.SetFont(family, "", body)
	state := r.StateLabel
	if r.Day != "" {
		state += ", " + w["day"] + " " + r.Day
	}
	if who := names[r.AssignedTo]; who != "" {
		state += ", " + w["by"] + " " + who
	}
	p.pdf.MultiCell(p.Width()-8, 4.6, state, "", "L", false)
	for _, m := range r.Moves {
		line := day(m.At) + "  "
		if who := names[m.PersonID]; who != "" {
			line += who + ": "
		}
		p.pdf.SetX(margin + 8)
		p.pdf.MultiCell(p.Width()-8, 4.4, line+m.Sentence, "", "L", false)
	}
	photos := append([]string{}, r.Photos...)
	for _, m := range r.Moves {
		photos = append(photos, m.Photos...)
	}
	x, top := margin+8, p.pdf.GetY()+1.5
	if r.Spot != nil && r.Spot.On == "" && d.Width > 0 {
		p.Drawing(d, x, top, remarkPicture*0.8, remarkPicture, r.Spot)
		x += remarkPicture*0.8 + 4
	}
	waiting := 0
	used := x > margin+8
	for _, id := range photos {
		data := picture(id)
		if data == nil {
			waiting++
			continue
		}
		if x+remarkPicture > margin+p.Width() {
			x, top = margin+8, top+remarkPicture+3
			if _, tall := p.pdf.GetPageSize(); top+remarkPicture > tall-margin-8 {
				p.pdf.AddPage()
				top = p.pdf.GetY()
			}
		}
		var mark *joblog.Spot
		for k := range r.Marks {
			if r.Marks[k].On == id {
				mark = &r.Marks[k]
			}
		}
		p.photo(id, data, x, top, remarkPicture, mark)
		x += remarkPicture + 4
		used = true
	}
	p.pdf.SetXY(margin, top)
	if used {
		p.pdf.SetXY(margin, top+remarkPicture+2)
	}
	if waiting > 0 {
		p.Fine(w["photo_on_way"])
	}
}

// photo puts a JPEG into a square, in its own proportions, with a mark where one is.
func (p *Page) photo(id string, data []byte, x, y, side float64, mark *joblog.Spot) {
	info := p.pdf.RegisterImageOptionsReader(id, fpdf.ImageOptions{ImageType: "JPG"}, bytes.NewReader(data))
	if info == nil || p.pdf.Err() {
		p.pdf.ClearError()
		return
	}
	wide, tall := side, side
	if r := info.Width() / info.Height(); r >= 1 {
		tall = side / r
	} else {
		wide = side * r
	}
	p.pdf.ImageOptions(id, x, y, wide, tall, false, fpdf.ImageOptions{ImageType: "JPG"}, 0, "")
	if mark != nil {
		p.target(x+wide*float64(mark.X)/1000, y+tall*float64(mark.Y)/1000)
	}
}

// Record is what was signed: each room's signature and the whole's, what was open by agreement,
// and the seal.
func Record(a Paper, v *joblog.WalkView, guest, seal string) ([]byte, error) {
	p, w := a.page(Words(a.Language)["record"] + " " + Words(a.Language)["of"] + " " + guest)
	p.Cautions([]string{w["not_inspection"]})
	said := map[string]string{}
	for i := range v.Rooms {
		for _, r := range v.Rooms[i].Remarks {
			line := r.Sentence
			if r.ItemName != "" {
				line = r.ItemName + ": " + line
			}
			said[r.ID] = line + " (" + r.StateLabel + ")"
		}
	}
	for i := range v.Rooms {
		room := &v.Rooms[i]
		p.Heading(room.Name)
		if room.Plan != nil && room.Plan.Width > 0 {
			p.Room(52)
			y := p.pdf.GetY() + 1
			high := p.Drawing(*room.Plan, margin, y, 80, 42, nil)
			p.pdf.SetXY(margin, y+high+2)
		}
		p.signature(room.Signed, said, w)
	}
	p.Heading(w["whole"])
	p.signature(v.Signed, said, w)
	p.Heading(w["seal"])
	if seal == "" {
		p.Text(w["seal_none"])
		return p.Bytes()
	}
	p.pdf.SetFont(family, "B", body+1)
	p.pdf.MultiCell(0, 5.4, grouped(seal), "", "L", false)
	p.Text(fmt.Sprintf("%s %d", w["seal_through"], v.SealSeq))
	p.Fine(w["seal_what"])
	return p.Bytes()
}

// grouped sets a long number in groups that an eye can hold.
func grouped(s string) string {
	var b strings.Builder
	for i := 0; i < len(s); i += 8 {
		if i > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(s[i:min(i+8, len(s))])
	}
	return b.String()
}

func (p *Page) signature(s *joblog.SignView, said map[string]string, w map[string]string) {
	if s == nil {
		p.Text(w["not_signed"])
		return
	}
	p.Room(34)
	p.Text(w["room_signed"] + " " + s.Name + ", " + stamp(s.At))
	y := p.pdf.GetY() + 1
	p.hand(s.Strokes, margin, y, 60)
	p.pdf.SetLineWidth(0.2)
	p.pdf.Line(margin, y+24, margin+60, y+24)
	p.pdf.SetXY(margin, y+26)
	if len(s.Open) == 0 {
		p.Text(w["nothing_open"])
		return
	}
	p.Text(w["open_then"] + ":")
	for _, id := range s.Open {
		p.Text("–  " + said[id])
	}
}

// hand draws a signature's strokes: M and L with numbers to 1000 across and 400 down.
func (p *Page) hand(path string, x, y, wide float64) {
	scale := wide / 1000
	p.pdf.SetLineWidth(0.5)
	var px, py float64
	fields := strings.Fields(strings.NewReplacer("M", " M ", "L", " L ").Replace(path))
	line := false
	for i := 0; i+1 < len(fields); {
		switch fields[i] {
		case "M", "L":
			line = fields[i] == "L"
			i++
			continue
		}
		var nx, ny float64
		_, _ = fmt.Sscan(fields[i], &nx)
		_, _ = fmt.Sscan(fields[i+1], &ny)
		if line {
			p.pdf.Line(x+px*scale, y+py*scale, x+nx*scale, y+ny*scale)
		}
		px, py, line = nx, ny, true
		i += 2
	}
}

// LogLine is one entry as it stands in the log's sheet.
type LogLine struct {
	joblog.EntryView
	Who, Where string
}

// Log is a job's whole log, the oldest first.
func Log(a Paper, lines []LogLine) ([]byte, error) {
	p, w := a.page(Words(a.Language)["log"])
	p.Cautions([]string{w["log_is_record"]})
	p.Fine(fmt.Sprintf("%d %s", len(lines), w["entries"]))
	p.Space(1)
	for i := range lines {
		p.logLine(&lines[i])
	}
	return p.Bytes()
}

func (p *Page) logLine(l *LogLine) {
	const (
		number, at, who, where = 11.0, 29.0, 30.0, 38.0
	)
	p.pdf.SetFont(family, "", small)
	wide := p.Width() - number - at - who - where
	rows := p.pdf.SplitText(l.Sentence, wide-1)
	high := 3.8 * float64(max(1, len(rows)))
	p.Room(high + 1)
	y := p.pdf.GetY()
	x := margin
	for _, c := range []struct {
		text string
		wide float64
	}{{fmt.Sprint(l.Seq), number}, {l.DidAt.UTC().Format("2006-01-02 15:04"), at}, {l.Who, who}, {l.Where, where}} {
		p.pdf.SetXY(x, y)
		p.pdf.CellFormat(c.wide, 3.8, p.fit(c.text, c.wide-1), "", 0, "L", false, 0, "")
		x += c.wide
	}
	p.pdf.SetXY(x, y)
	p.pdf.MultiCell(wide, 3.8, l.Sentence, "", "L", false)
	p.pdf.SetXY(margin, y+high+0.8)
}

func addNew(to []string, more ...string) []string {
	for _, m := range more {
		there := m == ""
		for _, t := range to {
			there = there || t == m
		}
		if !there {
			to = append(to, m)
		}
	}
	return to
}
