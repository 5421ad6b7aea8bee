package trim

import (
	"longpoint/internal/derive"
	"longpoint/internal/finding"
	"longpoint/internal/length"
)

// Nailing is how a piece is fastened: two nails at every stud it crosses, or, crossing none,
// pairs driven at opposing angles with adhesive behind (common practice). Shoe is nailed
// into the base, once each stud spacing.
type Nailing struct {
	Studs    []length.Length `json:"studs,omitempty" doc:"Stud centers behind the piece, from the wall's left end"`
	Nails    int             `json:"nails"`
	ToePairs int             `json:"toe_pairs,omitempty" doc:"Pairs driven at opposing angles where there is no stud"`
	Adhesive bool            `json:"adhesive,omitempty"`
	Unknown  bool            `json:"unknown,omitempty" doc:"No stud has been found on this wall"`
}

// studs is where the studs of a wall stand: every spacing from the one that was found.
func studs(w Wall, spacing length.Length) []length.Length {
	if w.Stud == nil || !spaces(spacing) || *w.Stud < 0 || *w.Stud > w.Length {
		return nil
	}
	var out []length.Length
	for at := *w.Stud % spacing; at <= w.Length; at += spacing {
		out = append(out, at)
	}
	return out
}

// spaces keeps a spacing that no house rule allows from counting without end.
func spaces(spacing length.Length) bool {
	return spacing >= length.Inch && spacing <= length.Longest
}

// onePair is the length under which a piece without a stud takes one pair of nails, not two.
const onePair = 6 * length.Inch

func (r *run) nailing(w Wall, from, to length.Length) Nailing {
	spacing := r.in.Rules.StudSpacing
	if r.in.Profile.Kind == Shoe {
		n := 1
		if spaces(spacing) {
			n += int((to - from + spacing - 1) / spacing)
		}
		return Nailing{Nails: n}
	}
	if w.Stud == nil {
		return Nailing{Unknown: true}
	}
	var out Nailing
	for _, s := range studs(w, spacing) {
		if s > from && s < to {
			out.Studs = append(out.Studs, s)
		}
	}
	if out.Nails = 2 * len(out.Studs); out.Nails > 0 {
		return out
	}
	out.Adhesive, out.ToePairs = true, 2
	if to-from < onePair {
		out.ToePairs = 1
	}
	out.Nails = 2 * out.ToePairs
	return out
}

// overlap is how far a scarf's two pieces lie over one another, even in nanometers so that
// the stud halves it.
func (r *run) overlap() length.Length { return ScarfOverlap(r.in.Profile, r.in.Corners) }

// ScarfOverlap is that overlap for stock joined as said. The slope runs through what stands out
// from the wall: the board's thickness, or of crown nested in the saw, the reach along the ceiling.
func ScarfOverlap(p Profile, c Corners) length.Length {
	through := p.Thickness
	if !p.ScarfsByBevel() {
		through = p.depth()
	}
	return 2 * times(through, c.Scarf().tan()/2)
}

// ScarfsByBevel reports whether a scarf leans the blade: of crown flat on its back the cut then
// slopes through the board. Nested crown and what stands at the fence swing the table instead; a
// blade leaning over nested crown would slope over its whole drop.
func (p Profile) ScarfsByBevel() bool { return p.Kind == CrownRun && p.Position != Nested }

// Scarf is the angle scarfs are cut at, from square.
func (c Corners) Scarf() Angle {
	if c.ScarfAngle == 0 {
		return defaultScarf
	}
	return c.ScarfAngle
}

