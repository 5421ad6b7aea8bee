package stock

import (
	"context"
	"slices"
)

// Run is a length of trim along a wall that may be made of several pieces joined by scarfs.
type Run struct {
	Length int64 `json:"length"` // finished length from end to end, 1 to MaxLength
	// Splits are the places a scarf may be centered on (studs), measured from the left end, in
	// ascending order, each inside the run.
	Splits []int64 `json:"splits"`
	// Lap is how much the two pieces of a scarf overlap along the run (thickness of the stock ×
	// tangent of the saw's angle), 0 or more. Half of it lies on each side of the center; of
	// an odd Lap the left piece takes the larger half, so no piece is short.
	Lap int64 `json:"lap"`
	// Extra is how many joints are allowed beyond the fewest that sticks permit, 0 or more.
	Extra int    `json:"extra"`
	Label string `json:"label,omitempty"`
}

// RunPlan is a plan with its runs split.
type RunPlan struct {
	// Plan is for Problem below. Its Optimal and LowerBound speak of the splits as chosen.
	Plan Plan `json:"plan"`
	// Problem is the problem given with a piece for each part of each run put behind its pieces.
	Problem Problem `json:"problem"`
	// Parts lists for each run the indexes into Problem.Pieces of its parts from the left end,
	// Joints the centers of its scarfs.
	Parts  [][]int   `json:"parts"`
	Joints [][]int64 `json:"joints"`
	// AnyBound is a bound over every choice of splits allowed, by the length the pieces need.
	AnyBound int64 `json:"any_bound"`
	// SplitsOptimal says that no other choice of splits can do better: AnyBound is met.
	SplitsOptimal bool `json:"splits_optimal"`
	// Tried is the number of choices planned.
	Tried int `json:"tried"`
}

// Limits of the search for splits.
const (
	maxRuns       = 200
	runChoices    = 48   // choices kept for each run, spread over all
	maxRunTrials  = 2000 // plans made in all
	runTrialWork  = 2e7  // steps of each
	runStarts     = 6    // searches, the first from the leftmost splits, the others from random ones
	maxRunListing = 20000
)

// SolveRuns plans p together with runs that are split where that is best. The splits are found
// by a bounded search (one run after another is given the split that improves the plan
// most, until none does; a few starts, at most 2000 plans), not by proof; SplitsOptimal tells when a bound
// over all splits is met all the same. Runs take the fewest joints the sticks permit, and Extra
// more where that helps. Bounded like Solve; the error is an *Error.
func SolveRuns(ctx context.Context, p Problem, runs []Run, o Options) (RunPlan, error) {
	if o.Objective != FewestSticks {
		o.Objective = Cost
	}
	rs := &runSearch{ctx: ctx, p: p, runs: runs, o: o}
	if err := rs.prepare(); err != nil {
		return RunPlan{}, err
	}
	bound := rs.anyBound()
	best, err := rs.try(rs.chosen, o.Work)
	if err != nil && !notEnough(err) {
		return RunPlan{}, err
	}
	have := err == nil
	chance := &rng{o.Seed}
	for start := range runStarts {
		at := slices.Clone(rs.chosen)
		cur, curHave := best, have
		if start > 0 { // from a random choice, lest the first way downhill was a poor one
			for r := range at {
				at[r] = int(chance.next() % uint64(len(rs.choices[r])))
			}
			pl, err := rs.try(at, runTrialWork)
			cur, curHave = pl, err == nil
		}
		for changed := true; changed; {
			changed = false
			for r := range runs {
				for c := range rs.choices[r] {
					if c == at[r] {
						continue
					}
					if ctx.Err() != nil || rs.tried >= maxRunTrials || (curHave && cur.value(o.Objective) <= bound) {
						break
					}
					alt := slices.Clone(at)
					alt[r] = c
					pl, err := rs.try(alt, runTrialWork)
					if err == nil && (!curHave || better(pl.value(o.Objective), pl.Waste, cur.value(o.Objective), cur.Waste)) {
						cur, curHave, changed = pl, true, true
						at = alt
					}
				}
			}
		}
		if curHave && (!have || better(cur.value(o.Objective), cur.Waste, best.value(o.Objective), best.Waste)) {
			best, have, rs.chosen = cur, true, at
		}
		if ctx.Err() != nil || rs.tried >= maxRunTrials || (have && best.value(o.Objective) <= bound) {
			break
		}
	}
	if !have {
		return RunPlan{}, err
	}
	if !best.Optimal && ctx.Err() == nil {
		if pl, err := rs.try(rs.chosen, o.Work); err == nil && pl.value(o.Objective) <= best.value(o.Objective) {
			best = pl
		}
	}
	out := RunPlan{Plan: best, AnyBound: min(bound, best.value(o.Objective)), Tried: rs.tried}
	out.SplitsOptimal = bound >= best.value(o.Objective)
	out.Problem, out.Parts, out.Joints = rs.problem(rs.chosen)
	return out, nil
}

func notEnough(err error) bool {
	e, ok := err.(*Error)
	return ok && (e.Code == CodeNotEnoughStock || e.Code == CodeNoPlanYet)
}

type runSearch struct {
	ctx     context.Context
	p       Problem
	runs    []Run
	o       Options
	choices [][][]int64 // for each run, choices of joints
	fewest  []int
	chosen  []int
	tried   int
}

