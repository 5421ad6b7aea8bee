package backup

import (
	"os"
	"path/filepath"
	"time"
)

// Retention says how many backups to keep: the newest of each of the last days, weeks and months that have one.
// Zero of all three keeps everything.
type Retention struct{ Days, Weeks, Months int }

// Prune takes away the finished backups under dir that r does not keep, and says which. The newest always stays.
func Prune(dir string, r Retention) (gone []string, err error) {
	names, err := finished(dir)
	if err != nil {
		return nil, err
	}
	for _, name := range r.surplus(names) {
		// Under a name that is no backup's first, so that half of one is never taken for a whole.
		away := filepath.Join(dir, partialMark+name)
		if err := os.Rename(filepath.Join(dir, name), away); err != nil {
			return gone, err
		}
		if err := os.RemoveAll(away); err != nil {
			return gone, err
		}
		gone = append(gone, name)
	}
	return gone, nil
}

// surplus lists what is not to be kept of names, which are sorted.
func (r Retention) surplus(names []string) (out []string) {
	if r == (Retention{}) || len(names) == 0 {
		return nil
	}
	keep := map[string]bool{names[len(names)-1]: true}
	for _, by := range []struct {
		most int
		of   func(time.Time) string
	}{
		{r.Days, func(t time.Time) string { return t.Format(time.DateOnly) }},
		{r.Weeks, func(t time.Time) string {
			// A week begins on Monday, whatever the year.
			return t.AddDate(0, 0, -(int(t.Weekday())+6)%7).Format(time.DateOnly)
		}},
		{r.Months, func(t time.Time) string { return t.Format("2006-01") }},
	} {
		seen := map[string]bool{}
		for i := len(names) - 1; i >= 0; i-- {
			at, _ := MadeAt(names[i])
			if span := by.of(at); !seen[span] && len(seen) < by.most {
				seen[span] = true
				keep[names[i]] = true
			}
		}
	}
	for _, n := range names {
		if !keep[n] {
			out = append(out, n)
		}
	}
	return out
}
