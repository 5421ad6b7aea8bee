package stock

import (
	"context"
	"math/bits"
	"sort"
	"strconv"
)

// Placed is one piece where it lies on its stick.
type Placed struct {
	Piece int   `json:"piece"` // index into Problem.Pieces
	At    int64 `json:"at"`    // left extreme, from the stick's left end
	Turn  Turn  `json:"turn,omitempty"`
}

// Stick is one stick with its pieces from left to right.
type Stick struct {
	Stock  int      `json:"stock"` // index into Problem.Stocks
	Pieces []Placed `json:"pieces"`
	// Remainder is what is left beyond the last piece's extreme and its cut, the end trim taken
	// off; 0 where that is negative. Kept says it is long enough for the rack.
	Remainder int64 `json:"remainder"`
	Kept      bool  `json:"kept"`
}

// Laid is a plan with every piece in its place. Its bound speaks of all plans of its sort:
// with Nested also of those that share the waste between mitered ends.
type Laid struct {
	Sticks     []Stick `json:"sticks"`
	Nested     bool    `json:"nested"`
	Cost       int64   `json:"cost"`
	LowerBound int64   `json:"lower_bound"`
	Gap        int64   `json:"gap"`
	Optimal    bool    `json:"optimal"`
	Waste      int64   `json:"waste"`
	KeptLength int64   `json:"kept_length"`
	// Shared is the length of stick that nesting saved over laying the same pieces end to end.
	Shared int64 `json:"shared"`
}

const (
	nestPieces = 3000 // beyond this many pieces nothing is nested
	orderExact = 9    // pieces of a stick whose best order is found exactly
)

// lay places the pieces of a plan of Plain(p, shapes) on their sticks, one stick at a time. The
// proof of the plan carries over.
func (l *layer) lay(pl Plan) Laid {
	out := Laid{LowerBound: pl.LowerBound, Optimal: pl.Optimal, Gap: pl.Gap}
	for _, lay := range pl.Layouts {
		var in []int
		for _, c := range lay.Pieces {
			for range c.Count {
				in = append(in, c.Piece)
			}
		}
		placed, extent := l.order(in)
		for range lay.Times {
			out.Sticks = append(out.Sticks, l.stick(lay.Stock, placed, extent))
		}
	}
	l.sum(&out)
	return out
}

// Nest looks for a plan in which mitered ends share their waste, starting from one that
// Straight made. Nesting makes a layout's length hang on the order of its pieces, so it is
// a second step and not an exact search: several plans are made with the pieces between their
// average and their full length, each stick is put into its best order, what does not fit is
// planned again, and the best that results is kept, never a worse one than the plan given.
// The bound is sound all the same: it is that of the problem with every piece as long as its
// two edges are on average, and Optimal is said only where it is met.
func Nest(ctx context.Context, p Problem, shapes []Shape, straight Laid, o Options) Laid {
	if o.Objective != FewestSticks {
		o.Objective = Cost
	}
	l := layer{p: p, shapes: shapes, nested: true}
	best := l.reorder(straight)
	best.Nested = true
	best.LowerBound = 0
	total := 0
	for _, c := range p.Pieces {
		total += c.Demand
	}
	any := l.canShare()
	if !any || total > nestPieces {
		if !any {
			best.LowerBound = straight.LowerBound
		}
		return best.close(o.Objective)
	}
	low, from := least(p, shapes)
	rel, err := Solve(ctx, low, o)
	if err == nil {
		best.LowerBound = rel.LowerBound
	}
	if best.value(o.Objective) > best.LowerBound && err == nil {
		l.take(&best, l.repair(ctx, rel, from, o), o.Objective)
	}
	full := Plain(p, shapes)
	for _, quarter := range []int64{1, 2, 3} {
		if ctx.Err() != nil || best.value(o.Objective) <= best.LowerBound || err != nil {
			break
		}
		mixed := low
		mixed.Pieces = append([]Piece(nil), low.Pieces...)
		for k, i := range from {
			mixed.Pieces[k].Length += (full.Pieces[i].Length - mixed.Pieces[k].Length) * quarter / 4
		}
		if pl, bad := Solve(ctx, mixed, o); bad == nil {
			l.take(&best, l.repair(ctx, pl, from, o), o.Objective)
		}
	}
	return best.close(o.Objective)
}

