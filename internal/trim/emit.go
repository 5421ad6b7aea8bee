package trim

import (
	"longpoint/internal/derive"
	"longpoint/internal/finding"
	"longpoint/internal/length"
)

// overall is from long point to long point, as the piece lies on the saw.
func overall(s *span) length.Length {
	return s.back() + max(0, s.l.beyond) + max(0, s.r.beyond)
}

// What a piece may be before something is said, common practice: under sliver it splits
// when nailed; under handsOff it is cut from a longer stick, never held by hand at the blade.
const (
	sliver   = length.Half
	handsOff = 6 * length.Inch
)

// emit writes the stretches, pieces, corners and totals out in order of the walls.
func (r *run) emit() {
	taped := r.taped()
	var backs, longs []derive.Term
	small := false
	for i, ss := range r.spans {
		number := 0
		for _, s := range ss {
			r.out.Stretches = append(r.out.Stretches, r.stretch(s, taped))
			if s.bare {
				r.note(finding.New("piece_no_room", finding.Warn).On("trimmed").At(pieceName(i+1, number+1)).
					Num("wall", int64(i+1)).Num("stretch", int64(s.number+1)).Len("space", s.right.at-s.left.at))
				continue
			}
			parts := r.parts(s)
			for _, part := range parts {
				number++
				cut := r.piece(part, number, len(parts) > 1)
				backs = append(backs, derive.Plus("piece", r.out.Pieces[len(r.out.Pieces)-1].Back.Length, derive.Computed))
				longs = append(longs, derive.Plus("piece", cut.Value.Length, derive.Computed))
				if cut.Value.Length < sliver {
					r.note(finding.New("piece_sliver", finding.Note).On("trimmed").At(cut.Piece).
						Num("wall", int64(i+1)).Num("piece", int64(number)).Len("length", cut.Value.Length))
				}
				small = small || cut.Value.Length < handsOff || part.l.joint == Return || part.r.joint == Return
			}
		}
		if w := r.in.Room.Walls[i]; len(ss) > 0 && w.Stud == nil && r.in.Profile.Kind != Shoe {
			r.note(finding.New("studs_unknown", finding.Note).On("nailed").At(wallReading(i+1, ReadStud)).Num("wall", int64(i+1)))
		}
		r.describeCorner(i)
	}
	if small {
		r.note(finding.New("small_piece_caution", finding.Note).On("trimmed").At("saw").Len("least", handsOff))
	}
	if len(backs) > 0 {
		r.out.Values = append(r.out.Values,
			Named{Name: "run_along_backs", Value: derive.Sum("wall_run_geometry", backs...)},
			Named{Name: "run_of_stock", Value: derive.Sum("wall_run_geometry", longs...)})
	}
}

func (r *run) stretch(s *span, taped map[[2]int]length.Length) Stretch {
	terms := spaceTerms(s)
	out := Stretch{Wall: s.wall + 1, Number: s.number + 1, From: s.left.at, To: s.right.at, Bare: s.bare}
	if !s.bare {
		out.From, out.To = s.tapes()
		for _, e := range [...]*endCut{&s.l, &s.r} {
			if e.joint == ButtCasing {
				terms = append(terms, e.off...)
			}
		}
	}
	out.Value = derive.Sum("wall_between_stops", terms...)
	t, ok := taped[[2]int{out.Wall, out.Number}]
	if !ok {
		return out
	}
	out.Taped = &t
	if apart := (t - out.Value.Length).Abs(); apart > r.in.Rules.TapedCheck {
		r.note(finding.New("taped_apart", finding.Stop).On("measured").At(stretchReading(out.Wall, out.Number)).
			Num("wall", int64(out.Wall)).Num("stretch", int64(out.Number)).
			Len("taped", t).Len("computed", out.Value.Length).Len("apart", apart).Len("most", r.in.Rules.TapedCheck))
	}
	return out
}

