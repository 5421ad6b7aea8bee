package report

import (
	"fmt"
	"strconv"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"longpoint/internal/finding"
	"longpoint/internal/words"
	"longpoint/internal/yard"
)

const (
	stickTall = 8.0 // mm on paper, whatever the stock's width
	stickGap  = 3.6
	beforeX   = 34.0
	afterX    = 22.0
	fine      = 6.5 // pt, the least that is read at arm's length
)

// densities are how closely sticks may be set to come out on one sheet for the saw; where not even
// the last does it, they are set at ease on as many sheets as they take.
var densities = []float64{1, 0.8, 0.62}

// Saw is the saw plan on paper: for the saw, the sticks to scale and the cuts by saw setting, on one
// sheet where they fit and with the cautions on each; then for the yard the order and the supplies.
func Saw(v yard.PlanView, job, printed string, words finding.Catalog, lang string, made time.Time) ([]byte, error) {
	sheet := func(density float64) *sawSheet {
		s := &sawSheet{Page: NewPage(Head{Title: words.Term("saw_plan") + ": " + job, Sub: words.Term("saw_marked"), Printed: printed,
			Page: words.Term("page"), Lang: lang, Wide: true, Made: made, Cautions: v.Cautions}), words: words, density: density}
		s.sticks(v)
		return s
	}
	var s *sawSheet
	for _, d := range densities {
		if s = sheet(d); s.pdf.PageNo() == 1 {
			break
		}
	}
	if s.pdf.PageNo() > 1 {
		s = sheet(densities[0])
	}
	s.yard(v, job)
	return s.Bytes()
}

type sawSheet struct {
	*Page
	words   finding.Catalog
	density float64
}

func (p *sawSheet) sticks(v yard.PlanView) {
	p.Page.Cautions(v.Cautions)
	longest := 1.0
	for _, s := range v.Stocks {
		for _, k := range s.Sticks {
			longest = max(longest, float64(k.Length))
		}
	}
	for i := range v.Stocks {
		p.stock(&v.Stocks[i], (p.Width()-beforeX-afterX)/longest)
	}
}

// yard is the sheet that goes to the store: nothing is sawn by it.
func (p *sawSheet) yard(v yard.PlanView, job string) {
	p.pdf.AddPage()
	p.head.Cautions = nil // the foot of the sheet before is written
	p.head.Title, p.head.Sub = p.words.Term("order")+": "+job, ""
	p.top()
	for _, s := range v.Stocks {
		for i, o := range s.Order {
			label, waste := words.Capital(s.Label), fmt.Sprintf("%s %.1f %%", p.words.Term("waste"), s.Waste)
			if i > 0 {
				label, waste = "", ""
			}
			p.Row([]float64{110, 24, 24, 30, 30}, []string{label, strconv.Itoa(o.Count) + " ×", o.Text, o.Each, o.Total, waste}, false)
		}
	}
	if v.Price != "" {
		p.Row([]float64{188, 30}, []string{"", v.Price}, true)
	}
	if len(v.Supplies) > 0 {
		p.Heading(p.words.Term("supplies"))
		for _, s := range v.Supplies {
			p.told([]float64{60, 28}, []string{words.Capital(s.Label), s.Amount}, s.Basis)
		}
	}
	if len(v.LeftOut) > 0 {
		p.Heading(p.words.Term("left_out"))
		for _, l := range v.LeftOut {
			p.told([]float64{60, 40}, []string{l.Item, l.Room}, l.Sentence)
		}
	}
}

// told is a row with a sentence after it, over as many lines as it takes.
func (p *sawSheet) told(widths []float64, cells []string, sentence string) {
	rest := p.Width()
	for _, w := range widths {
		rest -= w
	}
	p.pdf.SetFont(family, "", small)
	p.Room(1.4 + 3.8*float64(len(p.pdf.SplitText(sentence, rest))))
	y := p.pdf.GetY()
	p.Row(widths, cells, false)
	after := p.pdf.GetY()
	p.pdf.SetXY(margin+p.Width()-rest, y+0.7)
	p.pdf.SetFont(family, "", small)
	p.pdf.MultiCell(rest, 3.8, sentence, "", "L", false)
	p.pdf.SetY(max(after, p.pdf.GetY()+0.7))
}