func (l Laid) value(o Objective) int64 {
	if o == FewestSticks {
		return int64(len(l.Sticks))
	}
	return l.Cost
}

func (l Laid) close(o Objective) Laid {
	l.LowerBound = min(l.LowerBound, l.value(o))
	l.Gap = l.value(o) - l.LowerBound
	l.Optimal = l.Gap == 0
	return l
}

// layer puts pieces on sticks.
type layer struct {
	p      Problem
	shapes []Shape
	nested bool
	turns  map[Shape][]Turn
}

func (l *layer) shape(i int) Shape { return l.shapes[i].sound(l.p.Pieces[i].Length) }

func (l *layer) take(best *Laid, other *Laid, o Objective) {
	if other == nil {
		return
	}
	if better(other.value(o), other.Waste, best.value(o), best.Waste) && CheckLaid(l.p, l.shapes, *other) == nil {
		other.LowerBound = best.LowerBound
		*best = *other
	}
}

// canShare reports whether any two pieces can lie so that their ends share waste. Where none can,
// a nested plan is a straight one.
func (l *layer) canShare() bool {
	lefts, rights := map[End]bool{}, map[End]bool{}
	for i, c := range l.p.Pieces {
		if c.Demand == 0 {
			continue
		}
		s := l.shape(i)
		for _, t := range l.turnsOf(s) {
			lefts[s.Lying(t).Left], rights[s.Lying(t).Right] = true, true
		}
	}
	for a := range rights {
		for b := range lefts {
			if min(a.Near+b.Near, a.Far+b.Far) > 0 {
				return true
			}
		}
	}
	return false
}

// reorder puts every stick of a plan into its best nested order.
func (l *layer) reorder(in Laid) Laid {
	out := Laid{Nested: true, Optimal: true}
	for _, s := range in.Sticks {
		var pieces []int
		for _, c := range s.Pieces {
			pieces = append(pieces, c.Piece)
		}
		placed, extent := l.order(pieces)
		out.Sticks = append(out.Sticks, l.stick(s.Stock, placed, extent))
	}
	l.sum(&out)
	return out
}

// repair makes a nested plan of a plan whose pieces were taken for shorter than they are:
// sticks whose best order fits are kept, others give up their shortest pieces until they fit, and what
// was given up is planned at full length on the sticks that are left.
func (l *layer) repair(ctx context.Context, pl Plan, from []int, o Options) *Laid {
	out := Laid{Nested: l.nested, Optimal: true} // no gap is stated yet
	used := make([]int, len(l.p.Stocks))
	left := make([]int, len(l.p.Pieces))
	for i, c := range l.p.Pieces {
		left[i] = c.Demand
	}
	for _, lay := range pl.Layouts {
		var pieces []int
		for _, c := range lay.Pieces {
			for range c.Count {
				pieces = append(pieces, from[c.Piece])
			}
		}
		sort.Slice(pieces, func(a, b int) bool { return l.p.Pieces[pieces[a]].Length > l.p.Pieces[pieces[b]].Length })
		for len(pieces) > 0 {
			placed, extent := l.order(pieces)
			if extent > l.p.Stocks[lay.Stock].Length-l.p.EndTrim {
				pieces = pieces[:len(pieces)-1]
				continue
			}
			used[lay.Stock] += lay.Times
			for range lay.Times {
				out.Sticks = append(out.Sticks, l.stick(lay.Stock, placed, extent))
			}
			for _, i := range pieces {
				left[i] -= lay.Times
			}
			break
		}
	}
	rest := Plain(l.p, l.shapes)
	rest.Stocks = append([]Stock(nil), l.p.Stocks...)
	for k := range rest.Stocks {
		if rest.Stocks[k].Count >= 0 {
			rest.Stocks[k].Count = max(0, rest.Stocks[k].Count-used[k])
		}
	}
	open := 0
	for i := range rest.Pieces {
		rest.Pieces[i].Demand = max(0, left[i])
		open += rest.Pieces[i].Demand
	}
	if open > 0 {
		pl, err := Solve(ctx, rest, o)
		if err != nil {
			return nil
		}
		more := l.lay(pl)
		if l.nested {
			more = l.reorder(more)
		}
		out.Sticks = append(out.Sticks, more.Sticks...)
	}
	l.sum(&out)
	return &out
}

