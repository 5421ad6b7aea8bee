package yard

import (
	"time"

	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/stock"
	"longpoint/internal/trim"
)

// wanted is all the pieces of one kind of stock, with what may be split.
type wanted struct {
	stock  joblog.Stock
	flat   bool // known from the pieces: a plain board
	rules  houserules.Rules
	pieces []Piece
	runs   []run
}

// run is a piece that may be joined of several by scarfs, its studs from its left extreme.
type run struct {
	piece  Piece
	splits []int64
	lap    length.Length
	back   length.Length // how far a scarf's cut stands back, rounded down
	angle  float64
	leftOn bool // the left part laps over
}

// runStock tells the kinds of stock whose long pieces may be scarfed; legs of casing and jambs are
// one piece each (common practice).
func runStock(kind string) bool {
	switch kind {
	case "base", "shoe", "chair_rail", "crown":
		return true
	}
	return false
}

// gather lists what is measured and not yet cut, by stock in the order first met.
func gather(st *joblog.State, company houserules.Set, ask Ask, now time.Time) ([]*wanted, []LeftOut) {
	var out []*wanted
	var left []LeftOut
	at := map[joblog.Stock]*wanted{}
	for _, s := range st.JobItems(company) {
		if !ask.takes(s) {
			continue
		}
		c := joblog.CuttingOf(s, now)
		if !c.Measured {
			left = append(left, LeftOut{ItemID: s.Item.ID, Why: NotMeasured})
			continue
		}
		held := false
		for i := range c.Pieces {
			p := &c.Pieces[i]
			kind, from := stockOf(s.Item, p)
			if !from || !toCut(p, c.Rules.AsCutTolerance) {
				continue
			}
			if p.Held != nil {
				if !held {
					left = append(left, LeftOut{ItemID: s.Item.ID, Piece: p.Piece, Why: Held})
				}
				held = true
				continue
			}
			w := at[kind]
			if w == nil {
				w = &wanted{stock: kind, rules: jobRules(st, company)}
				at[kind] = w
				out = append(out, w)
			}
			w.add(s.Item, p)
		}
	}
	return out, left
}

// jobRules are the house rules of the job: one saw cuts for all its rooms.
func jobRules(st *joblog.State, company houserules.Set) houserules.Rules {
	return joblog.Scope{Company: company, Job: st.Job}.Rules()
}

func (a Ask) takes(s joblog.Scope) bool {
	if len(a.Rooms) == 0 && len(a.Items) == 0 {
		return true
	}
	for _, id := range a.Rooms {
		if s.Room != nil && id == s.Room.ID {
			return true
		}
	}
	for _, id := range a.Items {
		if id == s.Item.ID {
			return true
		}
	}
	return false
}

// toCut reports whether stock is still needed for a piece. One that was cut long, or is now
// wanted shorter, is trimmed and takes none.
func toCut(p *joblog.CuttingPiece, tolerance length.Length) bool {
	return p.Record == nil || p.Record.AsCut < p.Value.Length-tolerance
}

// stockOf names the stock a piece is cut from. Slabs, blocks and plinths are no sticks.
func stockOf(it *joblog.Item, p *joblog.CuttingPiece) (joblog.Stock, bool) {
	out := joblog.Stock{Kind: p.Profile, Grade: it.Unit.Grade}
	switch p.Profile {
	case "casing":
		c := it.CasingA
		if len(p.Piece) > 8 && p.Piece[:9] == "casing_b_" {
			c = it.CasingB
		}
		if c == nil {
			return out, false
		}
		out.Name, out.Material, out.Width, out.Thickness = c.Profile, c.Material, c.Width, c.Thickness
		out.Prefinished = it.Prefinished
	case "jamb":
		if it.Unit.LegLength > 0 {
			return out, false // legs and head come with the unit
		}
		out.Width, out.Thickness = it.Unit.JambWidth, it.Unit.JambThickness
		if p.Piece == "head" && it.Unit.HeadThickness > 0 {
			out.Thickness = it.Unit.HeadThickness
		}
	case "base", "shoe", "chair_rail", "crown":
		if it.Run == nil {
			return out, false
		}
		r := it.Run.Profile
		out.Name, out.Material, out.Width, out.Thickness = r.Name, it.Run.Material, r.Height, r.Thickness
		out.Prefinished = it.Prefinished
	case "stool", "apron", "extension", "astragal":
		if it.CasingA != nil && p.Profile == "apron" { // an apron is a piece of the casing (common practice)
			out.Kind, out.Name, out.Material, out.Width, out.Thickness = "casing", it.CasingA.Profile, it.CasingA.Material, it.CasingA.Width, it.CasingA.Thickness
			out.Prefinished = it.Prefinished
		}
	default:
		return out, false
	}
	return out, true
}

