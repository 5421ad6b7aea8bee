package stock

import (
	"context"
	"math"
)

// search is one run of Solve.
type search struct {
	p        *Problem
	m        *model
	o        Options
	watch    *watch
	best     []use
	bestCost int64 // of best, or one above what any plan can cost
	lower    int64 // proven: no plan is below
	scale    int64
	method   string
	inner    bool // part of a dive: to be kept short
}

const (
	maxLPRows   = 1500    // more different lengths than this are planned greedily
	exactness   = 1 << 44 // whole-number duals are about this fine against the best plan's cost
	diveRounds  = 12
	diveJitter  = 0.3
	maxRounds   = 400     // of dives; a small problem whose gap will not close ends by itself
	poolSize    = 300_000 // patterns listed at first; four times as many the second time
	innerPool   = 15_000  // the same inside a dive
	innerNodes  = 100
	patternTerm = "pattern bound"
)

// Solve plans p. It returns the best plan found with a proven lower bound; Plan.Optimal tells
// whether the two meet. It ends when they do, or when ctx or Options.Work ends it, with the
// best so far and the gap; the package reads no clock, so a time budget is ctx's deadline, which
// is honored within some 20 ms. Without either a hard problem may take very long.
//
// The error is an *Error: what Validate says, CodeNoPrice, CodeNotEnoughStock (proven), or
// CodeNoPlanYet when it was ended before any plan was found.
func Solve(ctx context.Context, p Problem, o Options) (Plan, error) {
	if err := p.Validate(); err != nil {
		return Plan{}, err
	}
	if o.Objective != FewestSticks {
		o.Objective = Cost
	}
	if o.Objective == Cost {
		for i, s := range p.Stocks {
			if s.Cost == NoPrice && s.Count != 0 {
				return Plan{}, refuse(CodeNoPrice, "There is no price for ", named("stick", i, s.Label), "; give one or ask for the fewest sticks.")
			}
		}
	}
	s := &search{p: &p, o: o, m: newModel(&p, o.Objective), watch: &watch{ctx: ctx, limit: o.Work}, method: "none"}
	if s.m.total == 0 {
		return Plan{Optimal: true, Layouts: []Layout{}, Method: "no pieces", Proven: measures(o.Objective)}, nil
	}
	if err := s.run(); err != nil {
		return Plan{}, err
	}
	return s.plan(), nil
}

func (s *search) run() error {
	m := s.m
	s.bestCost = m.dearest() + 1
	s.offer(m.greedy(m.d, m.limits(), nil, s.watch))
	m.ceiling = s.bestCost
	s.raise(m.lengthBound(), "length bound")
	if !s.done() && len(m.w) <= maxLPRows {
		s.patterns()
	}
	if s.best == nil {
		if s.lower >= s.bestCost {
			return refuse(CodeNotEnoughStock, "The sticks there are cannot yield all the pieces.")
		}
		return refuse(CodeNoPlanYet, "No plan was found in the time given.")
	}
	return nil
}

// patterns is the search proper.
func (s *search) patterns() {
	m := s.m
	for k := range m.kinds {
		// No plan worth having takes more sticks of a kind than the best plan's cost pays for.
		if kd := &m.kinds[k]; kd.cost > 0 {
			kd.limit = int(min(int64(kd.limit), s.bestCost/kd.cost))
		}
	}
	if s.scale == 0 {
		s.scale = max(1, exactness/max(s.bestCost, 1))
	}
	root := newMaster(m, s.scale, s.watch, s.best)
	root.generate(nil)
	s.raiseScaled(root.bound, patternTerm)
	if s.inner {
		s.dive(root, &rng{}, 0, 0)
		s.exact(root, innerPool, innerNodes)
		return
	}
	chance := &rng{s.o.Seed}
	for round := 0; !s.done() && round < maxRounds; round++ {
		for i := 0; i < diveRounds && !s.done(); i++ {
			j := 0.0
			if round+i > 0 {
				j = diveJitter * float64(1+round%4)
			}
			s.dive(root, chance, j, tailPieces)
		}
		if round < 2 {
			s.exact(root, poolSize<<(2*round), math.MaxInt)
		}
	}
}

// exact closes the gap by listing every pattern that matters and searching among those:
// for all better plans at once where that is affordable, else cost by cost from the bound up.
func (s *search) exact(root *master, most, nodes int) {
	for !s.done() && root.boundY != nil {
		var po *pool
		target := s.bestCost - 1
		for {
			gap := target*s.scale - root.bound
			var ok bool
			po, ok = s.m.list(root.boundY, root.boundZ, root.limit, s.scale, gap, most, s.watch)
			if ok || s.watch.over {
				break
			}
			if target <= s.lower {
				return
			}
			target = s.lower + (target-s.lower)/2
		}
		if s.watch.over {
			return
		}
		t := &tree{s: s, po: po, limit: root.limit, target: target, maxNodes: nodes}
		done := t.run(root.unit)
		if !done {
			return
		}
		s.raise(min(t.target+1, s.bestCost), "search of all patterns")
	}
}

func (s *search) done() bool { return s.watch.over || s.lower >= s.bestCost }

