package yard

import (
	"strconv"

	"longpoint/internal/joblog"
	"longpoint/internal/length"
)

// Check says in a sentence what is wrong with a list, or nothing.
func (l List) Check() string {
	if len(l.Lines) > MostLines {
		return "A list holds at most " + strconv.Itoa(MostLines) + " kinds of stock."
	}
	seen := map[joblog.Stock]bool{}
	for _, line := range l.Lines {
		if seen[line.Stock] {
			return "The list names the same stock twice."
		}
		seen[line.Stock] = true
		if s := line.Stock; s.Width < 0 || s.Width > 4*length.Foot || s.Thickness < 0 || s.Thickness > length.Foot || len(s.Name) > 240 {
			return "A stock's size in the list cannot be."
		}
		if len(line.Offers) > MostOffers {
			return "A stock has at most " + strconv.Itoa(MostOffers) + " lengths."
		}
		for _, o := range line.Offers {
			switch {
			case o.Length <= 0 || o.Length > length.Longest:
				return "A stick is longer than nothing and at most 100 ft."
			case o.Cents < NoPrice || o.Cents > MostCents:
				return "A stick's price is from nothing to " + Money(MostCents) + "."
			case o.Limit < NoLimit || o.Limit > 100_000:
				return "A limit is a number of sticks, or none."
			}
		}
	}
	return ""
}
