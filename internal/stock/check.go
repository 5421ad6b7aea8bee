package stock

import (
	"math/bits"
	"strconv"
)

// Check verifies that pl can be cut and meets every demand of p exactly: each layout fits
// its stick with kerfs and trim, no more sticks of a kind are used than there are, and the
// sums stated are the sums of the layouts. It shares no code with Solve. It says nothing about
// whether a plan is the best one. The error is an *Error with CodeBadPlan, or what Validate says of p.
func Check(p Problem, pl Plan) error {
	if err := p.Validate(); err != nil {
		return err
	}
	bad := func(words ...string) error { return refuse(CodeBadPlan, words...) }
	made := make([]int64, len(p.Pieces))
	taken := make([]int64, len(p.Stocks))
	var cost, sticks, waste, kept, longest int64
	for i, l := range pl.Layouts {
		name := "Layout " + strconv.Itoa(i+1)
		if l.Stock < 0 || l.Stock >= len(p.Stocks) {
			return bad(name, " names a stick that is not in the list.")
		}
		if l.Times <= 0 {
			return bad(name, " is cut ", strconv.Itoa(l.Times), " times.")
		}
		if len(l.Pieces) == 0 {
			return bad(name, " holds no piece.")
		}
		s := p.Stocks[l.Stock]
		length, cuts := int64(0), int64(-1)
		seen := make(map[int]bool, len(l.Pieces))
		for _, c := range l.Pieces {
			if c.Piece < 0 || c.Piece >= len(p.Pieces) {
				return bad(name, " names a piece that is not in the list.")
			}
			if seen[c.Piece] {
				return bad(name, " names piece ", strconv.Itoa(c.Piece+1), " twice.")
			}
			seen[c.Piece] = true
			if c.Count <= 0 || c.Count > MaxPieces {
				return bad(name, " holds ", strconv.Itoa(c.Count), " of piece ", strconv.Itoa(c.Piece+1), ".")
			}
			for range c.Count {
				length += p.Pieces[c.Piece].Length
				cuts++
				if length > s.Length || cuts*p.Kerf > s.Length {
					return bad(name, " is longer than its stick.")
				}
			}
			over, n := bits.Mul64(uint64(c.Count), uint64(l.Times))
			if over != 0 || n > MaxPieces {
				return bad(name, " makes more pieces than the limit.")
			}
			made[c.Piece] += int64(n)
			if made[c.Piece] > int64(p.Pieces[c.Piece].Demand) {
				return bad("Piece ", strconv.Itoa(c.Piece+1), " is cut more often than the ", strconv.Itoa(p.Pieces[c.Piece].Demand), " wanted.")
			}
		}
		if length+cuts*p.Kerf+p.EndTrim > s.Length {
			return bad(name, " needs ", num(length+cuts*p.Kerf+p.EndTrim), " of a stick ", num(s.Length), " long.")
		}
		left := s.Length - p.EndTrim - length - (cuts+1)*p.Kerf
		if left < 0 {
			left = 0
		}
		keep := p.LeastOffcut > 0 && left >= p.LeastOffcut
		if l.Remainder != left || l.Kept != keep {
			return bad(name, " states a remainder of ", num(l.Remainder), "; it is ", num(left), ".")
		}
		n := int64(l.Times)
		taken[l.Stock] += n
		if s.Count >= 0 && taken[l.Stock] > int64(s.Count) {
			return bad("More than the ", strconv.Itoa(s.Count), " sticks there are of ", named("stick", l.Stock, s.Label), " are used.")
		}
		sticks += n
		if s.Cost > 0 {
			cost += n * s.Cost
		}
		if keep {
			kept += n * left
			longest = max(longest, left)
			waste += n * (s.Length - length - left)
		} else {
			waste += n * (s.Length - length)
		}
	}
	for i, c := range p.Pieces {
		if made[i] != int64(c.Demand) {
			return bad("Of ", named("piece", i, c.Label), " ", num(made[i]), " are cut, ", strconv.Itoa(c.Demand), " are wanted.")
		}
	}
	for _, sum := range []struct {
		what      string
		got, want int64
	}{
		{"cost", pl.Cost, cost}, {"number of sticks", int64(pl.Sticks), sticks}, {"waste", pl.Waste, waste},
		{"kept length", pl.KeptLength, kept}, {"longest kept remainder", pl.LongestKept, longest},
	} {
		if sum.got != sum.want {
			return bad("The plan states a ", sum.what, " of ", num(sum.got), "; its layouts make ", num(sum.want), ".")
		}
	}
	if pl.Gap < 0 || (pl.Gap == 0) != pl.Optimal {
		return bad("The plan is called optimal with a gap of ", num(pl.Gap), ", or not optimal without one.")
	}
	return nil
}
