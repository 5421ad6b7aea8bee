package trim

import (
	"slices"
	"strconv"

	"longpoint/internal/derive"
	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
)

// RunInput is everything the cuts of one wall run depend on.
type RunInput struct {
	Room      Room             `json:"room"`
	Features  []Feature        `json:"features,omitempty" maxItems:"400"`
	Profile   Profile          `json:"profile"`
	Corners   Corners          `json:"corners"`
	Along     []int            `json:"along,omitempty" maxItems:"200" doc:"Walls the run goes along, counted from 1; all of them when not said"`
	Registers RegisterRule     `json:"registers,omitempty" enum:"cut_round,run_over" doc:"What this run does at registers; to be said where there are any"`
	Taped     []TapedStretch   `json:"taped,omitempty" maxItems:"400"`
	Saw       *Saw             `json:"saw,omitempty" doc:"A common compound saw when not given"`
	Rules     houserules.Rules `json:"-"`
}

// goes reports whether the run goes along a wall, counted from 1.
func (in *RunInput) goes(wall int) bool { return len(in.Along) == 0 || slices.Contains(in.Along, wall) }

// TapedStretch is a direct reading of the wall between two stops, to stand beside the one
// worked out from the wall and its features.
type TapedStretch struct {
	Wall    int           `json:"wall" minimum:"1"`
	Stretch int           `json:"stretch" minimum:"1" doc:"Counted from the wall's left end"`
	Length  length.Length `json:"length"`
}

// RunCuts is what the rule book makes of a run. Pieces of walls whose readings are missing
// are left out; Findings say which reading is wanted.
type RunCuts struct {
	Cuts      []Cut             `json:"cuts"`
	Pieces    []Piece           `json:"pieces" doc:"What each cut is for; cuts that are returns have none"`
	Stretches []Stretch         `json:"stretches"`
	Corners   []Corner          `json:"corners,omitempty"`
	Values    []Named           `json:"values"`
	Plan      *Plan             `json:"plan,omitempty"`
	Findings  []finding.Finding `json:"findings"`
}

// Stretch is the wall between two stops: corners, or outside edges of casings, or the face of a
// casing that fills the corner.
type Stretch struct {
	Wall   int            `json:"wall"`
	Number int            `json:"number" doc:"Counted from the wall's left end"`
	From   length.Length  `json:"from" doc:"From the wall's left end"`
	To     length.Length  `json:"to"`
	Value  derive.Value   `json:"value"`
	Taped  *length.Length `json:"taped,omitempty" doc:"The same, taped directly"`
	Bare   bool           `json:"bare,omitempty" doc:"No piece fits here"`
}

// Piece says where a cut goes and how its length along the back comes about.
type Piece struct {
	Name    string        `json:"name" doc:"The cut's piece"`
	Wall    int           `json:"wall"`
	Number  int           `json:"number" doc:"Counted along the wall from its left end"`
	Stretch int           `json:"stretch"`
	From    length.Length `json:"from" doc:"Left end of the back, from the wall's left end"`
	To      length.Length `json:"to" doc:"Right end of the back, before any spring"`
	Back    derive.Value  `json:"back" doc:"Length along the back"`
	Face    length.Length `json:"face" doc:"Length along the face's outermost line; of crown, along the ceiling edge"`
	Left    Joint         `json:"left"`
	Right   Joint         `json:"right"`
	Sprung  bool          `json:"sprung,omitempty" doc:"Cut long to spring into place"`
	Nailing Nailing       `json:"nailing"`
}

// stop is what a stretch ends against.
type stop struct {
	at      length.Length
	terms   []derive.Term
	corner  bool // else a feature, or the end of an open walk
	openEnd bool
}

// span is a stretch while it is worked out.
type span struct {
	wall, number int // from 0
	left, right  stop
	bare         bool
	l, r         endCut
}

func (s *span) back() length.Length {
	return s.right.at - s.left.at - s.l.takes() - s.r.takes()
}

// tapes is the wall between what the stretch ends at, as a tape reads it: where the casing of the
// next wall fills a corner, that ends at its face.
func (s *span) tapes() (from, to length.Length) {
	from, to = s.left.at, s.right.at
	if s.l.joint == ButtCasing {
		from += s.l.takes()
	}
	if s.r.joint == ButtCasing {
		to -= s.r.takes()
	}
	return from, to
}

// face is along the outermost line of the face.
func (s *span) face() length.Length { return s.back() + s.l.beyond + s.r.beyond }

// run is one run being worked out.
type run struct {
	in      RunInput
	saw     Saw
	depth   length.Length
	heads   []Angle
	spans   [][]*span // by wall; nil where the wall cannot be told
	wallBad []bool
	doors   Angle // heading of the main door's wall
	hasDoor bool
	choices map[int]CornerChoice
	out     RunCuts
}

