package yard

import (
	"sort"
	"strconv"
	"time"

	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/stock"
	"longpoint/internal/trim"
)

// PlanView is a plan as it stands now, in one reader's words and unit.
type PlanView struct {
	ID       string        `json:"id" format:"uuid"`
	MadeAt   time.Time     `json:"made_at"`
	MadeBy   string        `json:"made_by" format:"uuid"`
	Ask      Ask           `json:"ask"`
	Behind   int           `json:"behind" doc:"Pieces whose length has changed, or that are no longer wanted, since it was made"`
	Missing  int           `json:"missing" doc:"Pieces to cut that it does not have"`
	Pieces   int           `json:"pieces"`
	Cut      int           `json:"cut" doc:"How many of its pieces are cut"`
	Stocks   []StockView   `json:"stocks"`
	LeftOut  []LeftOutView `json:"left_out"`
	Supplies []SupplyView  `json:"supplies"`
	Cents    int64         `json:"cents" doc:"All sticks to buy; -1 where a price is missing"`
	Price    string        `json:"price,omitempty"`
	Cautions []string      `json:"cautions"`
	Unit     length.Unit   `json:"unit" enum:"in,mm"`
}

// StockView is the plan for one kind of stock.
type StockView struct {
	Stock    joblog.Stock  `json:"stock"`
	Label    string        `json:"label"`
	Plank    length.Length `json:"plank" doc:"What the saw cuts across as the stock lies: the height it is drawn at"`
	Proof    string        `json:"proof" doc:"How good the plan is known to be"`
	Optimal  bool          `json:"optimal"`
	Value    int64         `json:"value"`
	Bound    int64         `json:"lower_bound" doc:"Proven: no plan is below, in the unit of measure"`
	Gap      int64         `json:"gap"`
	Measure  Measure       `json:"measure" enum:"cents,length,sticks"`
	Notes    []string      `json:"notes"`
	Refused  string        `json:"refused,omitempty" doc:"Why nothing is planned"`
	Sticks   []StickView   `json:"sticks"`
	Settings []SettingView `json:"settings" doc:"The cuts by saw setting, one after another"`
	Order    []OrderView   `json:"order"`
	Waste    float64       `json:"waste" doc:"Percent of the stick used that is lost for good"`
	Millis   int64         `json:"millis"`
}

// StickView is one stick.
type StickView struct {
	ID        string        `json:"id" format:"uuid" doc:"The id its take_stick command is to have"`
	Number    int           `json:"number" doc:"Counted through all stock of the plan"`
	From      Source        `json:"from" enum:"buy,rack,saw"`
	FromLabel string        `json:"from_label"`
	OffcutID  string        `json:"offcut_id,omitempty" format:"uuid"`
	Place     string        `json:"place,omitempty"`
	Length    length.Length `json:"length"`
	Text      string        `json:"text"`
	Used      length.Length `json:"used" doc:"From the left end, cut or lost before the plan"`
	Taken     bool          `json:"taken" doc:"It is on the saw"`
	Done      bool          `json:"done" doc:"Every piece is cut and nothing is left to put by"`
	Pieces    []PieceView   `json:"pieces"`
	Remainder length.Length `json:"remainder"`
	Left      string        `json:"left" doc:"The remainder in print"`
	Kept      bool          `json:"kept" doc:"Long enough for the rack"`
}

// PieceView is a piece on its stick. At and the ends are nanometers from the stick's left end.
type PieceView struct {
	ItemID string `json:"item_id" format:"uuid"`
	Piece  string `json:"piece"`
	Part   int    `json:"part,omitempty"`
	Parts  int    `json:"parts,omitempty"`

	Joints []length.Length `json:"joints,omitempty" doc:"Where the run's scarfs are centered, as saw_part wants them"`

	Label    string        `json:"label"`
	Item     string        `json:"item"`
	Room     string        `json:"room"`
	At       length.Length `json:"at"`
	Length   length.Length `json:"length" doc:"From long point to long point"`
	Text     string        `json:"text"`
	Computed length.Length `json:"computed" doc:"Of the whole piece, as cut_pieces wants it"`
	Left     EndView       `json:"left"`
	Right    EndView       `json:"right"`
	Turned   bool          `json:"turned,omitempty" doc:"Lies turned over or end for end"`
	Rip      string        `json:"rip,omitempty"`
	OnePiece bool          `json:"one_piece,omitempty"`
	State    PieceState    `json:"state" enum:"to_cut,cut,changed,gone"`
	AsCut    string        `json:"as_cut,omitempty"`
	CutBy    string        `json:"cut_by,omitempty" format:"uuid" doc:"The command that logged it, to take it back by"`
}

// PieceState is where a planned piece stands.
type PieceState string