// spaceTerms add up to the wall between the two stops.
func spaceTerms(s *span) []derive.Term {
	ts := append(make([]derive.Term, 0, len(s.left.terms)+len(s.right.terms)+6), s.right.terms...)
	for _, t := range s.left.terms {
		ts = append(ts, derive.Minus(t.Name, t.Length, t.Origin))
	}
	return ts
}

// taped collects the direct readings, refusing what cannot be one.
func (r *run) taped() map[[2]int]length.Length {
	out := map[[2]int]length.Length{}
	known := map[[2]int]bool{}
	for i, ss := range r.spans {
		for _, s := range ss {
			known[[2]int{i + 1, s.number + 1}] = true
		}
	}
	for _, t := range r.in.Taped {
		f := finding.New("taped_unknown", finding.Warn).On("measured").At(stretchReading(t.Wall, t.Stretch)).
			Num("wall", int64(t.Wall)).Num("stretch", int64(t.Stretch)).Len("taped", t.Length).Len("most", MostWall)
		switch {
		case t.Length <= 0 || t.Length > MostWall:
			f.Code, f.Severity = "taped_impossible", finding.Stop
		case !known[[2]int{t.Wall, t.Stretch}]:
		default:
			out[[2]int{t.Wall, t.Stretch}] = t.Length
			continue
		}
		r.note(f)
	}
	return out
}

// piece writes one piece and its cut, and the returns at its ends.
func (r *run) piece(s *span, number int, scarfed bool) Cut {
	back := spaceTerms(s)
	back = append(append(back, s.l.off...), s.r.off...)
	caught := s.l.joint.caught() && s.r.joint.caught()
	spring := length.Length(0)
	if caught && !scarfed {
		spring = r.in.Rules.SprungShort
		if s.back() > r.in.Rules.SprungFrom {
			spring = r.in.Rules.SprungLong
		}
		if spring != 0 {
			back = append(back, derive.Plus("sprung", spring, derive.Rule))
		}
	}
	kind := string(r.in.Profile.Kind)
	p := Piece{Name: pieceName(s.wall+1, number), Wall: s.wall + 1, Number: number, Stretch: s.number + 1,
		From: s.left.at + s.l.takes(), To: s.right.at - s.r.takes(),
		Back: derive.Sum("wall_run_geometry", back...), Face: s.face() + spring,
		Left: s.l.joint, Right: s.r.joint, Sprung: spring != 0}
	p.Nailing = r.nailing(r.in.Room.Walls[s.wall], p.From, p.To)
	r.out.Pieces = append(r.out.Pieces, p)

	long := append([]derive.Term(nil), back...)
	cut := Cut{Piece: p.Name, Profile: kind, Rounding: length.Nearest, Quantity: 1,
		Ends: []End{s.l.end(), s.r.end()}}
	for _, e := range []struct {
		from string
		end  endCut
	}{{"left", s.l}, {"right", s.r}} {
		b := e.end.beyond
		if b > 0 {
			long = append(long, derive.Plus("long_point_"+e.from, b, derive.Geometry))
		}
		if b != 0 {
			cut.Marks = append(cut.Marks, r.shortPoint(e.end.joint, e.from, b))
		}
	}
	cut.Value = derive.Sum("wall_run_geometry", long...)
	if spring == 0 && stopped(s.l.joint) && stopped(s.r.joint) {
		cut.Rounding = length.Down
	}
	cut.Marks = append(cut.Marks, r.featureMarks(s)...)
	r.out.Cuts = append(r.out.Cuts, cut)
	r.returns(s, p.Name)
	return cut
}

// stopped reports whether the end has something hard against it, so that a piece too long
// does not go in.
func stopped(j Joint) bool { return j.caught() || j == ButtCasing || j == Straight }

