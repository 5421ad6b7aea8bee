package yard

import (
	"context"
	"errors"
	"time"

	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/stock"
)

// Making is what a plan is made from.
type Making struct {
	State   *joblog.State
	Company houserules.Set
	Yard    List // the company's
	Job     List // the job's own lines take the place of the company's
	Ask     Ask
	By      string
	Now     time.Time
	NewID   func() string    // ids of the sticks, which their take_stick commands are to have
	Clock   func() time.Time // for the time each stock took
}

// ErrTooMany is returned for a job of more than MostPieces pieces.
var ErrTooMany = errors.New("more pieces than are planned at once")

// Make plans. ctx bounds it: what is found by then is the plan, with its gap. Anything that
// cannot be planned is in the plan with its reason; the only error is ErrTooMany.
func Make(ctx context.Context, m Making) (Plan, error) {
	list, left := gather(m.State, m.Company, m.Ask, m.Now)
	total := 0
	for _, w := range list {
		total += len(w.runs)
		for _, p := range w.pieces {
			total += p.Copies
		}
	}
	if total > MostPieces {
		return Plan{}, ErrTooMany
	}
	out := Plan{ID: m.NewID(), Ask: m.Ask, MadeAt: m.Now, MadeBy: m.By, Seq: m.State.Seq, RuleBook: joblog.RuleBook,
		Stocks: []StockPlan{}, LeftOut: left}
	deadline, bounded := ctx.Deadline()
	for i, w := range list {
		part, stop := ctx, context.CancelFunc(func() {})
		if bounded { // each stock gets its share of the time that is left
			now := m.Clock()
			part, stop = context.WithDeadline(ctx, now.Add(deadline.Sub(now)/time.Duration(len(list)-i)))
		}
		sp, more := m.one(part, w)
		stop()
		out.LeftOut = append(out.LeftOut, more...)
		if len(sp.Pieces) > 0 || len(sp.Sticks) > 0 || sp.Refused != "" {
			out.Stocks = append(out.Stocks, sp)
		}
	}
	return out, nil
}

// Line is what can be had of a stock: the job's own line, else the company's, else common
// lengths without a price.
func (m Making) line(s joblog.Stock) (Line, bool) {
	for _, l := range []List{m.Job, m.Yard} {
		for _, line := range l.Lines {
			if line.Stock == s && len(line.Offers) > 0 {
				return line, true
			}
		}
	}
	return Common(s), false
}

// Common is the lengths trim is commonly sold in, 8 to 16 ft by twos, without prices (common practice).
func Common(s joblog.Stock) Line {
	out := Line{Stock: s}
	for ft := length.Length(8); ft <= 16; ft += 2 {
		out.Offers = append(out.Offers, Offer{Length: ft * length.Foot, Cents: NoPrice, Limit: NoLimit})
	}
	return out
}

// source is where a stock of the problem comes from.
type source struct {
	from     Source
	id       string // of the offcut on the rack or the stick on the saw
	place    string
	length   length.Length // of the whole stick
	cents    int64
	used     length.Length
	shift    int64 // from the problem's left end to the stick's
	idle     bool  // too short for anything
	problemK int
}