// The states: changed has another length now, gone is wanted no longer.
const (
	ToCut   PieceState = "to_cut"
	IsCut   PieceState = "cut"
	Changed PieceState = "changed"
	Gone    PieceState = "gone"
)

// EndView is one end of a piece as it lies.
type EndView struct {
	Saw  string        `json:"saw" doc:"Saw setting in words"`
	Near length.Length `json:"near" doc:"How far the cut stands back from its mark at the near edge; negative where it reaches past"`
	Far  length.Length `json:"far"`
}

// SettingView is all cuts of one saw setting.
type SettingView struct {
	Label string   `json:"label"`
	Lean  string   `json:"lean,omitempty" enum:"left,right" doc:"Which way the line leans, seen from the saw"`
	Cuts  []SawCut `json:"cuts"`
}

// SawCut is one cut: how far from the stick's left end its long point is marked.
type SawCut struct {
	Stick int           `json:"stick"`
	At    length.Length `json:"at"`
	Text  string        `json:"text"`
	Frees []string      `json:"frees" doc:"The pieces whose end it is"`
}

// OrderView is one line of the order.
type OrderView struct {
	Text   string        `json:"text"`
	Length length.Length `json:"length"`
	Count  int           `json:"count"`
	Cents  int64         `json:"cents" doc:"Of one; -1 where not known"`
	Each   string        `json:"each,omitempty"`
	Total  string        `json:"total,omitempty"`
}

// LeftOutView is something that is not in the plan.
type LeftOutView struct {
	ItemID   string `json:"item_id" format:"uuid"`
	Item     string `json:"item"`
	Room     string `json:"room"`
	Why      Why    `json:"why" enum:"not_measured,held,too_long,no_studs,no_split"`
	Sentence string `json:"sentence"`
}

// viewer writes one view.
type viewer struct {
	r       joblog.Reader
	words   finding.Catalog
	terms   finding.Catalog
	state   *joblog.State
	cutting map[string]joblog.Cutting
}

func newViewer(st *joblog.State, company houserules.Set, r joblog.Reader) *viewer {
	v := &viewer{r: r, words: Words(r.Language), terms: joblog.Words(r.Language), state: st, cutting: map[string]joblog.Cutting{}}
	for _, s := range st.JobItems(company) {
		v.cutting[s.Item.ID] = joblog.CuttingOf(s, r.Now)
	}
	return v
}

func (v *viewer) say(code string, f finding.Finding) string {
	f.Code = code
	return v.words.Render(f, v.r.Style).Sentence
}

func (v *viewer) print(l length.Length) string { return l.Print(v.r.Style) }

// stickLength prints a stick as a yard names it: by the foot where it is so many feet.
func (v *viewer) stickLength(l length.Length) string {
	if v.r.Style.Unit != length.Inches || l < length.Foot || l%length.Foot != 0 {
		return v.print(l)
	}
	return strconv.FormatInt(int64(l/length.Foot), 10) + " " + v.words.Term("feet")
}

func (v *viewer) tape(l length.Length, r length.Rounding) string {
	st := v.r.Style
	st.Rounding = r
	return l.Print(st)
}

// Money prints cents as dollars: "$1,204.50".
func Money(cents int64) string {
	s := strconv.FormatInt(cents/100, 10)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	c := strconv.FormatInt(cents%100, 10)
	if len(c) < 2 {
		c = "0" + c
	}
	return "$" + s + "." + c
}

// Look shows a plan as it stands in the job as it is now.
func Look(p Plan, st *joblog.State, company houserules.Set, r joblog.Reader) PlanView {
	v := newViewer(st, company, r)
	out := PlanView{ID: p.ID, MadeAt: p.MadeAt, MadeBy: p.MadeBy, Ask: p.Ask, Stocks: []StockView{}, LeftOut: []LeftOutView{},
		Unit: r.Style.Unit, Cautions: []string{}}
	number := 0
	planned := map[[2]string]bool{}
	for i := range p.Stocks {
		sv := v.stock(&p.Stocks[i], &number)
		for _, s := range sv.Sticks {
			for _, c := range s.Pieces {
				planned[[2]string{c.ItemID, c.Piece}] = true
				out.Pieces++
				switch c.State {
				case IsCut:
					out.Cut++
				case Changed, Gone:
					out.Behind++
				}
			}
		}
		for _, o := range sv.Order {
			if o.Cents < 0 {
				out.Cents = NoPrice
			} else if out.Cents != NoPrice {
				out.Cents += o.Cents * int64(o.Count)
			}
		}
		out.Stocks = append(out.Stocks, sv)
	}
	if out.Cents > 0 {
		out.Price = Money(out.Cents)
	}
	for _, l := range p.LeftOut {
		planned[[2]string{l.ItemID, l.Piece}] = true
		out.LeftOut = append(out.LeftOut, v.leftOut(l))
	}
	now, _ := gather(st, company, p.Ask, r.Now)
	for _, w := range now {
		for _, c := range append(runPieces(w.runs), w.pieces...) {
			if !planned[[2]string{c.ItemID, c.Piece}] {
				out.Missing++
			}
		}
	}
	out.Supplies = v.supplies(p, company)
	for _, key := range []string{"caution_saw", "caution_dust"} {
		out.Cautions = append(out.Cautions, v.terms.Term(key))
	}
	if st.Job.HouseYear > 0 && st.Job.HouseYear < 1978 {
		out.Cautions = append(out.Cautions, v.terms.Term("caution_lead_paint"))
	}
	return out
}

