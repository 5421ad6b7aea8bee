package yard

import (
	"math"
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
	splits []int64 // from what reaches farthest left
	lap    length.Length
	over   length.Length // how far a nested crown's part that laps over reaches past its mark
	scarf  [2]End        // of the left part's right end and the right part's left end
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
			w.add(s.Item, p, c.Rules.AsCutTolerance)
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

func (w *wanted) add(it *joblog.Item, p *joblog.CuttingPiece, tolerance length.Length) {
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
	r := runOf(it, p, out)
	sawn := it.PartsSawn(out.Piece, out.Computed)
	if len(sawn) == 0 || len(sawn[0].Joints) != sawn[0].Parts-1 {
		w.runs = append(w.runs, r)
		return
	}
	// A part of it is cut: the joints stay where they are.
	for _, part := range r.joined(sawn[0].Joints) {
		cut := false
		for i := range sawn {
			cut = cut || sawn[i].Part == part.Part && sawn[i].AsCut >= part.Length-tolerance
		}
		if !cut {
			w.pieces = append(w.pieces, part)
		}
	}
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
	case runStock(p.Profile):
		for _, m := range p.Marks {
			i := 0
			switch m.From {
			case "left":
			case "right":
				i = 1
			default:
				continue
			}
			// What is coped is mitered first: it comes off the saw like an inside miter, its back long.
			switch m.Name {
			case "short_point_face":
				es[i].Long, es[i].Back = Far, m.Value.Length
			case "short_point_back":
				es[i].Long, es[i].Back = Near, m.Value.Length
			case "short_point_ceiling_edge":
				es[i].Long, es[i].Back = Near, scale(m.Value.Length, it.Run.Profile, false)
			case "short_point_wall_edge":
				es[i].Long, es[i].Back = Far, scale(m.Value.Length, it.Run.Profile, false)
				es[i].Over = scale(m.Value.Length, it.Run.Profile, true) - m.Value.Length
			}
			if es[i].Joint == "scarf" && es[i].Bevel != 0 {
				es[i].Long, es[i].Back = Neither, 0 // goes through the thickness, not across the face
			}
		}
	}
	return es[0], es[1]
}

// scale takes how far one edge of crown stands back from the other, along the back, to how far it
// does from the line of its face that stands out most from the wall. The cut stands plumb in the
// corner, so how far it reaches grows evenly with the distance from the wall; the marks are on the
// back, and at an outside corner the face reaches past them. Where the projection was taped it is
// that line; else it is no farther out than the corner of the board the crown was milled from.
func scale(back length.Length, p trim.Profile, up bool) length.Length {
	depth, most := float64(p.Depth()), farthest(p)
	if depth <= 0 || most <= depth {
		return back
	}
	out := float64(back) * most / depth
	if up {
		return length.Length(math.Ceil(out + 1))
	}
	return length.Length(math.Max(math.Floor(out-1), float64(back)))
}

func farthest(p trim.Profile) float64 {
	if p.Projection > 0 {
		return float64(p.Projection)
	}
	sin, cos := math.Sincos(p.Spring.Degrees() * math.Pi / 180)
	return float64(p.Height)*sin + float64(p.Thickness)*cos
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

func runOf(it *joblog.Item, p *joblog.CuttingPiece, out Piece) run {
	prof, corners := it.Run.Profile, it.Run.Corners
	r := run{piece: out, lap: trim.ScarfOverlap(prof, corners)}
	deg := corners.Scarf().Degrees()
	under := End{Joint: "scarf", Miter: deg, Long: Far, Back: min(length.Length(stock.SetBack(int64(prof.Thickness), deg)), r.lap)}
	over := under
	over.Long = Near
	switch {
	case prof.ScarfsByBevel():
		under = End{Joint: "scarf", Bevel: deg}
		over = under
	case prof.Kind == trim.CrownRun: // plumb like a corner's cut: the one over reaches past its mark
		r.over = scale(r.lap, prof, true) - r.lap
		under.Long, over.Long = Near, Far
		under.Back, over.Back, over.Over = scale(r.lap, prof, false), scale(r.lap, prof, false), r.over
	}
	r.scarf = [2]End{over, under}
	if corners.ScarfLap == trim.RightPiece {
		r.scarf = [2]End{under, over}
	}
	start := p.Run.From - out.Left.Over
	for _, m := range p.Marks {
		if m.From == "left" && (m.Name == "short_point_back" || m.Name == "short_point_wall_edge") {
			start -= m.Value.Length
		}
	}
	for _, s := range p.Run.Nailing.Studs {
		if at := int64(s - start); at > 0 && at < int64(out.span()) {
			r.splits = append(r.splits, at)
		}
	}
	return r
}

// nearEnd is how near to the end of a run it is not joined where another stud will do: a short
// piece in a corner shows (common practice, from memory).
const nearEnd = 24 * length.Inch

// away lists the studs that are not near an end.
func (r run) away() []int64 {
	out := make([]int64, 0, len(r.splits))
	for _, at := range r.splits {
		if at >= int64(nearEnd) && at <= int64(r.piece.span()-nearEnd) {
			out = append(out, at)
		}
	}
	return out
}

// joined makes the pieces of a run with its scarfs centered there, measured from its left long point.
func (r run) joined(joints []length.Length) []Piece {
	if len(joints) == 0 {
		return []Piece{r.piece}
	}
	out := make([]Piece, len(joints)+1)
	from := length.Length(0)
	for i := range out {
		p := r.piece
		p.Part, p.Parts, p.Joints = i+1, len(out), joints
		to := r.piece.Length
		if i > 0 {
			p.Left = r.scarf[1]
		}
		if i < len(joints) {
			p.Right = r.scarf[0]
			to = joints[i] + r.lap - r.lap/2
		}
		p.Length = to - from
		if i < len(joints) {
			from = joints[i] - r.lap/2
		}
		out[i] = p
	}
	return out
}