// Run works out the pieces of one run along the walls of a room. It never panics; what
// cannot be worked out is left out and a finding says which reading is wanted.
func Run(in RunInput) RunCuts {
	r := &run{in: in, saw: DefaultSaw()}
	if in.Saw != nil {
		r.saw = *in.Saw
	}
	plan, fs := PlanRoom(in.Room, in.Rules)
	r.out = RunCuts{Plan: plan, Findings: fs, Cuts: []Cut{}, Pieces: []Piece{}, Stretches: []Stretch{}, Values: []Named{}}
	bad := append(CheckProfile(in.Profile), checkCorners(in)...)
	r.note(bad...)
	r.sortWalls()
	if finding.HasStop(bad) || r.tooLittle() {
		return r.out
	}
	r.depth = in.Profile.depth()
	r.choices = make(map[int]CornerChoice, len(in.Corners.Choices))
	for _, c := range in.Corners.Choices {
		r.choices[c.After] = c
	}
	r.layOut()
	r.joinAll()
	r.emit()
	return r.out
}

func (r *run) note(fs ...finding.Finding) { r.out.Findings = append(r.out.Findings, fs...) }

func (r *run) tooLittle() bool {
	n := len(r.in.Room.Walls)
	return n == 0 || n > MostWalls || !r.in.Room.Open && n < 3
}

// sortWalls finds which walls can be told, checks the features on them and finds the door.
func (r *run) sortWalls() {
	walls := r.in.Room.Walls
	if len(walls) > MostWalls {
		return
	}
	n := len(walls)
	r.wallBad = make([]bool, n)
	for i, w := range walls {
		if w.Length < LeastWall || w.Length > MostWall {
			r.wallBad[i] = true
		}
		if _, ok := w.Corner(); !ok && !(r.in.Room.Open && i == n-1) {
			r.wallBad[i], r.wallBad[(i+1)%n] = true, true
		}
		if r.in.goes(i + 1) {
			r.note(bowFinding(i+1, w, r.in.Rules)...)
		}
	}
	r.heads = r.in.Room.headings()
	door := -1
	for k, f := range r.in.Features {
		if f.Wall < 1 || f.Wall > n {
			r.note(finding.New("feature_wall_unknown", finding.Stop).On("measured").At(featureReading(k+1)).
				Num("feature", int64(k+1)).Num("wall", int64(f.Wall)).Num("walls", int64(n)))
			continue
		}
		fs := CheckFeature(k+1, walls[f.Wall-1], f)
		r.note(fs...)
		if finding.HasStop(fs) {
			r.wallBad[f.Wall-1] = true
			continue
		}
		if f.Kind == OpeningFeature && (door < 0 || f.Main && !r.in.Features[door].Main) {
			door = k
		}
	}
	if door >= 0 {
		r.hasDoor, r.doors = true, r.heads[r.in.Features[door].Wall-1]
	}
}

// layOut parts every wall into stretches between the features the run stops at.
func (r *run) layOut() {
	n := len(r.in.Room.Walls)
	r.spans = make([][]*span, n)
	unsaid := false
	for i, w := range r.in.Room.Walls {
		if r.wallBad[i] || !r.in.goes(i+1) {
			continue
		}
		open := r.in.Room.Open
		at := stop{corner: !open || i > 0, openEnd: open && i == 0}
		var spans []*span
		number := 0
		end := func(to stop) {
			if to.at > at.at { // casings that meet, or reach the corner, leave a number but no stretch
				spans = append(spans, &span{wall: i, number: number, left: at, right: to})
			}
			number++
		}
		last := -1
		for _, k := range onWall(r.in.Features, i+1) {
			f := r.in.Features[k]
			unsaid = unsaid || f.Kind == Register && r.in.Registers == "" && r.in.Profile.Kind != CrownRun
			if !f.breaks(r.in.Profile, r.in.Registers) {
				continue
			}
			if last >= 0 && f.left() < at.at {
				r.note(finding.New("features_overlap", finding.Stop).On("measured").At(featureReading(k+1)).
					Num("wall", int64(i+1)).Num("feature", int64(last+1)).Num("other", int64(k+1)).Len("by", at.at-f.left()))
				r.wallBad[i] = true
				break
			}
			last = k
			end(stop{at: f.left(), terms: f.leftTerms()})
			at = stop{at: f.right(), terms: f.rightTerms()}
		}
		if r.wallBad[i] {
			continue
		}
		end(stop{at: w.Length, terms: []derive.Term{derive.Plus("wall", w.Length, derive.Reading)},
			corner: !open || i < n-1, openEnd: open && i == n-1})
		r.spans[i] = spans
	}
	if unsaid {
		r.note(finding.New("registers_unsaid", finding.Warn).On("trimmed").At("registers"))
	}
}