func (rs *runSearch) prepare() error {
	if len(rs.runs) > maxRuns {
		return refuse(CodeTooMany, "More than ", num(maxRuns), " runs to be split are asked for at once.")
	}
	if err := rs.p.Validate(); err != nil {
		return err
	}
	longest, endless := int64(0), int64(0)
	for _, s := range rs.p.Stocks {
		if s.Count != 0 {
			longest = max(longest, s.Length-rs.p.EndTrim)
		}
		if s.Count == Unlimited {
			endless = max(endless, s.Length-rs.p.EndTrim)
		}
	}
	for i, r := range rs.runs {
		name := named("run", i, r.Label)
		switch {
		case r.Length <= 0 || r.Length > MaxLength:
			return refuse(CodeBadLength, "The length of ", name, " must be more than zero and at most ", num(MaxLength), ".")
		case r.Lap < 0 || r.Lap > r.Length:
			return refuse(CodeBadLength, "The scarf overlap of ", name, " must be from zero to its length.")
		case r.Extra < 0:
			return refuse(CodeBadCount, "The extra joints of ", name, " must not be negative.")
		}
		for k, x := range r.Splits {
			if x <= 0 || x >= r.Length || (k > 0 && x <= r.Splits[k-1]) {
				return refuse(CodeBadLength, "The splits of ", name, " must lie inside it in ascending order.")
			}
		}
		fewest := r.fewestJoints(longest)
		if fewest < 0 {
			return refuse(CodePieceTooLong, "However ", name, " is split where it may be, a part is longer than the longest usable stick, ", num(longest), ".")
		}
		most := fewest
		if k := r.fewestJoints(endless); k > most {
			most = k // long offcuts run out
		}
		var list [][]int64
		for k := fewest; k <= min(most+r.Extra, fewest+3); k++ {
			list = append(list, r.joints(k, longest, rs.p.Kerf)...)
		}
		if len(list) == 0 {
			return refuse(CodePieceTooLong, "There is no way to split ", name, " into parts that can be cut.")
		}
		rs.fewest = append(rs.fewest, fewest)
		rs.choices = append(rs.choices, spread(list, runChoices))
		rs.chosen = append(rs.chosen, 0)
	}
	return nil
}

// spread keeps n of a list, evenly.
func spread(list [][]int64, n int) [][]int64 {
	if len(list) <= n {
		return list
	}
	out := make([][]int64, 0, n)
	for i := range n {
		out = append(out, list[i*(len(list)-1)/(n-1)])
	}
	return out
}

// parts gives the lengths of the pieces a run is made of with joints at the places given.
func (r Run) parts(joints []int64) []int64 {
	out := make([]int64, 0, len(joints)+1)
	from := int64(0)
	for _, x := range joints {
		out = append(out, x+r.Lap-r.Lap/2-from)
		from = x - r.Lap/2
	}
	return append(out, r.Length-from)
}

// fewestJoints goes as far as a stick reaches each time; −1 where it does not get on.
func (r Run) fewestJoints(stick int64) int {
	from, n := int64(0), 0
	for r.Length-from > stick {
		next := int64(-1)
		for _, x := range r.Splits {
			if x-r.Lap/2 > from && x+r.Lap-r.Lap/2-from <= stick {
				next = x - r.Lap/2
			}
		}
		if next < 0 {
			return -1
		}
		from = next
		n++
	}
	return n
}

// joints lists the ways to place n joints so that every part can be cut: no longer than the
// stick, and longer than its overlaps and the kerf.
func (r Run) joints(n int, stick, kerf int64) [][]int64 {
	var out [][]int64
	var at []int64
	steps := 0
	var place func(k int)
	place = func(k int) {
		if steps++; steps > maxRunListing {
			return
		}
		if len(at) == n {
			for _, l := range r.parts(at) {
				if l > stick || l <= 2*r.Lap || l < kerf {
					return
				}
			}
			out = append(out, slices.Clone(at))
			return
		}
		for ; k < len(r.Splits); k++ {
			last := int64(0)
			if len(at) > 0 {
				last = at[len(at)-1]
			}
			if r.Splits[k]-last > stick {
				return
			}
			at = append(at, r.Splits[k])
			place(k + 1)
			at = at[:len(at)-1]
		}
	}
	place(0)
	return out
}

func (rs *runSearch) problem(chosen []int) (Problem, [][]int, [][]int64) {
	p := rs.p
	p.Pieces = slices.Clone(p.Pieces)
	parts := make([][]int, len(rs.runs))
	joints := make([][]int64, len(rs.runs))
	for r, run := range rs.runs {
		joints[r] = rs.choices[r][chosen[r]]
		for _, l := range run.parts(joints[r]) {
			parts[r] = append(parts[r], len(p.Pieces))
			p.Pieces = append(p.Pieces, Piece{Length: l, Demand: 1, Label: run.Label})
		}
	}
	return p, parts, joints
}

func (rs *runSearch) try(chosen []int, work int64) (Plan, error) {
	rs.tried++
	p, _, _ := rs.problem(chosen)
	o := rs.o
	o.Work = work
	return Solve(rs.ctx, p, o)
}

// anyBound is what the length of all pieces must cost, however the runs are split: fewest joints,
// each adding its overlap and a kerf.
func (rs *runSearch) anyBound() int64 {
	sum := int64(0)
	for _, c := range rs.p.Pieces {
		sum += (c.Length + rs.p.Kerf) * int64(c.Demand)
	}
	for r, run := range rs.runs {
		n := int64(rs.fewest[r])
		sum += run.Length + n*run.Lap + (n+1)*rs.p.Kerf
	}
	// one length of 1, wanted sum times: the bound looks only at the total
	m := &model{costUnit: 1, w: []int64{1}, d: []int{int(sum)}, total: int(sum), ceiling: 1 << 20}
	m.addKinds(&rs.p, rs.o.Objective, 1)
	return m.nextCost(m.lengthBound()) * m.costUnit
}