func runPieces(rs []run) []Piece {
	out := make([]Piece, len(rs))
	for i, r := range rs {
		out[i] = r.piece
	}
	return out
}

func (v *viewer) place(item string) (name, room string) {
	if it := v.state.Items[item]; it != nil {
		name = it.Name
		if r := v.state.Rooms[it.RoomID]; r != nil {
			room = r.Name
		}
	}
	return name, room
}

// pieceName names a piece, its side as the item's kind has it.
func (v *viewer) pieceName(item, piece string) string {
	if it := v.state.Items[item]; it != nil {
		piece = trim.SideTerm(&it.Unit, piece)
	}
	return v.terms.Term(piece)
}

func (v *viewer) leftOut(l LeftOut) LeftOutView {
	out := LeftOutView{ItemID: l.ItemID, Why: l.Why}
	out.Item, out.Room = v.place(l.ItemID)
	out.Sentence = v.say("left_"+string(l.Why), finding.Finding{}.Text("piece", v.pieceName(l.ItemID, l.Piece)).Len("length", l.Length).Len("most", l.Most))
	return out
}

func (v *viewer) stock(p *StockPlan, number *int) StockView {
	out := StockView{Stock: p.Stock, Label: v.r.StockName(p.Stock), Plank: p.plank(), Optimal: p.Optimal, Value: p.Value, Bound: p.LowerBound,
		Gap: p.Value - p.LowerBound, Measure: p.Measure, Notes: []string{}, Sticks: []StickView{}, Settings: []SettingView{}, Order: []OrderView{}, Millis: p.Millis}
	if p.Refused != "" {
		code := p.Refused
		if _, ok := v.words.Findings[code]; !ok {
			code = "refused"
		}
		out.Refused = v.say(code, finding.Finding{})
	}
	var all length.Length
	for i := range p.Sticks {
		*number++
		out.Sticks = append(out.Sticks, v.stick(p, &p.Sticks[i], *number))
		if len(p.Sticks[i].Pieces) > 0 {
			all += p.Sticks[i].Length - p.Sticks[i].Used
		}
	}
	if all > 0 {
		out.Waste = float64(p.Waste) / float64(all) * 100
	}
	v.proof(p, &out)
	out.Settings = v.settings(p, out.Sticks)
	out.Order = v.order(p)
	return out
}

// proof says how good the plan is known to be, and what else is to be known of it.
func (v *viewer) proof(p *StockPlan, out *StockView) {
	if len(p.Pieces) > 0 && p.Refused == "" {
		f := finding.Finding{}.Text("value", v.amount(p.Measure, p.Value)).Text("bound", v.amount(p.Measure, p.LowerBound))
		code := "gap_"
		if p.Optimal {
			code = "best_"
		}
		out.Proof = v.say(code+string(p.Measure), f)
		if p.Ended {
			out.Notes = append(out.Notes, v.say("ended", f))
		}
		if p.Nested {
			f := finding.Finding{}.Text("saved", v.amount(p.Measure, p.Straight-p.Value)).Len("shared", p.Shared)
			code := "nest_" + string(p.Measure)
			switch {
			case p.Shared == 0 && !p.mitered():
				code = ""
			case p.Shared == 0:
				code = "nest_nothing"
			case p.Straight == p.Value:
				code = "nest_offcuts"
			}
			if code != "" {
				out.Notes = append(out.Notes, v.say(code, f))
			}
		}
	}
	if p.Splits && !p.SplitsBest {
		out.Notes = append(out.Notes, v.say("splits", finding.Finding{}))
	}
	if !p.Listed {
		out.Notes = append(out.Notes, v.say("common_lengths", finding.Finding{}))
	}
}

// mitered reports whether any piece has an end that could share its waste.
func (p *StockPlan) mitered() bool {
	for i := range p.Pieces {
		if p.Pieces[i].Left.Back > 0 || p.Pieces[i].Right.Back > 0 {
			return true
		}
	}
	return false
}

