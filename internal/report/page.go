// Package report makes the sheets a crew prints: PDF pages in the look of the app, black
// pencil on white, with the drawing first and the cautions of the work at hand on every sheet.
package report

import (
	"bytes"
	_ "embed"
	"fmt"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"
)

// Public Sans, SIL Open Font License 1.1: see font/OFL.txt.
var (
	//go:embed font/PublicSans-Regular.ttf
	regular []byte
	//go:embed font/PublicSans-SemiBold.ttf
	semiBold []byte
)

const (
	family = "Public Sans"
	margin = 12.0 // mm
	small  = 8.0  // pt
	body   = 9.5
	large  = 12.0
	title  = 17.0
)

// Head is what stands at the top and foot of every page.
type Head struct {
	Title    string
	Sub      string // such as the address
	Printed  string // such as "Printed March 4, 12:00"
	Page     string // the word for a page
	Lang     string
	Wide     bool     // landscape
	Cautions []string // at the foot of every page but the first, which has them framed
	Made     time.Time
}

// Page is a document being written. All lengths are millimeters, y downward.
type Page struct {
	pdf       *fpdf.Fpdf
	head      Head
	cautioned []int // pages that have the cautions on them
}

// NewPage begins a document on US letter paper.
func NewPage(h Head) *Page {
	o := "P"
	if h.Wide {
		o = "L"
	}
	pdf := fpdf.New(o, "mm", "Letter", "")
	p := &Page{pdf: pdf, head: h}
	pdf.AddUTF8FontFromBytes(family, "", regular)
	pdf.AddUTF8FontFromBytes(family, "B", semiBold)
	pdf.SetMargins(margin, margin, margin)
	pdf.SetAutoPageBreak(true, margin+8)
	pdf.SetTitle(h.Title, true)
	pdf.SetLang(h.Lang)
	pdf.SetCreationDate(h.Made)
	pdf.SetModificationDate(h.Made)
	pdf.SetCatalogSort(true)
	pdf.AliasNbPages("{pages}")
	pdf.SetFooterFunc(p.foot)
	pdf.AddPage()
	p.top()
	return p
}

func (p *Page) top() {
	p.pdf.SetFont(family, "B", title)
	p.pdf.CellFormat(0, 8, p.head.Title, "", 1, "L", false, 0, "")
	p.pdf.SetFont(family, "", body)
	p.pdf.CellFormat(0, 5, p.head.Sub, "", 1, "L", false, 0, "")
	p.Rule(0.5)
	p.Space(2)
}

func (p *Page) foot() {
	if len(p.head.Cautions) > 0 && p.pdf.PageNo() > 1 {
		p.cautioned = append(p.cautioned, p.pdf.PageNo())
		p.pdf.SetY(-margin - 7.5)
		p.pdf.SetFont(family, "B", 6.5)
		p.pdf.MultiCell(0, 2.8, strings.Join(p.head.Cautions, " "), "T", "L", false)
	}
	p.pdf.SetY(-margin - 1)
	p.pdf.SetFont(family, "", small)
	w := p.Width()
	p.pdf.CellFormat(w/2, 4, p.head.Printed, "", 0, "L", false, 0, "")
	p.pdf.CellFormat(w/2, 4, fmt.Sprintf("%s %d / {pages}", p.head.Page, p.pdf.PageNo()), "", 0, "R", false, 0, "")
}

// Width is the width between the margins.
func (p *Page) Width() float64 {
	w, _ := p.pdf.GetPageSize()
	return w - 2*margin
}

// Room reports whether height fits on this page, and begins the next if not.
func (p *Page) Room(height float64) {
	_, h := p.pdf.GetPageSize()
	if p.pdf.GetY()+height > h-margin-8 {
		p.pdf.AddPage()
	}
}

// Space leaves height.
func (p *Page) Space(height float64) { p.pdf.SetY(p.pdf.GetY() + height) }

// Rule draws a line across the page.
func (p *Page) Rule(thick float64) {
	y := p.pdf.GetY() + 0.6
	p.pdf.SetLineWidth(thick)
	p.pdf.SetDrawColor(0, 0, 0)
	p.pdf.Line(margin, y, margin+p.Width(), y)
	p.pdf.SetY(y + 0.6)
}

// Heading writes a section's name.
func (p *Page) Heading(text string) {
	p.Room(36) // never alone at the foot of a page
	p.Space(2)
	p.pdf.SetFont(family, "B", large)
	p.pdf.MultiCell(0, 6, text, "", "L", false)
}

// Text writes a paragraph.
func (p *Page) Text(text string) {
	p.pdf.SetFont(family, "", body)
	p.pdf.MultiCell(0, 4.6, text, "", "L", false)
}

// Fine writes a paragraph in the second voice.
func (p *Page) Fine(text string) {
	p.pdf.SetFont(family, "", small)
	p.pdf.SetTextColor(70, 74, 78)
	p.pdf.MultiCell(0, 3.8, text, "", "L", false)
	p.pdf.SetTextColor(0, 0, 0)
}

// Row writes one line of cells of those widths; the last takes what is left. A cell too
// long for its width is shortened by an ellipsis.
func (p *Page) Row(widths []float64, cells []string, bold bool) {
	p.Room(5.2)
	style := ""
	if bold {
		style = "B"
	}
	p.pdf.SetFont(family, style, body)
	for i, c := range cells {
		w := 0.0
		if i < len(widths) {
			w = widths[i]
		}
		room := w
		if w == 0 {
			room = margin + p.Width() - p.pdf.GetX()
		}
		p.pdf.CellFormat(w, 5, p.fit(c, room-1), "", 0, "L", false, 0, "")
	}
	p.pdf.Ln(5.2)
}

func (p *Page) fit(text string, room float64) string {
	if p.pdf.GetStringWidth(text) <= room {
		return text
	}
	rs := []rune(text)
	for len(rs) > 0 && p.pdf.GetStringWidth(string(rs)+"…") > room {
		rs = rs[:len(rs)-1]
	}
	if len(rs) == 0 {
		return ""
	}
	return string(rs) + "…"
}

// Box is an empty square to tick.
func (p *Page) Box(x, y, side float64) {
	p.pdf.SetLineWidth(0.3)
	p.pdf.Rect(x, y, side, side, "D")
}

// Cautions writes the safety cautions, framed, and keeps them together.
func (p *Page) Cautions(lines []string) {
	if len(lines) == 0 {
		return
	}
	p.Room(p.cautionsHigh(lines) + 3)
	p.Space(2)
	p.cautioned = append(p.cautioned, p.pdf.PageNo())
	y := p.pdf.GetY()
	p.pdf.SetY(y + 1.5)
	for _, l := range lines {
		p.pdf.SetX(margin + 4)
		p.pdf.MultiCell(p.Width()-8, 4.4, l, "", "L", false)
		p.Space(0.8)
	}
	p.pdf.SetLineWidth(0.7)
	p.pdf.Rect(margin, y, p.Width(), p.pdf.GetY()-y+0.5, "D")
	p.Space(3)
}

func (p *Page) cautionsHigh(lines []string) float64 {
	p.pdf.SetFont(family, "", body)
	height := 3.0
	for _, l := range lines {
		height += float64(len(p.pdf.SplitText(l, p.Width()-8)))*4.4 + 1
	}
	return height
}

// Bytes ends the document.
func (p *Page) Bytes() ([]byte, error) {
	var b bytes.Buffer
	if err := p.pdf.Output(&b); err != nil {
		return nil, fmt.Errorf("writing the PDF: %w", err)
	}
	return b.Bytes(), nil
}
