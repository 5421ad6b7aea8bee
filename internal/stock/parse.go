package stock

import (
	"strconv"
	"strings"
)

// ParseInstance reads a problem from either of two plain texts (LF or CRLF line ends).
//
// One stock length, fewest sticks, no kerf: whitespace-separated whole numbers
//
//	m            number of different piece lengths
//	c            stock length
//	w d          m times: piece length, demand (a length may be repeated: the demands add up)
//
// which gives one stock of price 1. Several stock lengths: lines in any order,
//
//	# comment
//	kerf K
//	stock LENGTH COST COUNT     COUNT -1 = as many as wanted
//	piece LENGTH DEMAND
//
// optionally with "trim T" and "least L" for EndTrim and LeastOffcut. The result is also validated.
// Errors are *Error, with CodeBadFile where the text itself cannot be read.
func ParseInstance(text []byte) (Problem, error) {
	lines := strings.Split(string(text), "\n")
	for _, line := range lines {
		f := strings.Fields(line)
		if len(f) == 0 || f[0][0] == '#' {
			continue
		}
		var p Problem
		var err error
		if _, bad := strconv.ParseInt(f[0], 10, 64); bad == nil {
			p, err = parseNumbers(lines)
		} else {
			p, err = parseLines(lines)
		}
		if err != nil {
			return Problem{}, err
		}
		if err := p.Validate(); err != nil {
			return Problem{}, err
		}
		return p, nil
	}
	return Problem{}, refuse(CodeBadFile, "The instance is empty.")
}

func parseNumbers(lines []string) (Problem, error) {
	var all []string
	for _, line := range lines {
		all = append(all, strings.Fields(line)...)
	}
	nums := make([]int64, len(all))
	for i, s := range all {
		n, err := strconv.ParseInt(s, 10, 64)
		if err != nil {
			return Problem{}, refuse(CodeBadFile, "Number ", strconv.Itoa(i+1), " of the instance, ", strconv.Quote(clip(s)), ", is not a whole number.")
		}
		nums[i] = n
	}
	if len(nums) < 2 {
		return Problem{}, refuse(CodeBadFile, "The instance ends before its stock length.")
	}
	m := nums[0]
	if m < 0 || m > MaxPieces || int64(len(nums)) != 2+2*m {
		return Problem{}, refuse(CodeBadFile, "The instance announces ", num(m), " piece lengths and holds ", strconv.Itoa((len(nums)-2)/2), ".")
	}
	p := Problem{Stocks: []Stock{{Length: nums[1], Cost: 1, Count: Unlimited}}}
	for i := 2; i < len(nums); i += 2 {
		d, err := smallInt(nums[i+1])
		if err != nil {
			return Problem{}, err
		}
		p.Pieces = append(p.Pieces, Piece{Length: nums[i], Demand: d})
	}
	return p, nil
}

func parseLines(lines []string) (Problem, error) {
	var p Problem
	for i, line := range lines {
		f := strings.Fields(line)
		if len(f) == 0 || f[0][0] == '#' {
			continue
		}
		want := map[string]int{"kerf": 1, "trim": 1, "least": 1, "stock": 3, "piece": 2}[f[0]]
		if want == 0 {
			return Problem{}, refuse(CodeBadFile, "Line ", strconv.Itoa(i+1), " begins with ", strconv.Quote(clip(f[0])), "; kerf, trim, least, stock or piece is expected.")
		}
		if len(f) != want+1 {
			return Problem{}, refuse(CodeBadFile, "Line ", strconv.Itoa(i+1), ": ", f[0], " takes ", strconv.Itoa(want), " numbers, not ", strconv.Itoa(len(f)-1), ".")
		}
		var n [3]int64
		for k, s := range f[1:] {
			v, err := strconv.ParseInt(s, 10, 64)
			if err != nil {
				return Problem{}, refuse(CodeBadFile, "Line ", strconv.Itoa(i+1), ": ", strconv.Quote(clip(s)), " is not a whole number.")
			}
			n[k] = v
		}
		switch f[0] {
		case "kerf":
			p.Kerf = n[0]
		case "trim":
			p.EndTrim = n[0]
		case "least":
			p.LeastOffcut = n[0]
		case "stock":
			c, err := smallInt(n[2])
			if err != nil {
				return Problem{}, err
			}
			p.Stocks = append(p.Stocks, Stock{Length: n[0], Cost: n[1], Count: c})
		case "piece":
			d, err := smallInt(n[1])
			if err != nil {
				return Problem{}, err
			}
			p.Pieces = append(p.Pieces, Piece{Length: n[0], Demand: d})
		}
	}
	return p, nil
}

// smallInt keeps counts within int on every platform (32 bits on some) before Validate sees them.
func smallInt(n int64) (int, error) {
	if n < -1<<31 || n > 1<<31-1 {
		return 0, refuse(CodeBadCount, "The count ", num(n), " is out of range.")
	}
	return int(n), nil
}

func clip(s string) string {
	if len(s) > 20 {
		return s[:20]
	}
	return s
}