// shortPoint marks where the end's short point lies: on the back when the face stands
// beyond it. Crown's back runs along the wall and its face along the ceiling, but a scarf
// cut flat goes through its thickness.
func (r *run) shortPoint(j Joint, from string, beyond length.Length) Mark {
	back, face := "short_point_back", "short_point_face"
	scarf := j == ScarfUnder || j == ScarfOver
	if p := r.in.Profile; p.Kind == CrownRun && !(scarf && p.ScarfsByBevel()) {
		back, face = "short_point_wall_edge", "short_point_ceiling_edge"
	}
	name := back
	if beyond < 0 {
		name = face
	}
	return Mark{Name: name, From: from, Value: derive.Sum("wall_run_geometry", derive.Plus(name, beyond.Abs(), derive.Geometry))}
}

func (e endCut) end() End {
	out := End{Joint: "square", Miter: e.miter, Bevel: e.bevel}
	switch e.joint {
	case Cope:
		out.Joint = "cope"
	case ScarfUnder, ScarfOver:
		out.Joint = "scarf"
	case Return:
		out.Joint = "return"
	default:
		if e.miter != 0 || e.bevel != 0 {
			out.Joint = "miter"
		}
	}
	return out
}

// returns writes the little pieces that close a free end: as long at the long point as the
// stock is thick, one end mitered, the other square to the wall.
func (r *run) returns(s *span, name string) {
	for _, e := range []struct {
		from string
		end  endCut
	}{{"left", s.l}, {"right", s.r}} {
		if e.end.joint != Return {
			continue
		}
		ends := []End{{Joint: "square"}, {Joint: "return", Miter: e.end.miter, Bevel: e.end.bevel}}
		if e.from == "right" {
			ends[0], ends[1] = ends[1], ends[0]
		}
		r.out.Cuts = append(r.out.Cuts, Cut{Piece: name + "_return_" + e.from, Profile: string(r.in.Profile.Kind),
			Value:    derive.Sum("wall_run_geometry", derive.Plus("thickness", r.depth, derive.Unit)),
			Rounding: length.Nearest, Ends: ends, Quantity: 1})
	}
}

// featureMarks are the edges of registers and boxes on a piece that passes them, from the
// piece's left end as it lies on the saw.
func (r *run) featureMarks(s *span) []Mark {
	var out []Mark
	start := s.left.at + s.l.takes() - max(0, s.l.beyond)
	for _, k := range onWall(r.in.Features, s.wall+1) {
		f := r.in.Features[k]
		if !f.marked(r.in.Profile, r.in.Registers) || f.Offset >= s.right.at || f.Offset+f.Width <= s.left.at {
			continue
		}
		for _, e := range []struct {
			name string
			at   length.Length
		}{{"_left_edge", f.Offset}, {"_right_edge", f.Offset + f.Width}} {
			if e.at < s.left.at || e.at > s.right.at {
				continue
			}
			out = append(out, Mark{Name: string(f.Kind) + e.name, From: "left", Value: derive.Sum("wall_run_geometry",
				derive.Plus("feature_edge", e.at, derive.Reading), derive.Minus("piece_starts", start, derive.Computed))})
		}
	}
	return out
}

// describeCorner writes how the corner at the right end of wall i is made and says what is
// awkward about it.
func (r *run) describeCorner(i int) {
	n := len(r.spans)
	if r.in.Room.Open && i == n-1 || r.wallBad[i] && r.wallBad[(i+1)%n] {
		return
	}
	c, ok := r.in.Room.Walls[i].Corner()
	if !ok {
		return
	}
	j := (i + 1) % n
	out := Corner{After: i + 1, Before: j + 1, Angle: c, Turn: c.turn()}
	left, right := r.corner(i)
	hasLeft, _, _ := r.atCorner(i, true)
	hasRight, _, _ := r.atCorner(j, false)
	if hasLeft && !r.wallBad[i] {
		out.Left = left.joint
	}
	if hasRight && !r.wallBad[j] {
		out.Right = right.joint
	}
	if out.Left == "" && out.Right == "" {
		return
	}
	out.Allowances = r.allowances(c, out.Left, out.Right)
	cut := left
	if out.Left == "" || left.miter == 0 && left.bevel == 0 && out.Right != "" {
		cut = right
	}
	p := r.in.Profile
	across, through := r.depth, p.Height
	if p.Kind == CrownRun && p.Position != Nested {
		across, through = p.Height, p.Thickness
	}
	if set, err := r.saw.Set(cut.miter, cut.bevel, across, through); err == nil {
		set.openBy(opensOf(cut.joint, c.turn()))
		out.Saw = set
	}
	r.out.Corners = append(r.out.Corners, out)
	r.cornerFindings(out)
}