// one plans one kind of stock.
func (m Making) one(ctx context.Context, w *wanted) (sp StockPlan, left []LeftOut) {
	line, listed := m.line(w.stock)
	began := m.Clock()
	sp = StockPlan{Stock: w.stock, Flat: line.Flat || w.flat, Kerf: w.rules.SawKerf, Trim: w.rules.StickTrim, Listed: listed,
		Pieces: []Piece{}, Sticks: []Stick{}, Objective: m.Ask.Objective}
	if sp.Objective != stock.FewestSticks {
		sp.Objective = stock.Cost
	}
	p := stock.Problem{Kerf: int64(w.rules.SawKerf), EndTrim: int64(w.rules.StickTrim), LeastOffcut: int64(w.rules.OffcutLeast)}
	sources := m.sources(w.stock, line, &sp, &p)
	if longest(&p) <= 0 {
		sp.refuse(&stock.Error{Code: stock.CodeNoStock, Sentence: "There is no stick to cut from."})
		sp.idle(sources, w.rules.OffcutLeast)
		return sp, nil
	}
	left = sp.take(w, &p)
	defer func() { sp.Millis = m.Clock().Sub(began).Milliseconds() }()
	o := stock.Options{Objective: sp.Objective, Seed: 1}
	if runs := sp.long(w, &p, &left); len(runs) > 0 {
		part, stop := m.half(ctx)
		ok := sp.split(part, runs, &p, o)
		stop()
		if !ok {
			return sp, left
		}
	}
	if len(sp.Pieces) > 0 {
		shapes := sp.shapes(int64(w.rules.SawKerf))
		laid, err := stock.Straight(ctx, p, shapes, o)
		if err != nil {
			sp.refuse(err)
			return sp, left
		}
		sp.Straight = sp.value(laid)
		if m.Ask.Nest {
			laid = stock.Nest(ctx, p, shapes, laid, o)
		}
		if err := stock.CheckLaid(p, shapes, laid); err != nil {
			sp.refuse(err) // cannot be: a plan that cannot be cut never leaves here
			return sp, left
		}
		sp.Ended = ctx.Err() != nil && !laid.Optimal
		sp.Value, sp.LowerBound, sp.Optimal, sp.Nested = sp.value(laid), laid.LowerBound, laid.Optimal, m.Ask.Nest
		sp.Shared, sp.Waste = length.Length(laid.Shared), length.Length(laid.Waste)
		sp.lay(laid, sources, m.NewID)
	}
	sp.idle(sources, w.rules.OffcutLeast)
	return sp, left
}

// sources lists the sticks there are: those on the saw, the rack, and what the yard sells.
func (m Making) sources(s joblog.Stock, line Line, sp *StockPlan, p *stock.Problem) []source {
	var out []source
	add := func(src source, have length.Length, cost int64, count int) {
		src.problemK = len(p.Stocks)
		src.shift = int64(src.length - have)
		p.Stocks = append(p.Stocks, stock.Stock{Length: int64(have), Cost: cost, Count: count})
		out = append(out, src)
	}
	job := m.State.Job
	for i := range job.Sticks {
		st := &job.Sticks[i]
		if st.Stock != s {
			continue
		}
		used := m.usedOf(st, sp.Kerf)
		// What is left of it has been trimmed at its left end already, so that is not asked for again.
		have := max(0, st.Length-sp.Trim-used) + sp.Trim
		src := source{from: Saw, id: st.CommandID, length: st.Length, used: st.Length - have + sp.Trim/2, cents: NoPrice}
		if have <= sp.Trim || have <= 0 {
			src.idle = true
			out = append(out, src)
			continue
		}
		add(src, have, 0, 1)
	}
	for i := range job.Rack {
		if of := &job.Rack[i]; of.Stock == s {
			add(source{from: Rack, id: of.CommandID, place: of.Place, length: of.Length, cents: NoPrice}, of.Length, 0, 1)
		}
	}
	sp.Measure = Cents
	for _, of := range line.Offers {
		if of.Cents < 0 {
			sp.Measure = Bought
		}
	}
	if sp.Objective == stock.FewestSticks {
		sp.Measure = Count
	}
	for _, of := range line.Offers {
		cost := of.Cents
		if sp.Measure == Bought {
			cost = int64(of.Length)
		}
		count := of.Limit
		if count < 0 {
			count = stock.Unlimited
		}
		add(source{from: Buy, length: of.Length, cents: of.Cents}, of.Length, max(cost, 0), count)
	}
	return out
}

// usedOf is how much of a stick on the saw is gone: pieces cut from it and lengths lost. Where
// the cuts are not known they are taken for 45°, the steepest usual. One cut that was told twice
// took the stick once.
func (m Making) usedOf(st *joblog.Stick, kerf length.Length) length.Length {
	unknown := kerfAt(kerf, End{Miter: 45})
	used := st.Lost + unknown*length.Length(st.Cuts)
	for _, s := range m.State.JobItems(m.Company) {
		var cutting *joblog.Cutting
		for i := range s.Item.Sawn {
			sawn := &s.Item.Sawn[i]
			if sawn.StickID != st.CommandID {
				continue
			}
			if cutting == nil {
				c := joblog.CuttingOf(s, m.Now)
				cutting = &c
			}
			over, k, times := length.Length(0), unknown, 1
			for p := range cutting.Pieces {
				if cutting.Pieces[p].Piece == sawn.Piece {
					times = max(times, cutting.Pieces[p].Quantity)
					left, right := ends(s.Item, &cutting.Pieces[p], st.Stock)
					over, k = left.Over+right.Over, max(kerfAt(kerf, left), kerfAt(kerf, right))
				}
			}
			if toldBefore(s.Item.Sawn, i) < times {
				used += sawn.AsCut + over + k
			}
		}
	}
	return used
}