// order finds the order and the turns that take the least length, exactly for few pieces,
// by always adding the best next one for many. extent is from the first extreme to the last.
func (l *layer) order(in []int) (placed []Placed, extent int64) {
	n := len(in)
	if n == 0 {
		return nil, 0
	}
	lies := make([][]Shape, n)
	turns := make([][]Turn, n)
	simple := true
	for k, i := range in {
		s := l.shape(i)
		simple = simple && s.Left == End{Kerf: s.Left.Kerf} && s.Right == End{Kerf: s.Right.Kerf} && max(s.Left.Kerf, s.Right.Kerf) <= l.p.Kerf
		turns[k] = l.turnsOf(s)
		for _, t := range turns[k] {
			lies[k] = append(lies[k], s.Lying(t))
		}
	}
	var seq []at
	switch {
	case simple:
		for k := range in {
			seq = append(seq, at{k, 0})
		}
	case n <= orderExact:
		seq = l.exactOrder(in, lies)
	default:
		seq = l.nextBest(lies)
	}
	x := l.p.EndTrim / 2
	for s, q := range seq {
		if s > 0 {
			before := seq[s-1]
			x += Apart(l.p.Kerf, lies[before.k][before.v].Right, lies[q.k][q.v].Left, l.nested)
		}
		placed = append(placed, Placed{Piece: in[q.k], At: x, Turn: turns[q.k][q.v]})
		x += l.p.Pieces[in[q.k]].Length
	}
	return placed, x - l.p.EndTrim/2
}

func (l *layer) turnsOf(s Shape) []Turn {
	if l.turns == nil {
		l.turns = map[Shape][]Turn{}
	}
	t, ok := l.turns[s]
	if !ok {
		t = s.turns()
		l.turns[s] = t
	}
	return t
}

// at is a piece of a stick by its number, and which of its ways of lying.
type at struct{ k, v int }

// exactOrder goes through all sets of pieces already laid and the last of them. Of pieces
// that are alike the first not laid goes next.
func (l *layer) exactOrder(in []int, lies [][]Shape) []at {
	n := len(lies)
	const ways = 4
	size := (1 << n) * n * ways
	cost := make([]int64, size)
	back := make([]int32, size)
	for i := range cost {
		cost[i], back[i] = 1<<62, -1
	}
	id := func(set, k, v int) int { return (set*n+k)*ways + v }
	allowed := func(set, k int) bool { // an earlier piece just like it goes first
		for j := range k {
			if in[j] == in[k] && set&(1<<j) == 0 {
				return false
			}
		}
		return true
	}
	for k := range n {
		if allowed(0, k) {
			for v := range lies[k] {
				cost[id(1<<k, k, v)] = 0
			}
		}
	}
	for set := 1; set < 1<<n; set++ {
		for k := range n {
			if set&(1<<k) == 0 {
				continue
			}
			for v := range lies[k] {
				c := cost[id(set, k, v)]
				if c == 1<<62 {
					continue
				}
				for j := range n {
					if set&(1<<j) != 0 || !allowed(set, j) {
						continue
					}
					for w := range lies[j] {
						to := id(set|1<<j, j, w)
						if d := c + Apart(l.p.Kerf, lies[k][v].Right, lies[j][w].Left, l.nested); d < cost[to] {
							cost[to], back[to] = d, int32(id(set, k, v))
						}
					}
				}
			}
		}
	}
	end := -1
	for k := range n {
		for v := range lies[k] {
			if q := id(1<<n-1, k, v); end < 0 || cost[q] < cost[end] {
				end = q
			}
		}
	}
	seq := make([]at, 0, n)
	for q := end; q >= 0; q = int(back[q]) {
		seq = append(seq, at{q / ways % n, q % ways})
	}
	for i, j := 0, len(seq)-1; i < j; i, j = i+1, j-1 {
		seq[i], seq[j] = seq[j], seq[i]
	}
	return seq
}