func (w *wanted) add(it *joblog.Item, p *joblog.CuttingPiece) {
	out := Piece{ItemID: it.ID, Piece: p.Piece, Length: p.Value.Length, Computed: p.Value.Length, Copies: max(1, p.Quantity), Rounding: p.Rounding,
		Again: p.Record != nil, OnePiece: !runStock(w.stock.Kind)}
	if p.Width != nil {
		out.Rip = p.Width.Length
	}
	if it.Run != nil && it.Run.Profile.SquareEdge || w.stock.Kind == "jamb" || w.stock.Kind == "extension" {
		w.flat = true
	}
	out.Left, out.Right = ends(it, p, w.stock)
	if !runStock(w.stock.Kind) || p.Run == nil {
		w.pieces = append(w.pieces, out)
		return
	}
	w.runs = append(w.runs, w.runOf(it, p, out))
}

// ends says how both ends of a piece are cut and where their long points lie, with the face up
// for what is cut flat and the back at the fence for what is cut standing. A long point that is
// not known for sure is Neither; then the end is treated as a square one that needs the whole
// length.
func ends(it *joblog.Item, p *joblog.CuttingPiece, s joblog.Stock) (left, right End) {
	var es [2]End
	for i := range p.Ends {
		if i < 2 {
			es[i] = End{Joint: p.Ends[i].Joint, Miter: p.Ends[i].Miter, Bevel: p.Ends[i].Bevel}
		}
	}
	switch {
	case p.Width != nil:
		// Ripped after it is cut, from either edge.
	case p.Profile == "casing":
		// Casing lies face up with its outer edge, which has every long point, at the fence.
		for i := range es {
			if es[i].Joint == "miter" && es[i].Bevel == 0 {
				es[i].Long, es[i].Back = Far, length.Length(stock.SetBack(int64(s.Width), es[i].Miter))
			}
		}
		if rightHandLeg(it, p.Piece) {
			es[0], es[1] = es[1], es[0] // its top is at the left when its outer edge is at the fence
		}
	case runStock(p.Profile) && p.Profile != "crown":
		for _, m := range p.Marks {
			i := 0
			if m.From == "right" {
				i = 1
			}
			if m.From != "left" && m.From != "right" || es[i].Joint == "cope" || es[i].Bevel != 0 {
				continue // what is coped is left as wide as it comes off the saw
			}
			switch m.Name {
			case "short_point_face":
				es[i].Long, es[i].Back = Far, m.Value.Length
			case "short_point_back":
				es[i].Long, es[i].Back = Near, m.Value.Length
			}
		}
	}
	return es[0], es[1]
}

// rightHandLeg tells a casing leg that stands on the right as its face is seen.
func rightHandLeg(it *joblog.Item, piece string) bool {
	for _, face := range []string{"a", "b"} {
		hingeLeft := (it.Unit.HingeOn != "right") == (face == "a")
		if piece == "casing_"+face+"_leg_hinge" && !hingeLeft || piece == "casing_"+face+"_leg_strike" && hingeLeft {
			return true
		}
	}
	return false
}

func (w *wanted) runOf(it *joblog.Item, p *joblog.CuttingPiece, out Piece) run {
	deg := 30.0
	if a := it.Run.Corners.ScarfAngle; a > 0 {
		deg = a.Degrees()
	}
	// Even, so that the stud halves it, and never less than the cut takes.
	back := length.Length(stock.SetBack(int64(it.Run.Profile.Thickness), deg))
	lap := back + 2 - back%2
	r := run{piece: out, lap: lap, back: back, angle: deg, leftOn: it.Run.Corners.ScarfLap != trim.RightPiece}
	start := p.Run.From
	for _, m := range p.Marks {
		if m.Name == "short_point_back" && m.From == "left" {
			start -= m.Value.Length
		}
	}
	for _, s := range p.Run.Nailing.Studs {
		if at := int64(s - start); at > 0 && at < int64(out.Length) {
			r.splits = append(r.splits, at)
		}
	}
	return r
}

// parts makes the pieces of a run cut at those places.
func (r run) parts(lengths []int64) []Piece {
	n := len(lengths)
	if n == 1 {
		return []Piece{r.piece}
	}
	scarf := func(over bool) End {
		e := End{Joint: "scarf", Miter: r.angle, Back: r.back, Long: Far}
		if over {
			e.Long = Near
		}
		return e
	}
	out := make([]Piece, n)
	for i := range out {
		p := r.piece
		p.Part, p.Parts, p.Length = i+1, n, length.Length(lengths[i])
		if i > 0 {
			p.Left = scarf(!r.leftOn)
		}
		if i < n-1 {
			p.Right = scarf(r.leftOn)
		}
		out[i] = p
	}
	return out
}