// joinAll makes the ends of every stretch. A stretch too short for its joints is left bare,
// which changes its neighbors' joints, so it goes round until nothing more falls out; each
// round but the last takes at least one stretch away.
func (r *run) joinAll() {
	for again := true; again; {
		again = false
		for _, ss := range r.spans {
			for _, s := range ss {
				s.l, s.r = r.leftEnd(s), r.rightEnd(s)
			}
		}
		for _, ss := range r.spans {
			for _, s := range ss {
				// What a joint takes beyond an outside corner is no piece where the wall itself has no room.
				if from, to := s.tapes(); !s.bare && (s.back() <= 0 || s.face() <= 0 || to <= from) {
					s.bare, again = true, true
				}
			}
		}
	}
}

func (r *run) leftEnd(s *span) endCut {
	n := len(r.spans)
	switch {
	case s.left.openEnd:
		return r.walkEnd(r.in.Room.Starts)
	case !s.left.corner:
		return endCut{joint: ButtCasing}
	}
	_, right := r.corner((s.wall + n - 1) % n)
	return right
}

func (r *run) rightEnd(s *span) endCut {
	switch {
	case s.right.openEnd:
		return r.walkEnd(r.in.Room.Ends)
	case !s.right.corner:
		return endCut{joint: ButtCasing}
	}
	left, _ := r.corner(s.wall)
	return left
}

func (r *run) walkEnd(e RunEnd) endCut {
	switch e {
	case EndReturn, EndSquare:
		return r.freeEnd(e)
	case EndButt:
		return endCut{joint: ButtCasing}
	}
	return endCut{joint: ButtWall}
}

// corner makes both ends at the right end of wall i, as if there were a piece for each; the
// end of a side without a piece is not used.
func (r *run) corner(i int) (left, right endCut) {
	j := (i + 1) % len(r.spans)
	c, _ := r.in.Room.Walls[i].Corner()
	hasLeft, gapLeft, thickLeft := r.atCorner(i, true)
	hasRight, gapRight, thickRight := r.atCorner(j, false)
	if hasLeft && hasRight {
		jl, jr := r.joints(i, j, c)
		return r.cornerEnd(jl, c), r.cornerEnd(jr, c)
	}
	return r.alone(c, gapRight, thickRight), r.alone(c, gapLeft, thickLeft)
}

// alone ends a piece at a corner whose other wall has no piece, only perhaps a casing of the
// given thickness starting gap away from the corner.
func (r *run) alone(c Angle, gap, casing length.Length) endCut {
	switch {
	case c == straight:
		return endCut{joint: Straight}
	case c > straight:
		end := r.in.Corners.FreeEnd
		if k := r.in.Profile.Kind; end == "" && (k == ChairRail || k == CrownRun) {
			end = EndReturn
		}
		return r.freeEnd(end)
	}
	// A square end reaches this far along the other wall: the casing is in its way if nearer.
	sin, _ := c.sinCos()
	if c < 90*Degree {
		sin = 1 / sin
	}
	if gap >= times(r.depth+r.in.Profile.StandsOff, sin) {
		casing = 0
	}
	return r.intoWall(c, casing)
}

// atCorner reports whether wall i has a piece at its right (else left) end, and otherwise how
// far off the nearest feature stands and how thick its casing is. A wall that cannot be told
// is taken to have a piece if the run goes along it.
func (r *run) atCorner(i int, right bool) (piece bool, gap, thick length.Length) {
	ss := r.spans[i]
	if ss == nil && r.wallBad[i] {
		return r.in.goes(i + 1), 0, 0
	}
	w := r.in.Room.Walls[i].Length
	gap = w
	for _, f := range r.in.Features {
		if f.Wall != i+1 || !f.breaks(r.in.Profile, r.in.Registers) {
			continue
		}
		g := max(0, f.left())
		if right {
			g = max(0, w-f.right())
		}
		if g < gap || g == gap && f.CasingThickness > thick {
			gap, thick = g, f.CasingThickness
		}
	}
	if len(ss) == 0 {
		return false, gap, thick
	}
	s := ss[0]
	if right {
		s = ss[len(ss)-1]
		return s.right.at == w && !s.bare, gap, thick
	}
	return s.left.at == 0 && !s.bare, gap, thick
}

func pieceName(wall, number int) string {
	return "wall_" + strconv.Itoa(wall) + "_piece_" + strconv.Itoa(number)
}
