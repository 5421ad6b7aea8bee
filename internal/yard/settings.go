package yard

import (
	"math"
	"sort"

	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

func trimEnd(e End) trim.End { return trim.End{Joint: e.Joint, Miter: e.Miter, Bevel: e.Bevel} }

// settings lists every cut of the sticks by saw setting: square first, then by miter and
// bevel. Two neighbors whose ends are parallel share one cut. The cuts of a stick may be made
// in any order, since each is marked from the stick's own left end.
func (v *viewer) settings(p *StockPlan, sticks []StickView) []SettingView {
	type key struct {
		miter, bevel float64
		lean         string
	}
	at := map[key]int{}
	out := []SettingView{}
	var keys []key
	// A saw is not set finer than a tenth of a degree (common practice).
	tenth := func(deg float64) float64 { return math.Round(deg*10) / 10 }
	add := func(k key, stick int, where length.Length, frees ...string) {
		i, ok := at[k]
		if !ok {
			i = len(out)
			at[k] = i
			keys = append(keys, k)
			out = append(out, SettingView{Label: sawLabel(v.r, k.miter, k.bevel), Lean: k.lean, Cuts: []SawCut{}})
		}
		out[i].Cuts = append(out[i].Cuts, SawCut{Stick: stick, At: where, Text: v.print(where), Frees: frees})
	}
	lean := func(near, far length.Length, right bool) string {
		// Going away from the person, a right end whose near edge stands back leans right.
		switch {
		case near == far || p.Stock.Kind == "crown": // which way it is laid for its cut is on the piece's drawing
			return ""
		case (near > far) == right:
			return "right"
		}
		return "left"
	}
	for i := range p.Sticks {
		s, sv := &p.Sticks[i], sticks[i]
		for k := range s.Pieces {
			c := &p.Pieces[s.Pieces[k].Piece]
			pv := &sv.Pieces[k]
			left, right := c.lying(s.Pieces[k].Turn)
			name := pv.Item + ": " + pv.Label
			l := key{tenth(left.Miter), tenth(left.Bevel), lean(pv.Left.Near, pv.Left.Far, false)}
			r := key{tenth(right.Miter), tenth(right.Bevel), lean(pv.Right.Near, pv.Right.Far, true)}
			shared := false
			if k > 0 {
				before := &p.Pieces[s.Pieces[k-1].Piece]
				_, other := before.lying(s.Pieces[k-1].Turn)
				bv := &sv.Pieces[k-1]
				shared = l == key{tenth(other.Miter), tenth(other.Bevel), lean(bv.Right.Near, bv.Right.Far, true)} && oneCut(p.Kerf, left, other, bv, pv)
			}
			if !shared {
				add(l, sv.Number, pv.At, name)
			} else if n := at[l]; len(out[n].Cuts) > 0 {
				last := &out[n].Cuts[len(out[n].Cuts)-1]
				last.Frees = append(last.Frees, name)
			}
			add(r, sv.Number, pv.At+pv.Length, name)
		}
	}
	order := make([]int, len(out))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool {
		x, y := keys[order[a]], keys[order[b]]
		switch {
		case x.bevel != y.bevel:
			return x.bevel < y.bevel
		case x.miter != y.miter:
			return x.miter < y.miter
		}
		return x.lean < y.lean
	})
	sorted := make([]SettingView, len(out))
	for i, k := range order {
		sorted[i] = out[k]
	}
	return sorted
}

// oneCut reports whether one pass of the blade makes both ends: they are a kerf apart on both edges.
func oneCut(kerf length.Length, left, other End, before, after *PieceView) bool {
	for _, e := range []End{left, other} {
		if e.Long == Neither && (e.Miter != 0 || e.Bevel != 0) {
			return false
		}
	}
	gap := after.At - before.At - before.Length
	near, far := gap+after.Left.Near+before.Right.Near, gap+after.Left.Far+before.Right.Far
	const rounding = 4 // nanometers: set-backs are rounded down
	return (near-far).Abs() <= rounding && max(near, far) <= max(kerfAt(kerf, left), kerfAt(kerf, other))+rounding
}

func sawLabel(r joblog.Reader, miter, bevel float64) string {
	joint := "square"
	if miter != 0 || bevel != 0 {
		joint = "miter"
	}
	return r.Saw(trim.End{Joint: joint, Miter: miter, Bevel: bevel})
}
