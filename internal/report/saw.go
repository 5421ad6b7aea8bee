package report

import (
	"fmt"
	"strconv"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"longpoint/internal/finding"
	"longpoint/internal/yard"
)

const (
	stickTall = 8.0 // mm on paper, whatever the stock's width
	beforeX   = 34.0
)

// Saw is the saw plan on paper: the order, the sticks to scale, the cuts by saw setting, the supplies
// and the cautions.
func Saw(v yard.PlanView, job, printed string, words finding.Catalog, lang string, made time.Time) ([]byte, error) {
	p := NewPage(Head{Title: words.Term("saw_plan") + ": " + job, Sub: words.Term("saw_marked"), Printed: printed, Page: words.Term("page"), Lang: lang, Wide: true, Made: made})
	p.Cautions(v.Cautions)
	p.order(v, words)
	longest := 1.0
	for _, s := range v.Stocks {
		for _, k := range s.Sticks {
			longest = max(longest, float64(k.Length))
		}
	}
	for i := range v.Stocks {
		p.stock(&v.Stocks[i], (p.Width()-beforeX-22)/longest, words)
	}
	if len(v.Supplies) > 0 {
		p.Heading(words.Term("supplies"))
		for _, s := range v.Supplies {
			p.Row([]float64{70, 30}, []string{s.Label, s.Amount, s.Basis}, false)
		}
	}
	if len(v.LeftOut) > 0 {
		p.Heading(words.Term("left_out"))
		for _, l := range v.LeftOut {
			p.Row([]float64{70, 40}, []string{l.Item, l.Room, l.Sentence}, false)
		}
	}
	return p.Bytes()
}

func (p *Page) order(v yard.PlanView, words finding.Catalog) {
	p.Heading(words.Term("order"))
	for _, s := range v.Stocks {
		for i, o := range s.Order {
			label, waste := s.Label, fmt.Sprintf("%s %.1f %%", words.Term("waste"), s.Waste)
			if i > 0 {
				label, waste = "", ""
			}
			p.Row([]float64{110, 24, 24, 30, 30}, []string{label, strconv.Itoa(o.Count) + " ×", o.Text, o.Each, o.Total, waste}, false)
		}
	}
	if v.Price != "" {
		p.Row([]float64{188, 30}, []string{"", v.Price}, true)
	}
}

func (p *Page) stock(s *yard.StockView, scale float64, words finding.Catalog) {
	p.Heading(s.Label)
	if s.Refused != "" {
		p.Text(s.Refused)
		return
	}
	p.Fine(s.Proof)
	for _, n := range s.Notes {
		p.Fine(n)
	}
	p.Space(1)
	for i := range s.Sticks {
		p.stick(&s.Sticks[i], scale, words)
	}
	if len(s.Settings) > 0 {
		p.Room(14)
		p.pdf.SetFont(family, "B", body)
		p.pdf.CellFormat(0, 5, words.Term("cut_order"), "", 1, "L", false, 0, "")
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
		p.Room(5)
		p.pdf.SetFont(family, "B", body)
		p.pdf.CellFormat(beforeX, 4.6, label, "", 0, "L", false, 0, "")
		p.pdf.SetFont(family, "", body)
		p.pdf.MultiCell(p.Width()-beforeX, 4.6, line, "", "L", false)
	}
}

// stick draws one stick to scale along its length. Its ends' slants are as long as the waste
// they leave; its height is the same for all stock.
func (p *Page) stick(k *yard.StickView, scale float64, words finding.Catalog) {
	p.Room(stickTall + 7)
	y := p.pdf.GetY() + 1
	x := margin + beforeX
	p.Box(margin, y+1.5, 4.5)
	p.pdf.SetFont(family, "B", large)
	p.pdf.SetXY(margin+7, y)
	p.pdf.CellFormat(12, 4.5, "#"+strconv.Itoa(k.Number), "", 0, "L", false, 0, "")
	p.pdf.SetFont(family, "", body)
	p.pdf.CellFormat(15, 4.5, k.Text, "", 0, "L", false, 0, "")
	p.pdf.SetFont(family, "", small)
	from := k.FromLabel
	if k.Place != "" {
		from += ", " + k.Place
	}
	p.pdf.SetXY(margin+7, y+4.2)
	p.pdf.CellFormat(beforeX-7, 4, p.fit(from, beforeX-8), "", 0, "L", false, 0, "")
	p.pdf.SetLineWidth(0.25)
	p.pdf.SetDrawColor(120, 120, 120)
	p.pdf.Rect(x, y, float64(k.Length)*scale, stickTall, "D")
	if k.Used > 0 {
		p.pdf.SetFillColor(205, 205, 205)
		p.pdf.Rect(x, y, float64(k.Used)*scale, stickTall, "F")
	}
	p.pdf.SetDrawColor(0, 0, 0)
	for i := range k.Pieces {
		c := &k.Pieces[i]
		l, r := x+float64(c.At)*scale, x+float64(c.At+c.Length)*scale
		p.pdf.SetLineWidth(0.5)
		style := "D"
		if c.State == yard.IsCut {
			p.pdf.SetFillColor(225, 225, 225)
			style = "DF"
		}
		p.pdf.Polygon([]fpdf.PointType{
			{X: l + float64(c.Left.Far)*scale, Y: y}, {X: r - float64(c.Right.Far)*scale, Y: y},
			{X: r - float64(c.Right.Near)*scale, Y: y + stickTall}, {X: l + float64(c.Left.Near)*scale, Y: y + stickTall},
		}, style)
		in := max(float64(c.Left.Far), float64(c.Left.Near)) * scale
		room := r - l - in - max(float64(c.Right.Far), float64(c.Right.Near))*scale - 1
		p.pdf.SetFont(family, "B", body)
		p.pdf.SetXY(l+in, y+0.4)
		p.pdf.CellFormat(room, 4, p.fit(c.Text, room), "", 0, "C", false, 0, "")
		p.pdf.SetFont(family, "", 6.5)
		p.pdf.SetXY(l+in, y+4)
		p.pdf.CellFormat(room, 3.4, p.fit(c.Item+", "+c.Label, room), "", 0, "C", false, 0, "")
	}
	if k.Remainder > 0 {
		p.pdf.SetFont(family, "", small)
		p.pdf.SetXY(x+float64(k.Length)*scale+1, y)
		p.pdf.CellFormat(22, 4, words.Term("left"), "", 0, "L", false, 0, "")
		p.pdf.SetXY(x+float64(k.Length)*scale+1, y+3.8)
		p.pdf.CellFormat(22, 4, p.fit(k.Left, 21), "", 0, "L", false, 0, "")
	}
	p.pdf.SetXY(margin, y+stickTall+2.5)
}
