package yard_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"longpoint/internal/demo"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/stock"
	"longpoint/internal/yard"
)

var noon = time.Date(2026, 3, 4, 12, 0, 0, 0, time.UTC)

func newID() string { return uuid.Must(uuid.NewV7()).String() }

// house is the invented house as its log has made it.
type house struct {
	t     *testing.T
	state *joblog.State
	ids   map[string]string
}

func newHouse(t *testing.T) *house {
	h := &house{t: t, state: joblog.NewState(), ids: map[string]string{}}
	for _, p := range demo.Crew() {
		h.ids[p.SignIn] = newID()
	}
	for _, st := range demo.Scenario(noon, h.ids, newID) {
		d := joblog.Decide(h.state.Scope(nil, st.Command), st.Command, h.by(st.By), st.At, st.At)
		h.apply(d)
	}
	return h
}

func (h *house) by(who string) joblog.Actor {
	for _, p := range demo.Crew() {
		if p.SignIn == who {
			return joblog.Actor{PersonID: h.ids[who], Role: p.Role}
		}
	}
	return joblog.Actor{}
}

func (h *house) apply(d joblog.Decision) {
	for _, e := range d.Entries {
		e.Seq = h.state.Seq + 1
		h.state.Apply(e)
	}
}

func (h *house) give(c joblog.Command) {
	h.t.Helper()
	h.giveBy("tess", c)
}

func (h *house) giveBy(who string, c joblog.Command) {
	h.t.Helper()
	if c.ID == "" {
		c.ID = newID()
	}
	c.Version, c.JobID, c.At = joblog.CommandVersion, h.state.Job.ID, noon
	d := joblog.Decide(h.state.Scope(nil, c), c, h.by(who), noon, noon)
	if d.Refused {
		h.t.Fatalf("%s was refused: %+v", c.Kind, d.Findings)
	}
	h.apply(d)
}

func (h *house) plan(ask yard.Ask, list yard.List) yard.Plan {
	h.t.Helper()
	ctx, stop := context.WithTimeout(context.Background(), 5*time.Second)
	defer stop()
	p, err := yard.Make(ctx, yard.Making{State: h.state, Yard: list, Ask: ask, By: h.ids["ruth"], Now: noon, NewID: newID, Clock: time.Now})
	if err != nil {
		h.t.Fatal(err)
	}
	h.check(p)
	return p
}

var reader = joblog.Reader{Language: "en", Style: length.Style{Unit: length.Inches}, Now: noon}

func (h *house) look(p yard.Plan) yard.PlanView { return yard.Look(p, h.state, nil, reader) }

// check lays the pieces of a plan on their sticks anew: on either edge none lies nearer to the
// next than a kerf, none over the stick's ends or what is used of it, none twice, and each is there as often as wanted.
func (h *house) check(p yard.Plan) {
	h.t.Helper()
	for _, sp := range p.Stocks {
		made := make([]int, len(sp.Pieces))
		for _, s := range sp.Sticks {
			near, far := int64(s.Used)-int64(sp.Kerf), int64(s.Used)-int64(sp.Kerf)
			for _, c := range s.Pieces {
				made[c.Piece]++
				piece := sp.Pieces[c.Piece]
				back := func(e yard.End) (n, f int64) {
					switch e.Long {
					case yard.Far:
						n = int64(e.Back)
					case yard.Near:
						f = int64(e.Back)
					}
					return n - int64(e.Over), f - int64(e.Over)
				}
				l, r := piece.Left, piece.Right
				if c.Turn == stock.EndForEnd || c.Turn == stock.Around {
					l, r = r, l
				}
				ln, lf := back(l)
				rn, rf := back(r)
				if c.Turn == stock.Over || c.Turn == stock.Around {
					ln, lf, rn, rf = lf, ln, rf, rn
				}
				if c.At+ln < near+int64(sp.Kerf) || c.At+lf < far+int64(sp.Kerf) {
					h.t.Fatalf("%s: %s lies over its neighbor", sp.Stock.Kind, piece.Piece)
				}
				near, far = c.At+int64(piece.Length)-rn, c.At+int64(piece.Length)-rf
				if max(near, far) > int64(s.Length) {
					h.t.Fatalf("%s: %s runs off its stick", sp.Stock.Kind, piece.Piece)
				}
			}
		}
		for i, n := range made {
			if sp.Refused == "" && n != sp.Pieces[i].Copies {
				h.t.Fatalf("%s: %s is cut %d times, want %d", sp.Stock.Kind, sp.Pieces[i].Piece, n, sp.Pieces[i].Copies)
			}
		}
		if sp.Refused != "" || len(sp.Pieces) == 0 {
			continue
		}
		if sp.Value < sp.LowerBound || sp.Optimal != (sp.Value == sp.LowerBound) {
			h.t.Fatalf("%s: value %d, bound %d, optimal %v", sp.Stock.Kind, sp.Value, sp.LowerBound, sp.Optimal)
		}
	}
}

