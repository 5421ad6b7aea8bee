package stock

// Objective is what Solve makes as small as it can before anything else.
type Objective string

// The objectives a person may choose.
const (
	// Cost is the lowest total price of the sticks used. The default.
	Cost Objective = "cost"
	// FewestSticks is the lowest number of sticks used, offcuts on hand counted like bought ones.
	FewestSticks Objective = "fewest_sticks"
)

// Measure names one thing a plan is judged by, in the order Solve weighs them.
type Measure string

// The measures, in order. The first is Cost or Sticks by the objective, the rest follow.
const (
	MeasureCost    Measure = "cost"         // Plan.Cost
	MeasureSticks  Measure = "sticks"       // Plan.Sticks
	MeasureWaste   Measure = "waste"        // Plan.Waste
	MeasureLayouts Measure = "layouts"      // number of different layouts
	MeasureKept    Measure = "longest_kept" // Plan.LongestKept, the longer the better
)

// Options of one Solve.
type Options struct {
	// Objective is Cost unless it is FewestSticks.
	Objective Objective
	// Seed starts the randomized rounding. The same problem, options and seed give the same
	// plan whenever Solve ends by itself (by proof or by Work) and not by its context.
	Seed uint64
	// Work bounds the search in counted steps (roughly a nanosecond each on a desktop machine of
	// 2020), so that an answer can be bounded without a clock and still be reproducible.
	// 0 means no bound but the context.
	Work int64
}

// PieceCount is how many of one Problem.Pieces entry lie on each stick of a layout.
type PieceCount struct {
	Piece int `json:"piece"` // index into Problem.Pieces
	Count int `json:"count"`
}

// Layout is one way to cut a stick, and how many sticks are cut so.
type Layout struct {
	Stock  int          `json:"stock"` // index into Problem.Stocks
	Times  int          `json:"times"`
	Pieces []PieceCount `json:"pieces"` // longest piece first
	// Remainder is what is left of the usable stick after the last piece and the cut that frees
	// it: Length − EndTrim − pieces − Kerf × number of pieces, and 0 where that is negative.
	Remainder int64 `json:"remainder"`
	// Kept says the remainder is long enough for the rack (Problem.LeastOffcut).
	Kept bool `json:"kept"`
}

// Plan is the answer with its proof.
type Plan struct {
	Layouts []Layout `json:"layouts"`
	Cost    int64    `json:"cost"`   // price of all sticks used (sticks with NoPrice count 0)
	Sticks  int      `json:"sticks"` // sticks used, bought or on hand
	// LowerBound is a proven bound, in the unit of the objective (price or sticks): no plan is
	// below it. It comes from whole-number arithmetic only.
	LowerBound int64 `json:"lower_bound"`
	// Gap is the objective's value less LowerBound; 0 exactly when Optimal.
	Gap     int64 `json:"gap"`
	Optimal bool  `json:"optimal"`
	// Waste is the length lost for good: remainders too short to keep, kerfs and end trim.
	Waste int64 `json:"waste"`
	// KeptLength is the length of all remainders for the rack, LongestKept the longest of them.
	KeptLength  int64 `json:"kept_length"`
	LongestKept int64 `json:"longest_kept"`
	// Proven lists the measures proven best, each given the ones before it. The first measure
	// is in it exactly when Optimal; later measures are improved by a bounded search and are
	// listed only where a simple bound is met.
	Proven []Measure `json:"proven"`
	// Work is the number of steps counted, for Options.Work.
	Work int64 `json:"work"`
	// Method names what closed the gap last ("none" while it is open), for logs and benches.
	Method string `json:"method"`
}

// remainderOf gives a layout's remainder after the freeing cut, and whether it is kept.
func remainderOf(p *Problem, s Stock, used int64, pieces int64) (int64, bool) {
	left := max(s.Length-p.EndTrim-used-p.Kerf*pieces, 0)
	return left, p.LeastOffcut > 0 && left >= p.LeastOffcut
}

// totals fills the sums of a plan from its layouts.
func (pl *Plan) totals(p *Problem) {
	pl.Cost, pl.Sticks, pl.Waste, pl.KeptLength, pl.LongestKept = 0, 0, 0, 0, 0
	for i := range pl.Layouts {
		l := &pl.Layouts[i]
		s := p.Stocks[l.Stock]
		var used, n int64
		for _, pc := range l.Pieces {
			used += p.Pieces[pc.Piece].Length * int64(pc.Count)
			n += int64(pc.Count)
		}
		l.Remainder, l.Kept = remainderOf(p, s, used, n)
		t := int64(l.Times)
		pl.Sticks += l.Times
		pl.Cost += max(s.Cost, 0) * t
		waste := s.Length - used
		if l.Kept {
			waste -= l.Remainder
			pl.KeptLength += l.Remainder * t
			pl.LongestKept = max(pl.LongestKept, l.Remainder)
		}
		pl.Waste += waste * t
	}
}

func (pl *Plan) value(o Objective) int64 {
	if o == FewestSticks {
		return int64(pl.Sticks)
	}
	return pl.Cost
}