func (v *viewer) amount(m Measure, n int64) string {
	switch m {
	case Cents:
		return Money(n)
	case Bought:
		return v.print(length.Length(n))
	}
	return strconv.FormatInt(n, 10)
}

func (v *viewer) stick(p *StockPlan, s *Stick, number int) StickView {
	out := StickView{ID: s.ID, Number: number, From: s.From, FromLabel: v.words.Term("stick_" + string(s.From)), OffcutID: s.OffcutID, Place: s.Place,
		Length: s.Length, Text: v.print(s.Length), Used: s.Used, Pieces: []PieceView{}, Remainder: s.Remainder, Kept: s.Kept,
		Left: v.tape(s.Remainder, length.Down), Taken: s.From == Saw}
	if s.From == Buy {
		out.Text = v.stickLength(s.Length)
	}
	for i := range v.state.Job.Sticks {
		out.Taken = out.Taken || v.state.Job.Sticks[i].CommandID == s.ID
	}
	cut := 0
	for _, c := range s.Pieces {
		pv := v.piece(p, c)
		if pv.State == IsCut {
			cut++
		}
		out.Pieces = append(out.Pieces, pv)
	}
	out.Done = cut == len(s.Pieces) && (cut > 0 || s.From == Saw) && !s.Kept
	return out
}

func (v *viewer) piece(p *StockPlan, at stock.Placed) PieceView {
	c := &p.Pieces[at.Piece]
	lying := c.shape(int64(p.Kerf), p.Flat).Lying(at.Turn)
	out := PieceView{ItemID: c.ItemID, Piece: c.Piece, Part: c.Part, Parts: c.Parts, Joints: c.Joints, Label: v.pieceName(c.ItemID, c.Piece), At: length.Length(at.At),
		Length: c.Length, Text: v.tape(c.Length, c.Rounding), Computed: c.Computed, Turned: at.Turn != stock.AsIs, OnePiece: c.OnePiece}
	out.Item, out.Room = v.place(c.ItemID)
	left, right := c.lying(at.Turn)
	out.Left = EndView{Saw: v.saw(left), Near: length.Length(lying.Left.Near) - left.Over, Far: length.Length(lying.Left.Far) - left.Over}
	out.Right = EndView{Saw: v.saw(right), Near: length.Length(lying.Right.Near) - right.Over, Far: length.Length(lying.Right.Far) - right.Over}
	if c.Rip > 0 {
		out.Rip = v.tape(c.Rip, (&trim.Cut{Profile: p.Stock.Kind}).WidthRounding())
	}
	v.stands(c, &out)
	return out
}

// stands says whether a planned piece is cut, and whether it is still wanted as planned.
func (v *viewer) stands(c *Piece, out *PieceView) {
	out.State = Gone
	cutting, ok := v.cutting[c.ItemID]
	if !ok {
		return
	}
	for i := range cutting.Pieces {
		now := &cutting.Pieces[i]
		if now.Piece != c.Piece {
			continue
		}
		switch {
		case now.Record != nil && !toCut(now, cutting.Rules.AsCutTolerance):
			out.State, out.AsCut, out.CutBy = IsCut, v.print(now.Record.AsCut), now.Record.CommandID
		case now.Value.Length != c.Computed:
			out.State = Changed
		default:
			out.State = ToCut
		}
	}
	if c.Parts == 0 || out.State == Changed {
		return
	}
	// A part is cut by itself, and taken back by itself.
	for _, s := range cutting.Item.PartsSawn(c.Piece, c.Computed) {
		if s.Part == c.Part && s.Parts == c.Parts && s.AsCut >= c.Length-cutting.Rules.AsCutTolerance {
			out.State, out.AsCut, out.CutBy = IsCut, v.print(s.AsCut), s.CommandID
			return
		}
	}
	if out.State == IsCut {
		out.State, out.AsCut, out.CutBy = ToCut, "", ""
	}
}

func (v *viewer) saw(e End) string { return v.r.Saw(trimEnd(e)) }

// order lists what is to be bought of one stock, the longest first.
func (v *viewer) order(p *StockPlan) []OrderView {
	out := []OrderView{}
	for i := range p.Sticks {
		s := &p.Sticks[i]
		if s.From != Buy {
			continue
		}
		at := -1
		for k := range out {
			if out[k].Length == s.Length && out[k].Cents == s.Cents {
				at = k
			}
		}
		if at < 0 {
			at = len(out)
			out = append(out, OrderView{Text: v.stickLength(s.Length), Length: s.Length, Cents: s.Cents})
		}
		out[at].Count++
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].Length > out[b].Length })
	for i := range out {
		if out[i].Cents >= 0 {
			out[i].Each, out[i].Total = Money(out[i].Cents), Money(out[i].Cents*int64(out[i].Count))
		}
	}
	return out
}