func (h *house) item(name string) *joblog.Item {
	for _, it := range h.state.Items {
		if it.Name == name {
			return it
		}
	}
	h.t.Fatalf("no item %s", name)
	return nil
}

// The invented house: what is measured and not cut is planned, what is held or not measured is
// left out with a reason, long crown is joined on studs, the rack's offcuts are used first.
func TestPlanOfTheInventedHouse(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	list := demo.Yard()
	for i := range list.Lines { // no crown longer than 12 ft to be had: the 14 ft wall is joined
		if list.Lines[i].Stock.Kind == "crown" {
			list.Lines[i].Offers = list.Lines[i].Offers[:3]
		}
	}
	p := h.plan(yard.Ask{Nest: true}, list)
	v := h.look(p)
	if os.Getenv("LONGPOINT_YARD_SHOW") != "" {
		show(v)
	}
	if v.Pieces == 0 || v.Cut != 0 || v.Behind != 0 || v.Missing != 0 {
		t.Fatalf("got %d pieces, %d cut, %d behind, %d missing; want some and none", v.Pieces, v.Cut, v.Behind, v.Missing)
	}
	left := map[string]string{}
	for _, l := range v.LeftOut {
		left[l.Item] = string(l.Why)
	}
	for item, why := range map[string]string{"Linen closet door": "not_measured", "Closet pair": "not_measured", "Garden window": "not_measured"} {
		if left[item] != why {
			t.Errorf("%s: left out as %q, want %q", item, left[item], why)
		}
	}
	rack, scarfed := false, false
	for _, s := range v.Stocks {
		for _, k := range s.Sticks {
			rack = rack || k.From == yard.Rack
			for _, c := range k.Pieces {
				scarfed = scarfed || c.Parts == 2 && s.Stock.Kind == "crown"
				if s.Stock.Kind == "casing" && (!c.OnePiece || c.Parts != 0) {
					t.Errorf("casing %s is not marked one piece", c.Label)
				}
			}
		}
		if len(s.Settings) == 0 || s.Proof == "" {
			t.Errorf("%s: no cut order or proof", s.Label)
		}
	}
	if !rack || !scarfed {
		t.Errorf("rack used %v, crown scarfed %v; want both", rack, scarfed)
	}
	if len(v.Supplies) < 3 || len(v.Cautions) < 3 { // the house is from 1931: lead paint
		t.Errorf("got %d supplies and %d cautions, want 3 of either at least", len(v.Supplies), len(v.Cautions))
	}
	body, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	var again yard.Plan
	if err := json.Unmarshal(body, &again); err != nil {
		t.Fatal(err)
	}
	if got, _ := json.Marshal(h.look(again)); !bytes.Equal(got, must(t, v)) {
		t.Error("a plan kept and read again reads otherwise")
	}
	var table bytes.Buffer
	if err := yard.WriteCSV(&table, v); err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(&table)
	r.FieldsPerRecord = -1
	rows, err := r.ReadAll()
	if err != nil || len(rows) < v.Pieces+3 {
		t.Errorf("CSV: %d rows, %v; want a row for each of %d pieces and the order", len(rows), err, v.Pieces)
	}
	es := reader
	es.Language = "es"
	if got := yard.Look(p, h.state, nil, es).Stocks[0].Proof; got == v.Stocks[0].Proof || got == "" {
		t.Errorf("Spanish proof: got %q", got)
	}
}