func (l *layer) nextBest(lies [][]Shape) []at {
	n := len(lies)
	done := make([]bool, n)
	seq := []at{{0, 0}}
	done[0] = true
	for len(seq) < n {
		last := seq[len(seq)-1]
		best, bestCost := at{-1, 0}, int64(0)
		for k := range n {
			if done[k] {
				continue
			}
			for v := range lies[k] {
				if c := Apart(l.p.Kerf, lies[last.k][last.v].Right, lies[k][v].Left, l.nested); best.k < 0 || c < bestCost {
					best, bestCost = at{k, v}, c
				}
			}
		}
		done[best.k] = true
		seq = append(seq, best)
	}
	return seq
}

func (l *layer) stick(stock int, placed []Placed, extent int64) Stick {
	last := placed[len(placed)-1]
	free := max(l.p.Kerf, l.shape(last.Piece).Lying(last.Turn).Right.Kerf)
	s := Stick{Stock: stock, Pieces: placed, Remainder: max(0, l.p.Stocks[stock].Length-l.p.EndTrim-extent-free)}
	s.Kept = l.p.LeastOffcut > 0 && s.Remainder >= l.p.LeastOffcut
	return s
}

func (l *layer) sum(out *Laid) {
	out.Cost, out.Waste, out.KeptLength, out.Shared = 0, 0, 0, 0
	for _, s := range out.Sticks {
		st := l.p.Stocks[s.Stock]
		out.Cost += max(st.Cost, 0)
		waste := st.Length
		for k, c := range s.Pieces {
			waste -= l.p.Pieces[c.Piece].Length
			if k > 0 {
				before := s.Pieces[k-1]
				a, b := l.shape(before.Piece).Lying(before.Turn).Right, l.shape(c.Piece).Lying(c.Turn).Left
				out.Shared += Apart(l.p.Kerf, a, b, false) - (c.At - before.At - l.p.Pieces[before.Piece].Length)
			}
		}
		if s.Kept {
			waste -= s.Remainder
			out.KeptLength += s.Remainder
		}
		out.Waste += waste
	}
}

