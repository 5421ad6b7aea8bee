// Package finish is what happens to trim after it is cut: which nails hold it, what may
// fill their holes, which gaps caulk may close, how far a joint moves, how long things dry
// and how much to buy. It is pure: same input, same findings.
package finish

import (
	"longpoint/internal/derive"
	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// Kind is a kind of fastener. A hole is known by the fastener that left it.
type Kind string

// The kinds of fastener, thinnest first.
const (
	Pin23      Kind = "pin23"       // 23-gauge headless pin
	Brad18     Kind = "brad18"      // 18-gauge brad
	Finish16   Kind = "finish16"    // 16-gauge finish nail
	Finish15   Kind = "finish15"    // 15-gauge finish nail
	HandFinish Kind = "hand_finish" // hand-driven finish nail
	TrimScrew  Kind = "trim_screw"  // small-headed trim screw
)

// Kinds lists every kind, thinnest first.
func Kinds() []Kind {
	return []Kind{Pin23, Brad18, Finish16, Finish15, HandFinish, TrimScrew}
}

// Where is what a fastener goes through and into.
type Where string

// The places.
const (
	JambEdge        Where = "jamb_edge"         // casing into the jamb's edge
	Stud            Where = "stud"              // trim through the wall's layers into framing
	Base            Where = "base"              // shoe into the base behind it
	Corner          Where = "corner"            // across a miter or butt of two pieces
	ShimPoint       Where = "shim_point"        // jamb through shims into framing, in sight
	HiddenUnderStop Where = "hidden_under_stop" // the same where the stop will cover it
	StopFace        Where = "stop_face"         // the stop into the jamb
	Toe             Where = "toe"               // angled pairs where there is no stud
)

// Places lists every place.
func Places() []Where {
	return []Where{JambEdge, Stud, Base, Corner, ShimPoint, HiddenUnderStop, StopFace, Toe}
}

// MostFasteners is the most fasteners one log entry may hold: a slip of the thumb is beyond it.
const MostFasteners = 10_000

// Fastener is one log entry of fasteners driven.
type Fastener struct {
	Kind   Kind          `json:"kind" enum:"pin23,brad18,finish16,finish15,hand_finish,trim_screw" doc:"Gauge or make"`
	Length length.Length `json:"length" doc:"Nanometers"`
	Count  int64         `json:"count" minimum:"1" maximum:"10000"`
	Where  Where         `json:"where" enum:"jamb_edge,stud,base,corner,shim_point,hidden_under_stop,stop_face,toe" doc:"What it goes through and into"`
}

// Context is what a fastener is judged by. A nil length is not known; what hangs on it is
// then said to be unchecked.
type Context struct {
	Stage           stage.Stage      `json:"stage" enum:"hung,cased,nailed"`
	Grade           trim.Grade       `json:"grade" enum:"paint,stain"`
	Material        string           `json:"material,omitempty" enum:"wood,mdf" doc:"What the casing or base is made of"`
	CasingThickness *length.Length   `json:"casing_thickness,omitempty" doc:"Casing or base where the nail goes through, nanometers"`
	Behind          *length.Length   `json:"behind,omitempty" doc:"What stands between the piece and the wall, as the base behind shoe; nanometers, none when not said"`
	WallLayers      *length.Length   `json:"wall_layers,omitempty" doc:"Board and plaster over the stud on that face, nanometers"`
	LayersOf        string           `json:"layers_of,omitempty" doc:"Reading that says the wall layers; wall_layers when not said"`
	JambThickness   *length.Length   `json:"jamb_thickness,omitempty" doc:"Nanometers"`
	ShimSpace       *length.Length   `json:"shim_space,omitempty" doc:"Jamb to stud on that side, nanometers"`
	Adhesive        bool             `json:"adhesive,omitempty" doc:"The piece is also glued"`
	Rules           houserules.Rules `json:"-"`
}

// mdf is trim.Casing's word for the material.
const mdf = "mdf"

// stockStep is how far a logged length may lie off a stock length and still be it: nails
// sold in whole millimeters (50 for 2 in, 64 for 2 1/2) are within 1/16 (common practice).
const stockStep = length.Sixteenth

// wireSetback is how deep past the face of a stud a nail may go before a wire or a pipe
// may lie in its way: holes in framing are kept 1 1/4 in from the edge or plated over
// (electrical code 300.4, from memory).
const wireSetback = 5 * length.Quarter

// StockLengths returns the lengths a kind is commonly sold in, shortest first, and nil for
// an unknown kind. Common practice; makers differ.
func StockLengths(k Kind) []length.Length {
	q := length.Quarter
	switch k {
	case Pin23:
		return []length.Length{2 * q, 5 * length.Eighth, 3 * q, 4 * q, 19 * length.Sixteenth, 11 * length.Eighth, 6 * q, 7 * q, 8 * q}
	case Brad18:
		return []length.Length{5 * length.Eighth, 3 * q, 4 * q, 5 * q, 6 * q, 7 * q, 8 * q}
	case Finish16:
		return []length.Length{4 * q, 5 * q, 6 * q, 7 * q, 8 * q, 9 * q, 10 * q}
	case Finish15:
		return []length.Length{5 * q, 6 * q, 7 * q, 8 * q, 9 * q, 10 * q}
	case HandFinish: // 3d, 4d, 6d, 8d, 10d
		return []length.Length{5 * q, 6 * q, 8 * q, 10 * q, 12 * q}
	case TrimScrew:
		return []length.Length{5 * q, 13 * length.Eighth, 8 * q, 9 * q, 10 * q, 12 * q}
	}
	return nil
}

// NextStock returns the shortest stock length of a kind that is at least need, and false
// when the kind is unknown or not made that long.
func NextStock(k Kind, need length.Length) (length.Length, bool) {
	for _, l := range StockLengths(k) {
		if l >= need {
			return l, true
		}
	}
	return 0, false
}

// NeedLength returns the least length of a nail through casing or base into the stud:
// thickness + the wall's layers + the house rule's bite (3/4 in unless overridden). Lengths
// are nanometers; NextStock gives the nail to take. Basis: common practice.
func NeedLength(casingThickness, wallLayers length.Length, r houserules.Rules) derive.Value {
	return derive.Sum("common_practice",
		derive.Plus("casing_thickness", casingThickness, derive.Unit),
		derive.Plus("wall_layers", wallLayers, derive.Reading),
		derive.Plus("nail_into_stud", r.NailIntoStud, derive.Rule))
}

// NeedThroughJamb returns the least length of a nail through jamb and shims into the stud.
// Basis: common practice.
func NeedThroughJamb(jambThickness, shimSpace length.Length, r houserules.Rules) derive.Value {
	return derive.Sum("common_practice",
		derive.Plus("jamb_thickness", jambThickness, derive.Unit),
		derive.Plus("shim_space", shimSpace, derive.Computed),
		derive.Plus("nail_into_stud", r.NailIntoStud, derive.Rule))
}

// leastInBase is the least of a shoe's nail in the base; a thinner base is nailed through
// (common practice: brads of 1 in and longer through shoe of 1/2).
const leastInBase = length.Half

// NeedInBase returns the least length of a nail through shoe into the base behind it; zero for
// a base whose thickness is not known. Basis: common practice.
func NeedInBase(shoe, base length.Length) length.Length {
	if base <= 0 {
		return shoe + leastInBase
	}
	return shoe + min(base, leastInBase)
}

// CheckFastener returns what the rules have to say about one log entry, worst first where
// one makes the others moot. It does not set the finding's subject: the caller knows the
// entry's id.
func CheckFastener(f Fastener, c Context) []finding.Finding {
	if bad := checkEntry(f, c.Stage); bad != nil {
		return bad
	}
	fs := checkStock(f, c.Stage)
	if finding.HasStop(fs) {
		return fs
	}
	switch f.Where {
	case JambEdge:
		fs = append(fs, checkJambEdge(f, c)...)
	case Stud:
		fs = append(fs, checkBite(f, c, layer{"casing_thickness", c.CasingThickness}, layer{"behind", c.behind()}, layer{c.layersOf(), c.WallLayers})...)
	case Base:
		fs = append(fs, checkBase(f, c)...)
	case ShimPoint, HiddenUnderStop:
		fs = append(fs, checkBite(f, c, layer{"jamb_thickness", c.JambThickness}, layer{"shim_space", c.ShimSpace})...)
	case Toe:
		if !c.Adhesive {
			fs = append(fs, on(c.Stage, "toe_unglued", finding.Warn))
		}
	}
	if c.Grade == trim.Stain && f.Kind == TrimScrew && f.Where != HiddenUnderStop {
		fs = append(fs, on(c.Stage, "screw_shows", finding.Note))
	}
	return fs
}

// CheckNailing returns what is missing from a list of log entries: nothing logged at all, or
// a place that must be nailed (outer casing: jamb_edge and stud; base: stud; shoe: base)
// without any. Where there is no stud, toe nails stand for it; CheckFastener asks for the
// adhesive. Shoe that reaches the stud is held as well as by the base.
func CheckNailing(logged []Fastener, wanted []Where, s stage.Stage) []finding.Finding {
	if len(logged) == 0 {
		return []finding.Finding{on(s, "fasteners_not_logged", finding.Stop).AsWanted()}
	}
	var fs []finding.Finding
	for _, w := range wanted {
		if !nailed(logged, w) && !(w == Base && nailed(logged, Stud)) && !((w == Base || w == Stud) && nailed(logged, Toe)) {
			fs = append(fs, on(s, "place_not_nailed", finding.Stop).AsWanted().At(string(w)).Term("where", string(w)))
		}
	}
	return fs
}

func on(s stage.Stage, code string, sev finding.Severity) finding.Finding {
	return finding.New(code, sev).On(string(s))
}

// unknown is the finding for a word no rule knows, so that a newer phone's entry is refused
// aloud and never silently passed.
func unknown(s stage.Stage, field, value string) finding.Finding {
	return on(s, "entry_unknown", finding.Stop).At(field).Term("field", field).Text("value", value)
}

func nailed(fs []Fastener, w Where) bool {
	for _, f := range fs {
		if f.Where == w && f.Count > 0 {
			return true
		}
	}
	return false
}

func known[T comparable](list []T, x T) bool {
	for _, y := range list {
		if x == y {
			return true
		}
	}
	return false
}

func checkEntry(f Fastener, s stage.Stage) []finding.Finding {
	switch {
	case !known(Kinds(), f.Kind):
		return []finding.Finding{unknown(s, "fastener", string(f.Kind))}
	case !known(Places(), f.Where):
		return []finding.Finding{unknown(s, "place", string(f.Where))}
	case f.Count < 1 || f.Count > MostFasteners:
		return []finding.Finding{on(s, "fastener_count_bad", finding.Stop).Num("count", f.Count).Num("most", MostFasteners)}
	}
	return nil
}

// checkStock refuses lengths a kind is not made in and asks again about odd ones.
func checkStock(f Fastener, s stage.Stage) []finding.Finding {
	stock := StockLengths(f.Kind)
	least, most := stock[0], stock[len(stock)-1]
	if f.Length < least-stockStep || f.Length > most+stockStep {
		return []finding.Finding{about(s, "nail_not_made", finding.Stop, f).Len("least", least).Len("most", most)}
	}
	for _, l := range stock {
		if (f.Length - l).Abs() <= stockStep {
			return nil
		}
	}
	up, _ := NextStock(f.Kind, f.Length)
	return []finding.Finding{about(s, "nail_length_odd", finding.Note, f).Len("next", up)}
}

func about(s stage.Stage, code string, sev finding.Severity, f Fastener) finding.Finding {
	return on(s, code, sev).Term("kind", string(f.Kind)).Len("length", f.Length)
}

// leastInJamb is the least of a nail in the jamb's edge: what 1 1/4 leaves past 3/4 casing
// (common practice).
const leastInJamb = length.Half

// jambNail is the nail to take at the jamb's edge: the house rule's, or for thicker casing the
// next stock length that leaves the least in the jamb.
func jambNail(k Kind, c Context) length.Length {
	usual := c.Rules.JambNail
	if c.CasingThickness == nil || *c.CasingThickness+leastInJamb <= usual {
		return usual
	}
	need := *c.CasingThickness + leastInJamb
	if next, ok := NextStock(k, need); ok {
		return next
	}
	return need
}

func checkJambEdge(f Fastener, c Context) []finding.Finding {
	var fs []finding.Finding
	usual, least := jambNail(f.Kind, c), c.Rules.JambNail
	if c.CasingThickness != nil {
		least = max(least, *c.CasingThickness+leastInJamb)
	}
	most := max(c.Rules.JambNailMost, usual)
	switch {
	case c.CasingThickness != nil && f.Length <= *c.CasingThickness:
		fs = append(fs, about(c.Stage, "nail_misses_jamb", finding.Stop, f).
			Len("casing", *c.CasingThickness).Len("usual", usual))
	case f.Length > most:
		fs = append(fs, about(c.Stage, "jamb_nail_long", finding.Warn, f).
			Len("most", most).Len("usual", usual))
	case f.Length < least:
		fs = append(fs, about(c.Stage, "jamb_nail_short", finding.Warn, f).Len("usual", usual))
	}
	if c.Material == mdf && (f.Kind == Brad18 || f.Kind == Pin23) {
		fs = append(fs, about(c.Stage, "mdf_thin_nail", finding.Note, f))
	}
	return fs
}

// mostThrough is more than any casing, jamb, shim space or wall lining a nail goes through.
const mostThrough = 4 * length.Inch

// layer is one thickness a nail goes through, by the name it is asked for.
type layer struct {
	name  string
	thick *length.Length
}

// behind is nothing where nothing is said to stand behind the piece.
func (c *Context) behind() *length.Length {
	if c.Behind == nil {
		return new(length.Length)
	}
	return c.Behind
}

// layersOf is the name the wall's layers are asked for by.
func (c *Context) layersOf() string {
	if c.LayersOf == "" {
		return "wall_layers"
	}
	return c.LayersOf
}

// through is how much a nail goes through, and what cannot be told of it.
func through(f Fastener, c Context, layers []layer) (length.Length, []finding.Finding) {
	var sum length.Length
	for _, l := range layers {
		switch {
		case l.thick == nil:
			return 0, []finding.Finding{about(c.Stage, "bite_unchecked", finding.Warn, f).At(l.name).Term("reading", l.name)}
		case *l.thick < 0 || *l.thick > mostThrough:
			return 0, []finding.Finding{on(c.Stage, "thickness_implausible", finding.Stop).At(l.name).
				Term("reading", l.name).Len("value", *l.thick).Len("most", mostThrough)}
		}
		sum += *l.thick
	}
	return sum, nil
}

// checkBite checks that a nail through some layers still bites the stud by the house rule.
// The bite is never rounded in the nail's favor.
func checkBite(f Fastener, c Context, layers ...layer) []finding.Finding {
	sum, bad := through(f, c, layers)
	if bad != nil {
		return bad
	}
	need, bite := sum+c.Rules.NailIntoStud, f.Length-sum
	if f.Length < need {
		return []finding.Finding{shortNail(f, c, "nail_short", need)}
	}
	if bite > wireSetback {
		return []finding.Finding{about(c.Stage, "nail_deep", finding.Note, f).Len("bite", bite).Len("most", wireSetback)}
	}
	return nil
}

// checkBase checks that a nail through the shoe still bites the base. One that goes on through
// base and wall is judged by how far it may reach past the face of a stud.
func checkBase(f Fastener, c Context) []finding.Finding {
	sum, bad := through(f, c, []layer{{"casing_thickness", c.CasingThickness}, {"behind", c.behind()}})
	if bad != nil {
		return bad
	}
	need := NeedInBase(*c.CasingThickness, *c.behind())
	if f.Length < need {
		return []finding.Finding{shortNail(f, c, "nail_short_in_base", need)}
	}
	if c.WallLayers == nil {
		return nil
	}
	if bite := f.Length - sum - *c.WallLayers; bite > wireSetback {
		return []finding.Finding{about(c.Stage, "nail_deep", finding.Note, f).Len("bite", bite).Len("most", wireSetback)}
	}
	return nil
}

func shortNail(f Fastener, c Context, code string, need length.Length) finding.Finding {
	next, ok := NextStock(f.Kind, need)
	if !ok {
		stock := StockLengths(f.Kind)
		return about(c.Stage, "kind_too_short", finding.Stop, f).Len("need", need).Len("most", stock[len(stock)-1])
	}
	return about(c.Stage, code, finding.Stop, f).Len("need", need).Len("next", next)
}