// toldBefore is how often the cut at i was told just before, with no other cut of its piece or
// part in between: by a second tap before the first was heard, or on two phones. To cut a piece once
// more to the same length its cut is taken back first, and is then no longer on the list.
func toldBefore(cuts []joblog.Sawn, i int) int {
	this, n := &cuts[i], 0
	for k := i - 1; k >= 0; k-- {
		c := &cuts[k]
		if c.Piece != this.Piece || c.Part != this.Part {
			continue
		}
		if c.StickID != this.StickID || c.AsCut != this.AsCut || c.Parts != this.Parts {
			break
		}
		n++
	}
	return n
}

// take puts the pieces that are not to be split into the problem; one longer than every stick
// is left out.
func (sp *StockPlan) take(w *wanted, p *stock.Problem) []LeftOut {
	most := length.Length(longest(p))
	var left []LeftOut
	for _, c := range w.pieces {
		sp.put(c, most, p, &left)
	}
	return left
}

func (sp *StockPlan) put(c Piece, most length.Length, p *stock.Problem, left *[]LeftOut) {
	if c.span() > most {
		*left = append(*left, LeftOut{ItemID: c.ItemID, Piece: c.Piece, Why: TooLong, Length: c.span(), Most: most})
		return
	}
	sp.Pieces = append(sp.Pieces, c)
	// A sliver narrower than the blade is given as much stock as the blade takes.
	p.Pieces = append(p.Pieces, stock.Piece{Length: max(int64(c.span()), p.Kerf), Demand: c.Copies})
}

func longest(p *stock.Problem) int64 {
	var most int64
	for _, s := range p.Stocks {
		if s.Count != 0 {
			most = max(most, s.Length-p.EndTrim)
		}
	}
	return most
}

// long keeps the runs that no stick holds; the others are pieces like any other.
func (sp *StockPlan) long(w *wanted, p *stock.Problem, left *[]LeftOut) []run {
	most := length.Length(longest(p))
	var out []run
	for _, r := range w.runs {
		switch {
		case r.piece.span() <= most:
			sp.put(r.piece, most, p, left)
		case len(r.splits) == 0:
			*left = append(*left, LeftOut{ItemID: r.piece.ItemID, Piece: r.piece.Piece, Why: NoStuds, Length: r.piece.span(), Most: most})
		default:
			out = append(out, r)
		}
	}
	return out
}

// half is a context with half of the time that is left.
func (m Making) half(ctx context.Context) (context.Context, context.CancelFunc) {
	deadline, ok := ctx.Deadline()
	if !ok {
		return ctx, func() {}
	}
	now := m.Clock()
	return context.WithDeadline(ctx, now.Add(deadline.Sub(now)/2))
}

// split chooses where runs are scarfed, within the same plan, and puts their parts into the
// problem.
func (sp *StockPlan) split(ctx context.Context, runs []run, p *stock.Problem, o stock.Options) bool {
	in := make([]stock.Run, len(runs))
	for i, r := range runs {
		// Which of two parts reaches past its mark the split does not know: both are given the stock.
		in[i] = stock.Run{Length: int64(r.piece.span()), Splits: r.away(), Lap: int64(r.lap + 2*r.over)}
	}
	rp, err := stock.SolveRuns(ctx, *p, in, o)
	var bad *stock.Error
	if errors.As(err, &bad) && bad.Code == stock.CodePieceTooLong { // a joint near an end is better than none
		for i, r := range runs {
			in[i].Splits = r.splits
		}
		rp, err = stock.SolveRuns(ctx, *p, in, o)
	}
	if err != nil {
		sp.refuse(err)
		return false
	}
	sp.Splits, sp.SplitsBest = true, rp.SplitsOptimal
	p.Pieces = rp.Problem.Pieces
	for i, r := range runs {
		joints := make([]length.Length, 0, len(rp.Joints[i]))
		for _, at := range rp.Joints[i] {
			joints = append(joints, length.Length(at)-r.piece.Left.Over)
		}
		for k, part := range r.joined(joints) {
			sp.Pieces = append(sp.Pieces, part)
			p.Pieces[rp.Parts[i][k]].Length = max(int64(part.span()), p.Kerf)
		}
	}
	return true
}