func (r *run) cornerFindings(c Corner) {
	say := func(code string, s finding.Severity) finding.Finding {
		return finding.New(code, s).On("trimmed").At(cornerReading(c.After)).Num("wall", int64(c.After)).
			Num("next", int64(c.Before)).Dec("angle", c.Angle.Degrees(), 1)
	}
	m, b := c.Saw.Miter, c.Saw.Bevel
	switch halved := c.halved(); {
	case m.InReach && b.InReach:
	case r.in.Profile.Kind == CrownRun && halved:
		r.note(r.crownPastSaw(say, c))
	default:
		r.note(say("corner_past_saw", finding.Warn).Dec("miter", m.Want, 1).Dec("most", r.saw.MiterMost.Degrees(), 1).Dec("rest", 90-m.Want, 1))
	}
	if c.Left == "" || c.Right == "" || c.Angle >= straight {
		return
	}
	met := c.Left == ButtSecond || c.Right == ButtSecond || c.Left == Cope || c.Right == Cope
	// Behind the joint of an open corner the square first end leaves a three-cornered hole,
	// one side of it as deep as the stock, seen from above.
	if hole := -times(r.depth, 1/c.Angle.tan()); met && hole > r.in.Rules.CaulkMost {
		r.note(say("corner_hole_behind", finding.Note).Len("hole", hole))
	}
	// A square first end stops d / tan c short of an acute corner. A profile thinner than
	// t here leaves the cope without a face to meet: t / tan(c/2) must not be less than that.
	coped := c.Left == Cope || c.Right == Cope
	if thin := times(r.depth, c.Angle.halfTan()/c.Angle.tan()); coped && thin > r.depth/4 {
		r.note(say("corner_acute_thin", finding.Note).Len("thin", thin).Dec("miter", 90-c.Angle.Degrees(), 1))
	}
}

// halved reports whether the corner's pieces are cut in the plane that halves it.
func (c Corner) halved() bool {
	for _, j := range [...]Joint{c.Left, c.Right} {
		switch j {
		case Cope, MiterInside, MiterOutside, Return:
			return true
		}
	}
	return false
}

// crownPastSaw says what to do with crown whose corner the saw does not reach as the crown lies:
// lay it the other way where that is in reach, else turn the corner in two.
func (r *run) crownPastSaw(say func(string, finding.Severity) finding.Finding, c Corner) finding.Finding {
	turn := c.Turn
	if c.Left == Return || c.Right == Return {
		turn = 90 * Degree
	}
	nested := turn.Degrees() / 2
	miter, bevel := crown(r.in.Profile.Spring.Degrees(), (straight - turn).Degrees())
	swings, leans := r.saw.MiterMost.Degrees(), r.saw.BevelMost.Degrees()
	code := "corner_past_saw_crown"
	switch flat := r.in.Profile.Position != Nested; {
	case flat && nested <= swings:
		code = "corner_past_saw_bevel"
	case !flat && miter <= swings && bevel <= leans:
		code = "corner_past_saw_nested"
	}
	return say(code, finding.Warn).Dec("miter", miter, 1).Dec("bevel", bevel, 1).Dec("nested", nested, 1).
		Dec("most", leans, 1).Dec("swings", swings, 1)
}
