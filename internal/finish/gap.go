package finish

import (
	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// Edge is where along a piece of trim a gap runs.
type Edge string

// The edges.
const (
	TopEdge    Edge = "top"     // on top of a head casing, base, chair rail or apron
	SideEdge   Edge = "side"    // casing against the wall
	BottomEdge Edge = "bottom"  // at the floor or under a piece
	Between    Edge = "between" // a shadow line between two painted members
)

// Edges lists every edge.
func Edges() []Edge { return []Edge{TopEdge, SideEdge, BottomEdge, Between} }

// Closing is how a gap was closed.
type Closing string

// The ways.
const (
	Caulked      Closing = "caulk"
	Scribed      Closing = "scribe" // a scribed piece, or the piece scribed to the wall
	LeftUnclosed Closing = "open"
)

// Closings lists every way.
func Closings() []Closing { return []Closing{Caulked, Scribed, LeftUnclosed} }

// Visibility is which edges a job wants beads on.
type Visibility string

// The visibilities. An empty one is FromAbove.
const (
	FromAbove Visibility = "from_above" // the top edges that stairs or a landing look down on
	AllEdges  Visibility = "all_edges"
)

// VisibilityOf is what the house rules say of the edges that want beads.
func VisibilityOf(r houserules.Rules) Visibility {
	if r.Visibility == 1 {
		return AllEdges
	}
	return FromAbove
}

// MostPasses is the most passes of caulk one log entry may hold.
const MostPasses = 9

// Gap is one log entry of a gap between trim and wall or between two members, and how it
// was closed. Lengths are nanometers.
type Gap struct {
	Edge    Edge          `json:"edge" enum:"top,side,bottom,between" doc:"Where along the trim it runs"`
	Width   length.Length `json:"width" doc:"At its widest, nanometers"`
	Run     length.Length `json:"run,omitempty" doc:"How far it runs along the trim, nanometers"`
	Closing Closing       `json:"closing" enum:"caulk,scribe,open"`
	Backer  bool          `json:"backer,omitempty" doc:"Backer rod or strip behind the bead"`
	Passes  int           `json:"passes,omitempty" minimum:"0" maximum:"9" doc:"Passes of caulk"`
	Sealant *Sealant      `json:"sealant,omitempty" doc:"What it was caulked with"`
}

// GapContext is what a gap is judged by.
type GapContext struct {
	Grade         trim.Grade       `json:"grade" enum:"paint,stain"`
	SeenFromAbove bool             `json:"seen_from_above,omitempty" doc:"Stairs or a landing look down on the item"`
	Visibility    Visibility       `json:"visibility,omitempty" enum:"from_above,all_edges"`
	Sides         bool             `json:"sides,omitempty" doc:"It has side edges along a wall, as casing has and base has not"`
	Rules         houserules.Rules `json:"-"`

	From houserules.Origin `json:"-"` // where the visibility was set; empty counts as built in
}

// origin is the catalog term of where the visibility was set.
func (c GapContext) origin() string {
	if c.From == "" {
		return "rule_built_in"
	}
	return "rule_" + string(c.From)
}

// GapPlan is what a gap of some width wants.
type GapPlan struct {
	Refit  bool `json:"refit" doc:"Too wide to close: take the piece off and refit it"`
	Scribe bool `json:"scribe" doc:"A scribed piece, or backer behind the bead under paint"`
	Backer bool `json:"backer" doc:"Backer behind the bead, unless a piece is scribed in"`
	Passes int  `json:"passes" doc:"Passes of caulk, when caulked"`
}

// PlanGap says what a gap wants: under paint one pass to 1/8, two passes beyond, backer or a
// scribed piece over 1/4, a refit over 1/2 (the house rules' numbers). Under stain nothing
// is caulked; over 1/4 a piece is scribed. Width in nanometers, 0 (a shadow line) and up; a
// negative width plans as 0. Basis: common practice.
func PlanGap(width length.Length, g trim.Grade, r houserules.Rules) GapPlan {
	p := GapPlan{Refit: width > r.ScribeMost, Scribe: width > r.CaulkMost}
	if g == trim.Stain {
		return p
	}
	p.Backer = p.Scribe
	p.Passes = 1
	if width > r.CaulkTwoPass {
		p.Passes = 2
	}
	return p
}

// NeedsBead reports whether the job wants caulk on the edge at all. Under paint a shadow line
// between members always takes it, a top edge when it is seen from above, any edge when the
// job says so; under stain nothing does.
func NeedsBead(e Edge, c GapContext) bool {
	switch {
	case c.Grade != trim.Paint:
		return false
	case e == Between || c.Visibility == AllEdges:
		return true
	}
	return e == TopEdge && c.SeenFromAbove
}

// CheckGap judges one gap as it was closed.
func CheckGap(g Gap, c GapContext) []finding.Finding {
	if bad := checkGapEntry(g, c); bad != nil {
		return bad
	}
	plan := PlanGap(g.Width, c.Grade, c.Rules)
	switch {
	case plan.Refit:
		return []finding.Finding{gapFinding(g, "gap_refit", finding.Stop).Len("most", c.Rules.ScribeMost)}
	case g.Closing == Caulked && c.Grade == trim.Stain:
		return []finding.Finding{gapFinding(g, "gap_caulked_under_stain", finding.Stop)}
	case g.Closing == Caulked:
		return checkBead(g, plan, c.Rules)
	case g.Closing == LeftUnclosed:
		return checkOpenGap(g, plan, c)
	}
	return nil
}

// CheckGaps returns what is missing from the gaps logged under paint: nothing logged, no top
// edge where one is seen from above, or no top or side where the job wants every edge. Each
// gap has its own CheckGap.
func CheckGaps(gaps []Gap, c GapContext) []finding.Finding {
	if c.Grade == trim.Stain {
		return nil
	}
	if len(gaps) == 0 {
		return []finding.Finding{on(stage.Caulked, "gaps_not_logged", finding.Stop).AsWanted()}
	}
	var fs []finding.Finding
	switch {
	case hasEdge(gaps, TopEdge):
	case c.SeenFromAbove:
		fs = append(fs, on(stage.Caulked, "top_bead_not_logged", finding.Stop).AsWanted().At(string(TopEdge)))
	case c.Visibility == AllEdges:
		fs = append(fs, edgeNotLogged(TopEdge, c))
	}
	if c.Visibility == AllEdges && c.Sides && !hasEdge(gaps, SideEdge) {
		fs = append(fs, edgeNotLogged(SideEdge, c))
	}
	return fs
}

func edgeNotLogged(e Edge, c GapContext) finding.Finding {
	return on(stage.Caulked, "edge_not_logged", finding.Stop).AsWanted().At(string(e)).Term("edge", "edge_"+string(e)).Term("origin", c.origin())
}

func hasEdge(gaps []Gap, e Edge) bool {
	for _, g := range gaps {
		if g.Edge == e {
			return true
		}
	}
	return false
}

func gapFinding(g Gap, code string, sev finding.Severity) finding.Finding {
	return on(stage.Caulked, code, sev).At(string(g.Edge)).Term("edge", "edge_"+string(g.Edge)).Len("width", g.Width)
}

func checkGapEntry(g Gap, c GapContext) []finding.Finding {
	switch {
	case !known(Edges(), g.Edge):
		return []finding.Finding{unknown(stage.Caulked, "edge", string(g.Edge))}
	case !known(Closings(), g.Closing):
		return []finding.Finding{unknown(stage.Caulked, "closing", string(g.Closing))}
	case c.Grade != trim.Paint && c.Grade != trim.Stain:
		return []finding.Finding{unknown(stage.Caulked, "grade", string(c.Grade))}
	case c.Visibility != "" && c.Visibility != FromAbove && c.Visibility != AllEdges:
		return []finding.Finding{unknown(stage.Caulked, "visibility", string(c.Visibility))}
	case g.Width < 0 || g.Width > length.Longest || g.Run < 0 || g.Run > length.Longest:
		return []finding.Finding{gapFinding(g, "gap_size_bad", finding.Stop).Len("run", g.Run).Len("most", length.Longest)}
	case g.Passes < 0 || g.Passes > MostPasses:
		return []finding.Finding{gapFinding(g, "gap_passes_bad", finding.Stop).Num("passes", int64(g.Passes)).Num("most", MostPasses)}
	}
	return nil
}

func checkBead(g Gap, plan GapPlan, r houserules.Rules) []finding.Finding {
	var fs []finding.Finding
	if plan.Backer && !g.Backer {
		fs = append(fs, gapFinding(g, "gap_needs_backer", finding.Stop).Len("most", r.CaulkMost))
	}
	if g.Passes < plan.Passes {
		fs = append(fs, gapFinding(g, "gap_needs_passes", finding.Stop).
			Term("passes", passes(g.Passes)).Term("want", passes(plan.Passes)))
	}
	return fs
}

// passes is the term for a number of passes; a plan asks for two at most.
func passes(n int) string {
	switch n {
	case 0:
		return "no_pass"
	case 1:
		return "one_pass"
	}
	return "two_passes"
}

func checkOpenGap(g Gap, plan GapPlan, c GapContext) []finding.Finding {
	switch {
	case c.Grade == trim.Stain && plan.Scribe:
		return []finding.Finding{gapFinding(g, "gap_wants_scribe", finding.Warn)}
	case c.Grade == trim.Stain && g.Width > 0:
		return []finding.Finding{gapFinding(g, "gap_open_under_stain", finding.Note)}
	case c.Grade == trim.Stain:
		return nil
	case g.Edge == Between:
		return []finding.Finding{gapFinding(g, "shadow_line_open", finding.Stop)}
	case NeedsBead(g.Edge, c) && g.Edge == TopEdge && c.SeenFromAbove:
		return []finding.Finding{gapFinding(g, "top_bead_missing", finding.Stop)}
	case NeedsBead(g.Edge, c):
		return []finding.Finding{gapFinding(g, "bead_missing", finding.Stop).Term("origin", c.origin())}
	case plan.Scribe:
		return []finding.Finding{gapFinding(g, "gap_wants_scribe", finding.Warn)}
	}
	return nil
}