// kerfAt is what the blade takes along the stick at an end: a cut both mitered and beveled is
// slanted by both.
func kerfAt(kerf length.Length, e End) length.Length {
	return length.Length(stock.KerfAt(stock.KerfAt(int64(kerf), e.Miter), e.Bevel))
}

// shapes says how the pieces lie. A cut's kerf along the stick counts whatever its long point.
func (sp *StockPlan) shapes(kerf int64) []stock.Shape {
	out := make([]stock.Shape, len(sp.Pieces))
	for i := range sp.Pieces {
		out[i] = sp.Pieces[i].shape(kerf, sp.Flat)
	}
	return out
}

func (c *Piece) shape(kerf int64, flat bool) stock.Shape {
	end := func(e End) stock.End {
		out := stock.End{Kerf: int64(kerfAt(length.Length(kerf), e))}
		switch e.Long {
		case Far:
			out.Near = int64(e.Back)
		case Near:
			out.Far = int64(e.Back)
		}
		return out
	}
	return stock.Shape{Left: end(c.Left), Right: end(c.Right), Turns: flat && c.Rip == 0}
}

// lying gives the ends of a piece as it lies after a turn.
func (c *Piece) lying(t stock.Turn) (left, right End) {
	if t == stock.EndForEnd || t == stock.Around {
		return c.Right, c.Left
	}
	return c.Left, c.Right
}

func (sp *StockPlan) value(l stock.Laid) int64 {
	if sp.Measure == Count {
		return int64(len(l.Sticks))
	}
	return l.Cost
}

func (sp *StockPlan) refuse(err error) {
	sp.Refused, sp.Sentence = "internal", "The plan could not be made."
	var e *stock.Error
	if errors.As(err, &e) {
		sp.Refused, sp.Sentence = e.Code, e.Sentence
	}
}

// lay writes the sticks of a plan, those on the saw first, then the rack, then what is bought,
// the longest first.
func (sp *StockPlan) lay(l stock.Laid, sources []source, newID func() string) {
	for _, from := range []Source{Saw, Rack, Buy} {
		for _, s := range l.Sticks {
			src := sources[0]
			for _, x := range sources {
				if !x.idle && x.problemK == s.Stock {
					src = x
				}
			}
			if src.from != from {
				continue
			}
			st := Stick{From: from, ID: src.id, Length: src.length, Cents: src.cents, Place: src.place, Used: src.used,
				Remainder: length.Length(s.Remainder), Kept: s.Kept}
			if from != Saw {
				st.ID = newID()
			}
			if from == Rack {
				st.OffcutID = src.id
			}
			for _, c := range s.Pieces {
				left, _ := sp.Pieces[c.Piece].lying(c.Turn)
				c.At += src.shift + int64(left.Over)
				st.Pieces = append(st.Pieces, c)
			}
			sp.Sticks = append(sp.Sticks, st)
		}
	}
}

// idle adds the sticks on the saw that get no new piece: what is cut from them stays.
func (sp *StockPlan) idle(sources []source, least length.Length) {
	for _, src := range sources {
		if src.from != Saw {
			continue
		}
		used := false
		for _, s := range sp.Sticks {
			used = used || s.ID == src.id
		}
		if !used {
			rest := max(0, src.length-src.used-(sp.Trim-sp.Trim/2))
			sp.Sticks = append([]Stick{{ID: src.id, From: Saw, Length: src.length, Used: min(src.used, src.length), Cents: NoPrice,
				Pieces: []stock.Placed{}, Remainder: rest, Kept: least > 0 && rest >= least}}, sp.Sticks...)
		}
	}
}

// plank reports the width that is mitered across as the piece lies: the face's for what is cut
// flat, the thickness for what is cut standing.
func (sp *StockPlan) plank() length.Length {
	if runStock(sp.Stock.Kind) && sp.Stock.Kind != "crown" {
		return sp.Stock.Thickness
	}
	return sp.Stock.Width
}