// nameOf is what a piece is of.
func (p *sawSheet) nameOf(c *yard.PieceView) string {
	name := c.Item + ", " + c.Label
	if c.Parts > 0 {
		name += " (" + strconv.Itoa(c.Part) + " " + p.words.Term("of") + " " + strconv.Itoa(c.Parts) + ")"
	}
	return name
}

func (p *sawSheet) stock(s *yard.StockView, scale float64) {
	if s.Refused != "" {
		p.Heading(words.Capital(s.Label))
		p.Text(s.Refused)
		return
	}
	p.Room(8 + 4*float64(1+len(s.Notes)) + stickTall*p.density + stickGap) // a name is never alone at the foot of a sheet
	p.Space(1.5 * p.density)
	p.pdf.SetFont(family, "B", large)
	p.pdf.MultiCell(0, 5.4, words.Capital(s.Label), "", "L", false)
	proof := s.Proof
	for _, n := range s.Notes {
		proof += " " + n
	}
	p.Fine(proof)
	p.Space(1 * p.density)
	for i := range s.Sticks {
		p.stick(&s.Sticks[i], scale)
	}
	if len(s.Settings) > 0 {
		p.Room(10)
		p.pdf.SetFont(family, "B", small)
		p.pdf.CellFormat(0, 4, p.words.Term("cut_order"), "", 1, "L", false, 0, "")
	}
	for _, set := range s.Settings {
		label := set.Label
		if set.Lean != "" {
			label += " " + map[string]string{"left": "\\", "right": "/"}[set.Lean]
		}
		line := ""
		for _, c := range set.Cuts {
			if line != "" {
				line += "   ·   "
			}
			line += "#" + strconv.Itoa(c.Stick) + "  " + c.Text
		}
		p.pdf.SetFont(family, "", body)
		lines := len(p.pdf.SplitText(line, p.Width()-beforeX-10))
		p.Room(4.4 * float64(max(lines, 1)))
		p.pdf.SetFont(family, "B", small)
		p.pdf.CellFormat(beforeX+10, 4.4, p.fit(label, beforeX+9), "", 0, "L", false, 0, "")
		p.pdf.SetFont(family, "", body)
		p.pdf.MultiCell(p.Width()-beforeX-10, 4.4, line, "", "L", false)
	}
}

// stick draws one stick to scale along its length. Its ends' slants are as long as the waste
// they leave; its height is the same for all stock. What has no room on it is written under it.
func (p *sawSheet) stick(k *yard.StickView, scale float64) {
	tall := stickTall * p.density
	under := []string{}
	if k.Place != "" {
		under = append(under, k.FromLabel+": "+k.Place)
	}
	for i := range k.Pieces {
		if c := &k.Pieces[i]; !p.named(c, p.roomOn(c, scale), tall) {
			under = append(under, c.Text+" = "+p.nameOf(c))
		}
	}
	below := ""
	for _, u := range under {
		if below != "" {
			below += "   ·   "
		}
		below += u
	}
	p.pdf.SetFont(family, "", fine)
	belowLines := 0
	if below != "" {
		belowLines = len(p.pdf.SplitText(below, p.Width()-beforeX))
	}
	p.Room(tall + stickGap*p.density + 2.8*float64(belowLines))
	y := p.pdf.GetY() + 0.8
	x := margin + beforeX
	p.Box(margin, y+(tall-4.5)/2, 4.5)
	p.pdf.SetFont(family, "B", large)
	p.pdf.SetXY(margin+6, y)
	p.pdf.CellFormat(11, 4.5, "#"+strconv.Itoa(k.Number), "", 0, "L", false, 0, "")
	p.pdf.SetFont(family, "", body)
	p.pdf.CellFormat(17, 4.5, p.fit(k.Text, 17), "", 0, "L", false, 0, "")
	if tall > 6 {
		p.pdf.SetFont(family, "", small)
		p.pdf.SetXY(margin+6, y+4.2)
		p.pdf.CellFormat(beforeX-7, 3.6, p.fit(k.FromLabel, beforeX-8), "", 0, "L", false, 0, "")
	}
	p.pdf.SetLineWidth(0.25)
	p.pdf.SetDrawColor(120, 120, 120)
	p.pdf.Rect(x, y, float64(k.Length)*scale, tall, "D")
	if k.Used > 0 {
		p.pdf.SetFillColor(205, 205, 205)
		p.pdf.Rect(x, y, float64(k.Used)*scale, tall, "F")
	}
	p.pdf.SetDrawColor(0, 0, 0)
	for i := range k.Pieces {
		p.pieceOn(&k.Pieces[i], x, y, tall, scale)
	}
	if k.Remainder > 0 {
		p.pdf.SetFont(family, "", small)
		at, text := x+float64(k.Length)*scale+1, p.words.Term("left")+" "+k.Left
		if p.pdf.GetStringWidth(text) <= afterX-1 {
			p.pdf.SetXY(at, y+(tall-3.8)/2)
			p.pdf.CellFormat(afterX, 3.8, text, "", 0, "L", false, 0, "")
		} else {
			p.pdf.SetXY(at, y-0.4)
			p.pdf.CellFormat(afterX, 3.4, p.words.Term("left"), "", 0, "L", false, 0, "")
			p.pdf.SetXY(at, y+2.6)
			p.pdf.CellFormat(afterX, 3.4, p.fit(k.Left, afterX-1), "", 0, "L", false, 0, "")
		}
	}
	p.pdf.SetXY(margin+beforeX, y+tall+0.3)
	if below != "" {
		p.pdf.SetFont(family, "", fine)
		p.pdf.MultiCell(p.Width()-beforeX, 2.8, below, "", "L", false)
	}
	p.pdf.SetXY(margin, p.pdf.GetY()+(stickGap-1.1)*p.density)
}