func must(t *testing.T, v any) []byte {
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func show(v yard.PlanView) {
	for _, s := range v.Stocks {
		fmt.Printf("\n%s  %s  waste %.1f%% %d ms %v\n", s.Label, s.Proof, s.Waste, s.Millis, s.Notes)
		for _, k := range s.Sticks {
			fmt.Printf("  %2d %-5s %s left %s kept %v:", k.Number, k.From, k.Text, k.Left, k.Kept)
			for _, c := range k.Pieces {
				fmt.Printf("  [%s %s %s|%s|%s @%s]", c.Item, c.Label, c.Left.Saw, c.Text, c.Right.Saw, c.At.Print(reader.Style))
			}
			fmt.Println()
		}
		for _, x := range s.Settings {
			fmt.Printf("   %s %s:", x.Label, x.Lean)
			for _, c := range x.Cuts {
				fmt.Printf(" #%d %s;", c.Stick, c.Text)
			}
			fmt.Println()
		}
		fmt.Println("   order", s.Order)
	}
	fmt.Println(v.Supplies, v.Price)
	for _, l := range v.LeftOut {
		fmt.Println(l.Item, l.Why, l.Sentence)
	}
}

// Two pieces are cut, a third is miscut: the next plan keeps the stick with what is cut from
// it, uses what is left of it, and has the miscut piece again and the cut ones no more.
func TestPlanAgainAfterAMiscut(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	pantry := h.item("Pantry door").ID
	ask := yard.Ask{Items: []string{pantry}}
	p := h.plan(ask, demo.Yard())
	sp := p.Stocks[0]
	var stick yard.Stick
	for _, s := range sp.Sticks {
		if s.From == yard.Buy && len(s.Pieces) >= 2 {
			stick = s
			break
		}
	}
	if stick.ID == "" {
		t.Fatalf("no stick with two pieces in %+v", sp.Sticks)
	}
	h.give(joblog.Command{ID: stick.ID, Kind: joblog.TakeStickKind, TakeStick: &joblog.TakeStick{Stock: sp.Stock, Length: stick.Length}})
	first := sp.Pieces[stick.Pieces[0].Piece]
	h.give(joblog.Command{Kind: joblog.CutPiecesKind, ItemID: first.ItemID, CutPieces: &joblog.CutPieces{StickID: stick.ID,
		Pieces: []joblog.CutPiece{{Piece: first.Piece, Computed: first.Computed, AsCut: first.Computed}}}})
	if v := h.look(p); v.Cut != 1 || v.Behind != 0 {
		t.Errorf("after one cut: got %d cut, %d behind; want 1 and 0", v.Cut, v.Behind)
	}
	second := sp.Pieces[stick.Pieces[1].Piece]
	h.give(joblog.Command{Kind: joblog.MiscutKind, Miscut: &joblog.Miscut{StickID: stick.ID, Length: second.Length - 2*length.Inch, Reason: "Cut two inches short"}})

	again := h.plan(ask, demo.Yard())
	found := false
	for _, s := range again.Stocks[0].Sticks {
		if s.ID != stick.ID {
			continue
		}
		found = true
		least := first.Length + second.Length - 2*length.Inch + 2*again.Stocks[0].Kerf
		if s.From != yard.Saw || s.Used < least {
			t.Errorf("the stick on the saw: got from %s, %v used; want saw and at least %v", s.From, s.Used, least)
		}
	}
	if !found {
		t.Error("the stick on the saw is not in the new plan")
	}
	has := map[string]bool{}
	for _, c := range again.Stocks[0].Pieces {
		has[c.Piece] = true
	}
	if has[first.Piece] || !has[second.Piece] {
		t.Errorf("the new plan has the cut piece: %v, the miscut one: %v; want false and true", has[first.Piece], has[second.Piece])
	}
	// The old plan says that it is no longer what is on the saw only where lengths changed: nothing did.
	if v := h.look(p); v.Cut != 1 || v.Missing != 0 {
		t.Errorf("the old plan: got %d cut, %d missing", v.Cut, v.Missing)
	}
}

// A second tap before the first was heard tells one cut twice: the stick is used once. Taken back
// and cut again, and cut to another length, it is used again.
func TestACutToldTwiceUsesTheStickOnce(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	ask := yard.Ask{Items: []string{h.item("Pantry door").ID}}
	sp := h.plan(ask, demo.Yard()).Stocks[0]
	var stick yard.Stick
	for _, s := range sp.Sticks {
		if s.From == yard.Buy && len(s.Pieces) >= 2 {
			stick = s
			break
		}
	}
	if stick.ID == "" {
		t.Fatalf("no stick with two pieces in %+v", sp.Sticks)
	}
	h.give(joblog.Command{ID: stick.ID, Kind: joblog.TakeStickKind, TakeStick: &joblog.TakeStick{Stock: sp.Stock, Length: stick.Length}})
	piece := sp.Pieces[stick.Pieces[0].Piece]
	cut := func(asCut length.Length) string {
		id := newID()
		h.give(joblog.Command{ID: id, Kind: joblog.CutPiecesKind, ItemID: piece.ItemID, CutPieces: &joblog.CutPieces{StickID: stick.ID,
			Pieces: []joblog.CutPiece{{Piece: piece.Piece, Computed: piece.Computed, AsCut: asCut}}}})
		return id
	}
	used := func() length.Length {
		t.Helper()
		for _, s := range h.plan(ask, demo.Yard()).Stocks[0].Sticks {
			if s.ID == stick.ID {
				return s.Used
			}
		}
		t.Fatal("the stick on the saw is not in the plan")
		return 0
	}
	cut(piece.Computed)
	once := used()
	second := cut(piece.Computed)
	if got := used(); got != once {
		t.Errorf("told twice: got %v used, want %v", got, once)
	}
	h.give(joblog.Command{Kind: joblog.WithdrawKind, ItemID: piece.ItemID, Withdraw: &joblog.Withdraw{CommandID: second, Reason: "ticked by mistake"}})
	if got := used(); got != once {
		t.Errorf("the second taken back: got %v used, want %v", got, once)
	}
	short := 6 * length.Inch
	cut(short)
	if got, want := used(), once+once-sp.Trim/2-(piece.Computed-short); got != want {
		t.Errorf("cut again, shorter: got %v used, want %v", got, want)
	}
}

// What cannot be planned is said in a sentence and the rest is planned.
func TestWhatCannotBePlannedIsSaid(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	list := demo.Yard()
	short := yard.List{Lines: append([]yard.Line(nil), list.Lines...)}
	for i := range short.Lines {
		short.Lines[i].Offers = []yard.Offer{{Length: 6 * length.Foot, Cents: 700, Limit: yard.NoLimit}}
	}
	v := h.look(h.plan(yard.Ask{}, short))
	long := 0
	for _, l := range v.LeftOut {
		if l.Why == yard.TooLong {
			long++
			if !strings.Contains(l.Sentence, "longer than the longest stick") {
				t.Errorf("too long says %q", l.Sentence)
			}
		}
	}
	if long == 0 {
		t.Error("no leg was too long for a six-foot stick")
	}
	none := yard.List{Lines: append([]yard.Line(nil), list.Lines...)}
	for i := range none.Lines {
		none.Lines[i].Offers = []yard.Offer{{Length: 16 * length.Foot, Cents: 700, Limit: 0}}
	}
	v = h.look(h.plan(yard.Ask{Items: []string{h.item("Dining room crown").ID}}, none))
	if len(v.Stocks) != 1 || v.Stocks[0].Refused != "There is no stick to cut from." {
		t.Errorf("no stock at all: got %+v, want a sentence", v.Stocks)
	}
	// Without prices the length bought is made least, and said so.
	v = h.look(h.plan(yard.Ask{}, yard.List{}))
	for _, s := range v.Stocks {
		if s.Measure != yard.Bought || !strings.Contains(s.Proof, "Prices are missing") {
			t.Errorf("%s without prices: measure %s, says %q", s.Label, s.Measure, s.Proof)
		}
	}
	if v.Cents != yard.NoPrice || v.Price != "" {
		t.Errorf("the price of a plan without prices: got %d %q", v.Cents, v.Price)
	}
}

func TestListCheck(t *testing.T) {
	t.Parallel()
	ok := demo.Yard()
	if said := ok.Check(); said != "" {
		t.Errorf("the demo's list: %s", said)
	}
	for name, spoil := range map[string]func(l *yard.List){
		"no length":  func(l *yard.List) { l.Lines[0].Offers[0].Length = 0 },
		"too long":   func(l *yard.List) { l.Lines[0].Offers[0].Length = 2 * length.Longest },
		"price":      func(l *yard.List) { l.Lines[0].Offers[0].Cents = -2 },
		"dear":       func(l *yard.List) { l.Lines[0].Offers[0].Cents = yard.MostCents + 1 },
		"limit":      func(l *yard.List) { l.Lines[0].Offers[0].Limit = -2 },
		"twice":      func(l *yard.List) { l.Lines = append(l.Lines, l.Lines[0]) },
		"size":       func(l *yard.List) { l.Lines[0].Stock.Width = -1 },
		"many":       func(l *yard.List) { l.Lines = make([]yard.Line, yard.MostLines+1) },
		"many sizes": func(l *yard.List) { l.Lines[0].Offers = make([]yard.Offer, yard.MostOffers+1) },
	} {
		l := demo.Yard()
		spoil(&l)
		if said := l.Check(); said == "" || !strings.HasSuffix(said, ".") {
			t.Errorf("%s: got %q, want a sentence", name, said)
		}
	}
	if got := yard.Money(123456789); got != "$1,234,567.89" {
		t.Errorf("money: got %s", got)
	}
}