// CheckLaid verifies that a laid plan can be cut: every piece wanted is there once for each
// wanted, on either edge of its stick no piece comes nearer to its neighbor than the kerf between
// them, all lie within the stick, and the sums are those of the sticks. It shares no code
// with Straight and Nest.
func CheckLaid(p Problem, shapes []Shape, l Laid) error {
	bad := func(i int, words ...string) error {
		return refuse(CodeBadPlan, append([]string{"Stick " + strconv.Itoa(i+1) + " "}, words...)...)
	}
	if len(shapes) != len(p.Pieces) {
		return refuse(CodeBadPlan, "There are not as many shapes as pieces.")
	}
	made := make([]int, len(p.Pieces))
	taken := make([]int, len(p.Stocks))
	var cost int64
	for i, s := range l.Sticks {
		if s.Stock < 0 || s.Stock >= len(p.Stocks) || len(s.Pieces) == 0 {
			return bad(i, "is no stick of the list, or empty.")
		}
		st := p.Stocks[s.Stock]
		taken[s.Stock]++
		cost += max(st.Cost, 0)
		lowest, highest := p.EndTrim/2, st.Length-(p.EndTrim-p.EndTrim/2)
		nearFree, farFree := int64(-1)<<62, int64(-1)<<62
		kerfBefore := int64(0)
		for _, c := range s.Pieces {
			if c.Piece < 0 || c.Piece >= len(p.Pieces) || c.Turn < AsIs || c.Turn > Around || c.Turn != AsIs && !shapes[c.Piece].Turns {
				return bad(i, "holds a piece that is not there, or lies as it may not.")
			}
			made[c.Piece]++
			long := p.Pieces[c.Piece].Length
			h := shapes[c.Piece].Lying(c.Turn)
			if c.At < lowest || c.At > highest || c.At+long > highest {
				return bad(i, "is too short for its pieces.")
			}
			gap := max(p.Kerf, h.Left.Kerf, kerfBefore)
			if c.At+h.Left.Near < nearFree+gap || c.At+h.Left.Far < farFree+gap {
				return bad(i, "has pieces nearer than the saw's kerf.")
			}
			// An edge that the two cuts eat up wholly still keeps what came before it away.
			nearFree = max(nearFree, c.At+long-h.Right.Near)
			farFree = max(farFree, c.At+long-h.Right.Far)
			kerfBefore = h.Right.Kerf
		}
	}
	for k, n := range taken {
		if c := p.Stocks[k].Count; c >= 0 && n > c {
			return refuse(CodeBadPlan, "More sticks are used than there are.")
		}
	}
	for k, n := range made {
		if n != p.Pieces[k].Demand {
			return refuse(CodeBadPlan, "Of ", named("piece", k, p.Pieces[k].Label), " ", strconv.Itoa(n), " are cut, ", strconv.Itoa(p.Pieces[k].Demand), " are wanted.")
		}
	}
	if over, _ := bits.Mul64(uint64(len(l.Sticks)), MaxCost); over != 0 || cost != l.Cost {
		return refuse(CodeBadPlan, "The plan's cost is not that of its sticks.")
	}
	if l.Gap < 0 || l.Optimal != (l.Gap == 0) {
		return refuse(CodeBadPlan, "The plan is called best with a gap.")
	}
	return nil
}

// Straight plans p without nesting: neighbors lie end to end with the wider of their two kerfs
// between them. First every cut is taken for a straight one; where a stick's best order is then
// too long for what its mitered cuts take, its pieces are planned again with their full allowance. The
// bound is that of straight cuts everywhere, so it holds for every order.
func Straight(ctx context.Context, p Problem, shapes []Shape, o Options) (Laid, error) {
	if o.Objective != FewestSticks {
		o.Objective = Cost
	}
	full := Plain(p, shapes)
	pl, err := Solve(ctx, full, o)
	if err != nil && !notEnough(err) {
		return Laid{}, err
	}
	l := layer{p: p, shapes: shapes}
	have := err == nil
	best := Laid{}
	same := true
	for i := range full.Pieces {
		same = same && (full.Pieces[i].Demand == 0 || full.Pieces[i].Length == p.Pieces[i].Length)
	}
	if have {
		best = l.lay(pl)
	}
	if same {
		return best, err
	}
	best.LowerBound = 0
	low, bad := Solve(ctx, p, o)
	if bad != nil {
		if !have {
			return Laid{}, bad
		}
		return best.close(o.Objective), nil
	}
	from := make([]int, len(p.Pieces))
	for i := range from {
		from[i] = i
	}
	if !have || best.value(o.Objective) > low.LowerBound {
		switch other := l.repair(ctx, low, from, o); {
		case have:
			l.take(&best, other, o.Objective)
		case other == nil || CheckLaid(p, shapes, *other) != nil:
			return Laid{}, refuse(CodeNoPlanYet, "The sticks there are may just do, but no order of the pieces was found that leaves room for every mitered cut.")
		default:
			best = *other
		}
	}
	best.LowerBound = low.LowerBound
	return best.close(o.Objective), nil
}