// scarfEnds are the two ends of a scarf on a stud. The back of the one beneath runs half the
// overlap past the stud, its face stops as much short; the one that laps over is the reverse.
func (r *run) scarfEnds(overlap length.Length) (left, right endCut) {
	a := r.in.Corners.Scarf()
	half := overlap / 2
	under := endCut{joint: ScarfUnder, beyond: -overlap, off: []derive.Term{derive.Plus("scarf_half_overlap", half, derive.Geometry)}}
	over := endCut{joint: ScarfOver, beyond: overlap, off: []derive.Term{derive.Minus("scarf_half_overlap", half, derive.Geometry)}}
	for _, e := range []*endCut{&under, &over} {
		if r.in.Profile.ScarfsByBevel() {
			e.bevel = a.Degrees()
		} else {
			e.miter = a.Degrees()
		}
	}
	if r.in.Corners.ScarfLap == RightPiece {
		return under, over
	}
	return over, under
}

// parts splits a stretch that is longer than the stock at studs. It returns the stretch
// itself when it need not or cannot be split.
func (r *run) parts(s *span) []*span {
	most := r.in.Profile.StockLength
	if most <= 0 || overall(s) <= most {
		return []*span{s}
	}
	say := func(code string) []*span {
		r.note(finding.New(code, finding.Stop).On("trimmed").At(wallReading(s.wall+1, ReadStud)).
			Num("wall", int64(s.wall+1)).Len("length", overall(s)).Len("stock", most).Len("spacing", r.in.Rules.StudSpacing))
		return []*span{s}
	}
	w := r.in.Room.Walls[s.wall]
	if w.Stud == nil {
		return say("run_too_long_no_studs")
	}
	var at []length.Length
	for _, x := range studs(w, r.in.Rules.StudSpacing) {
		if x > s.left.at && x < s.right.at {
			at = append(at, x)
		}
	}
	overlap := r.overlap()
	cuts := r.choose(s, at, overlap, most)
	if cuts == nil {
		return say("run_stock_too_short")
	}
	left, right := r.scarfEnds(overlap)
	out := make([]*span, 0, len(cuts)+1)
	rest := *s
	for _, x := range cuts {
		st := stop{at: x, terms: []derive.Term{derive.Plus("stud", x, derive.Computed)}}
		one := rest
		one.right, one.r = st, left
		out = append(out, &one)
		next := rest
		next.left, next.l = st, right
		rest = next
	}
	return append(out, &rest)
}

// choose picks studs for the fewest pieces that the stock allows, and among those the ones
// whose shortest piece is longest; equal ways go by the lap, so a mirrored room mirrors.
func (r *run) choose(s *span, at []length.Length, overlap, most length.Length) []length.Length {
	left, right := r.scarfEnds(overlap)
	piece := func(from, to int) length.Length { // −1 and len(at) are the stretch's own ends
		p := *s
		if from >= 0 {
			p.left, p.l = stop{at: at[from]}, right
		}
		if to < len(at) {
			p.right, p.r = stop{at: at[to]}, left
		}
		if p.back() <= 0 || p.face() <= 0 {
			return 0
		}
		return overall(&p)
	}
	n := len(at)
	mirrored := r.in.Corners.ScarfLap == RightPiece
	if mirrored {
		straightOn := piece
		piece = func(from, to int) length.Length { return straightOn(n-1-to, n-1-from) }
	}
	// best[k] is the best way to reach stud k from the left; best[n] reaches the far end.
	type way struct {
		pieces   int
		shortest length.Length
		before   int
	}
	best := make([]way, n+1)
	for to := range best {
		for from := -1; from < to; from++ {
			l := piece(from, to)
			if l <= 0 || l > most || from >= 0 && best[from].pieces == 0 {
				continue
			}
			w := way{1, l, from}
			if from >= 0 {
				w = way{best[from].pieces + 1, min(l, best[from].shortest), from}
			}
			if b := best[to]; b.pieces == 0 || w.pieces < b.pieces || w.pieces == b.pieces && w.shortest > b.shortest {
				best[to] = w
			}
		}
	}
	if best[n].pieces < 2 {
		return nil
	}
	out := make([]length.Length, best[n].pieces-1)
	for k, i := best[n].before, 0; k >= 0; k, i = best[k].before, i+1 {
		if mirrored {
			out[i] = at[n-1-k]
		} else {
			out[len(out)-1-i] = at[k]
		}
	}
	return out
}