// roomOn is the width between a piece's slants.
func (p *sawSheet) roomOn(c *yard.PieceView, scale float64) float64 {
	return float64(c.Length-max(c.Left.Far, c.Left.Near, 0)-max(c.Right.Far, c.Right.Near, 0))*scale - 1
}

// named reports whether a piece's name fits on it.
func (p *sawSheet) named(c *yard.PieceView, room, tall float64) bool {
	p.pdf.SetFont(family, "", fine)
	name := p.pdf.GetStringWidth(p.nameOf(c))
	if tall > 6 {
		return name <= room-1
	}
	p.pdf.SetFont(family, "B", body)
	return name+p.pdf.GetStringWidth(c.Text)+3 <= room
}

func (p *sawSheet) pieceOn(c *yard.PieceView, x, y, tall, scale float64) {
	l, r := x+float64(c.At)*scale, x+float64(c.At+c.Length)*scale
	p.pdf.SetLineWidth(0.5)
	style := "D"
	if c.State == yard.IsCut {
		p.pdf.SetFillColor(225, 225, 225)
		style = "DF"
	}
	p.pdf.Polygon([]fpdf.PointType{
		{X: l + float64(c.Left.Far)*scale, Y: y}, {X: r - float64(c.Right.Far)*scale, Y: y},
		{X: r - float64(c.Right.Near)*scale, Y: y + tall}, {X: l + float64(c.Left.Near)*scale, Y: y + tall},
	}, style)
	in := float64(max(c.Left.Far, c.Left.Near, 0)) * scale
	room := p.roomOn(c, scale)
	name, fits := p.nameOf(c), p.named(c, room, tall)
	switch {
	case tall > 6 && fits:
		p.pdf.SetFont(family, "B", body)
		p.pdf.SetXY(l+in, y+0.05*tall)
		p.pdf.CellFormat(room, tall/2, c.Text, "", 0, "C", false, 0, "")
		p.pdf.SetFont(family, "", fine)
		p.pdf.SetXY(l+in, y+0.5*tall)
		p.pdf.CellFormat(room, 0.42*tall, name, "", 0, "C", false, 0, "")
	case fits:
		p.pdf.SetFont(family, "", fine)
		wide := p.pdf.GetStringWidth(name)
		p.pdf.SetFont(family, "B", body)
		number := p.pdf.GetStringWidth(c.Text)
		p.pdf.SetXY(l+in+(room-number-wide-2)/2, y)
		p.pdf.CellFormat(number+2, tall, c.Text, "", 0, "L", false, 0, "")
		p.pdf.SetFont(family, "", fine)
		p.pdf.CellFormat(wide, tall, name, "", 0, "L", false, 0, "")
	default:
		for _, size := range []float64{body, small, fine} { // a number is never cut off: it is under the stick too
			p.pdf.SetFont(family, "B", size)
			if p.pdf.GetStringWidth(c.Text) <= room+0.5 {
				p.pdf.SetXY(l+in, y)
				p.pdf.CellFormat(room, tall, c.Text, "", 0, "C", false, 0, "")
				break
			}
		}
	}
}