// offer takes a solution if it is better than the best. It is checked here: a slip in a
// search must not become a plan.
func (s *search) offer(sol []use) {
	if sol == nil || !s.m.covers(sol) {
		return
	}
	sol = s.m.tidy(sol)
	if c := s.m.costOf(sol); c < s.bestCost && s.m.covers(sol) {
		s.best, s.bestCost = sol, c
		if s.lower >= c {
			s.method = "plan met the bound"
		}
	}
}

// raise takes a proven bound in cost units.
func (s *search) raise(b int64, how string) {
	b = min(s.m.nextCost(b), s.bestCost)
	if b > s.lower {
		s.lower = b
		s.method = how
	}
}

func (s *search) raiseScaled(b int64, how string) {
	if b > math.MinInt64 {
		s.raise(ceilDiv(b, s.scale), how)
	}
}

func (s *search) plan() Plan {
	pl := s.write(s.m.cuts(s.best))
	if sticks := s.improve(); sticks != nil {
		// An improvement must never cost the plan itself.
		if alt := s.write(gather(sticks)); Check(*s.p, alt) == nil && alt.value(s.o.Objective) <= pl.value(s.o.Objective) {
			pl = alt
		}
	}
	pl.Method, pl.Work = s.method, s.watch.spent
	pl.LowerBound = s.lower * s.m.costUnit
	pl.Gap = pl.value(s.o.Objective) - pl.LowerBound
	pl.Optimal = pl.Gap == 0
	if !pl.Optimal {
		pl.Method = "none"
	}
	pl.Proven = s.proven(&pl)
	return pl
}

// write makes the plan of some cuts, as yet without a bound.
func (s *search) write(cuts []cut) Plan {
	pl := Plan{Layouts: s.m.layouts(s.p, cuts)}
	pl.totals(s.p)
	pl.Optimal = true // no gap is stated yet
	order(pl.Layouts)
	return pl
}

// proven lists the measures a plan is proven best in, in order, as far as simple bounds go.
func (s *search) proven(pl *Plan) []Measure {
	list := []Measure{}
	if !pl.Optimal {
		return list
	}
	all := measures(s.o.Objective)
	list = append(list, all[0])
	if s.o.Objective == FewestSticks {
		cheapest := int64(MaxCost)
		for _, st := range s.p.Stocks {
			if st.Count != 0 {
				cheapest = min(cheapest, max(st.Cost, 0))
			}
		}
		if pl.Cost != cheapest*int64(pl.Sticks) {
			return list
		}
		list = append(list, MeasureCost)
	}
	// Every stick loses its trim, every piece but one a stick its kerf: least at the fewest
	// sticks or, with a kerf above the trim, the most.
	fewest := s.m.fewestByLength()
	if s.o.Objective == FewestSticks {
		fewest = int64(pl.Sticks)
	}
	n := int64(s.m.total)
	lost := func(sticks int64) int64 { return s.p.EndTrim*sticks + s.p.Kerf*(n-sticks) }
	if pl.Waste > min(lost(fewest), lost(n)) {
		return list
	}
	list = append(list, MeasureWaste)
	if len(pl.Layouts) == 1 {
		list = append(list, MeasureLayouts)
	}
	return list
}

// fewestByLength is a number of sticks no plan is below: the longest ones filled to the end.
func (m *model) fewestByLength() int64 {
	var need int64
	for t, w := range m.w {
		need += w * int64(m.d[t])
	}
	return ceilDiv(need, m.longest)
}

// measures gives the order in which a plan is judged.
func measures(o Objective) []Measure {
	rest := []Measure{MeasureWaste, MeasureLayouts, MeasureKept}
	if o == FewestSticks {
		return append([]Measure{MeasureSticks, MeasureCost}, rest...)
	}
	return append([]Measure{MeasureCost}, rest...)
}

// limits gives the sticks there are of each kind.
func (m *model) limits() []int {
	l := make([]int, len(m.kinds))
	for k := range l {
		l[k] = m.kinds[k].limit
	}
	return l
}

// dearest is a cost no plan without idle sticks exceeds.
func (m *model) dearest() int64 {
	var limited, most int64
	for k := range m.kinds {
		kd := &m.kinds[k]
		if kd.limited {
			limited += kd.cost * int64(kd.limit)
		} else {
			most = max(most, kd.cost)
		}
	}
	return limited + most*int64(m.total)
}

// nextCost is the least sum of stick prices that is c or more: a bound between two possible
// sums can be raised to the higher. Prices that are many or large are left as they are.
func (m *model) nextCost(c int64) int64 {
	if m.sums == nil {
		m.makeSums()
	}
	for c >= 0 && c < int64(len(m.sums)) && !m.sums[c] {
		c++
	}
	return max(c, 0)
}

func (m *model) makeSums() {
	const most = 1 << 20
	top := min(m.ceiling, most)
	m.sums = make([]bool, top+1)
	m.sums[0] = true
	for k := range m.kinds {
		c := m.kinds[k].cost
		if c == 0 {
			continue
		}
		for v := c; v <= top; v++ {
			m.sums[v] = m.sums[v] || m.sums[v-c]
		}
	}
}
