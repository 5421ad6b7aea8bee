package backup

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func names(from time.Time, step time.Duration, n int) (out []string) {
	for i := range n {
		out = append(out, from.Add(time.Duration(i)*step).Format(nameForm))
	}
	return out
}

// A backup every six hours for 100 days: of 7 days, 5 weeks and 3 months the newest each, counted by hand on a calendar.
func TestWhatIsKept(t *testing.T) {
	t.Parallel()
	all := names(time.Date(2026, 1, 1, 3, 0, 0, 0, time.UTC), 6*time.Hour, 400) // to 10 April 2026, 21:00
	gone := Retention{Days: 7, Weeks: 5, Months: 3}.surplus(all)
	var kept []string
	for _, n := range all {
		if !slices.Contains(gone, n) {
			kept = append(kept, n)
		}
	}
	want := []string{
		"20260228T210000Z",                                         // February's last
		"20260315T210000Z", "20260322T210000Z", "20260329T210000Z", // Sundays
		"20260331T210000Z", // March's last
		"20260404T210000Z", "20260405T210000Z", "20260406T210000Z", "20260407T210000Z", "20260408T210000Z", "20260409T210000Z", "20260410T210000Z",
	}
	if !slices.Equal(kept, want) {
		t.Errorf("kept: got %q, want %q", kept, want)
	}
	if gone := (Retention{}).surplus(all); gone != nil {
		t.Errorf("without a rule: got %d gone, want none", len(gone))
	}
}

func TestTheNewestStaysAndPruningTwiceIsPruningOnce(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		at := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
		var all []string
		for _, gap := range rapid.SliceOfN(rapid.IntRange(1, 24*20), 1, 60).Draw(t, "hours between") {
			at = at.Add(time.Duration(gap) * time.Hour)
			all = append(all, at.Format(nameForm))
		}
		r := Retention{rapid.IntRange(0, 9).Draw(t, "days"), rapid.IntRange(0, 9).Draw(t, "weeks"), rapid.IntRange(0, 9).Draw(t, "months")}
		gone := r.surplus(all)
		kept := slices.DeleteFunc(slices.Clone(all), func(n string) bool { return slices.Contains(gone, n) })
		if len(kept) == 0 || kept[len(kept)-1] != all[len(all)-1] {
			t.Fatalf("kept %v of %v: want the newest among them", kept, all)
		}
		if r != (Retention{}) && len(kept) > r.Days+r.Weeks+r.Months+1 {
			t.Fatalf("kept %d with %+v", len(kept), r)
		}
		if again := r.surplus(kept); len(again) != 0 {
			t.Fatalf("pruned again: %v went", again)
		}
	})
}

func TestPruneLeavesOtherThingsAlone(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	for _, n := range append(names(time.Date(2026, 5, 1, 3, 0, 0, 0, time.UTC), 24*time.Hour, 4), "notes", partialMark+"20260505T030000Z") {
		if err := os.Mkdir(filepath.Join(dir, n), 0o700); err != nil {
			t.Fatal(err)
		}
	}
	gone, err := Prune(dir, Retention{Days: 2})
	if err != nil || !slices.Equal(gone, []string{"20260501T030000Z", "20260502T030000Z"}) {
		t.Fatalf("gone: got %q (%v), want the two oldest", gone, err)
	}
	left, err := os.ReadDir(dir)
	if err != nil || len(left) != 4 {
		t.Errorf("left: got %v (%v), want two backups, the notes and the one being written", left, err)
	}
}

func TestTablesComeAfterThoseTheyNeed(t *testing.T) {
	t.Parallel()
	got, err := inOrder([]table{{name: "a", needs: []string{"b", "c"}}, {name: "b", needs: []string{"c"}}, {name: "c"}})
	if err != nil || got[0].name != "c" || got[1].name != "b" || got[2].name != "a" {
		t.Errorf("got %v (%v), want c, b, a", got, err)
	}
	if _, err := inOrder([]table{{name: "a", needs: []string{"b"}}, {name: "b", needs: []string{"a"}}}); err == nil {
		t.Error("a circle: want an error")
	}
}
