package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"

	"longpoint/internal/stock"
)

// drawnColumns is how wide the longest stick is drawn; with the numbers beside it a line
// still fits a terminal of 120 columns.
const drawnColumns = 60

func (c *call) printStock(p stock.Problem, plan stock.Plan, a stockAnswer) error {
	for _, line := range stockProof(a, countsSticks(p, a)) {
		fmt.Fprintln(c.out, line)
	}
	var bought, longest int64
	for _, l := range plan.Layouts {
		s := p.Stocks[l.Stock].Length
		bought += s * int64(l.Times)
		longest = max(longest, s)
	}
	if bought == 0 {
		return nil
	}
	fmt.Fprintf(c.out, "waste %d of %d (%.1f %%), offcuts kept %d, longest %d\n\n", a.Waste, bought, 100*float64(a.Waste)/float64(bought), a.KeptLength, a.LongestKept)
	w := tabwriter.NewWriter(c.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "times\tstick\tlayout\tpieces\tleft")
	for _, l := range plan.Layouts {
		left := strconv.FormatInt(l.Remainder, 10)
		if l.Kept {
			left += " kept"
		}
		fmt.Fprintf(w, "%d ×\t%d\t%s\t%s\t%s\n", l.Times, p.Stocks[l.Stock].Length, drawnStick(p, l, longest), piecesOf(p, l), left)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	_, err := fmt.Fprintf(c.out, "\n━ piece   ─ offcut kept   · lost   one column is %.4g\n", float64(longest)/drawnColumns)
	return err
}

// countsSticks reports whether the bound is a number of sticks.
func countsSticks(p stock.Problem, a stockAnswer) bool {
	return a.Objective == stock.FewestSticks || !slices.ContainsFunc(p.Stocks, func(s stock.Stock) bool { return s.Cost != 1 })
}

// stockProof says in words how good the plan is known to be, and why the search ended.
func stockProof(a stockAnswer, bySticks bool) []string {
	value, least, best := a.Cost, fmt.Sprintf("costs less than %d", a.LowerBound), "at the lowest cost"
	if bySticks {
		value, least, best = int64(a.Sticks), fmt.Sprintf("takes fewer than %d", a.LowerBound), "as few as can be"
	}
	sticks := fmt.Sprintf("%d sticks", a.Sticks)
	if a.Sticks == 1 {
		sticks = "1 stick"
	}
	if a.Optimal {
		return []string{fmt.Sprintf("%s, cost %d: proven %s (%.2f s)", sticks, a.Cost, best, a.Seconds)}
	}
	why := map[ending]string{
		endedTime:      fmt.Sprintf("The time ended the search: %.2f s. More --seconds may find better, or prove this.", a.Seconds),
		endedInterrupt: fmt.Sprintf("Stopped by hand after %.2f s: this is the best plan so far.", a.Seconds),
		endedSearch:    fmt.Sprintf("The search ended by itself after %.2f s without closing the gap.", a.Seconds),
	}[a.Ended]
	return []string{fmt.Sprintf("%s, cost %d: not proven best, but no plan %s (gap %d of %d)", sticks, a.Cost, least, a.Gap, value), why}
}

// drawnStick draws one stick to scale, each cut in the column nearest to it. Cuts nearer
// than a column share one; the lengths stand beside the drawing.
func drawnStick(p stock.Problem, l stock.Layout, longest int64) string {
	column := func(at int64) int { return int((at*drawnColumns + longest/2) / longest) }
	whole := p.Stocks[l.Stock].Length
	line := []rune(strings.Repeat("·", column(whole)+1))
	fill := func(from, to int64, with rune) {
		for i := column(from); i < column(to); i++ {
			line[i] = with
		}
	}
	cuts := []int64{0, whole}
	at := p.EndTrim
	for _, pc := range l.Pieces {
		for range pc.Count {
			end := at + p.Pieces[pc.Piece].Length
			fill(at, end, '━')
			cuts = append(cuts, at, end)
			at = end + p.Kerf
		}
	}
	if l.Kept {
		fill(at, whole, '─')
	}
	for _, cut := range cuts {
		line[column(cut)] = '|'
	}
	return string(line)
}

func piecesOf(p stock.Problem, l stock.Layout) string {
	out := make([]string, 0, len(l.Pieces))
	for _, pc := range l.Pieces {
		one := strconv.FormatInt(p.Pieces[pc.Piece].Length, 10)
		if pc.Count > 1 {
			one = strconv.Itoa(pc.Count) + " × " + one
		}
		out = append(out, one)
	}
	return strings.Join(out, ", ")
}
