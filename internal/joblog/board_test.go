package joblog_test

import (
	"encoding/json"
	"testing"
	"time"

	"pgregory.net/rapid"

	"longpoint/internal/finish"
	"longpoint/internal/joblog"
)

// partOf works one room's part of the board out and writes it as it is sent, and with it all
// that is said of the one item in it.
func partOf(t *rapid.T, s *site, r joblog.Reader) (string, time.Time) {
	b := joblog.NewBoard(s.state, nil, r)
	var (
		out   string
		until time.Time
	)
	b.View([]int{0}, func(_ int, p joblog.RoomPart) {
		body, err := json.Marshal([]any{p.View, joblog.ViewItem(s.state.Scope(nil, joblog.Command{ItemID: s.item}), r)})
		if err != nil {
			t.Fatal(err)
		}
		out, until = string(body), p.Until
	})
	return out, until
}

// TestAPartOfTheBoardHoldsAsLongAsItSays works a room out again at any moment before the one
// it named, after each of random commands, for readers in both languages and units.
func TestAPartOfTheBoardHoldsAsLongAsItSays(t *testing.T) {
	t.Parallel()
	var waited, ended bool
	rapid.Check(t, func(rt *rapid.T) {
		s := newSite(t)
		s.takeAll()
		s.cut("trimmed")
		s.cut("cased")
		s.drive(finish.Brad18, in(2, 0, 0), 12, finish.JambEdge)
		r := joblog.Reader{Language: rapid.SampledFrom([]string{"en", "es"}).Draw(rt, "language"), Style: style}
		for range rapid.IntRange(1, 5).Draw(rt, "commands") {
			s.now = s.now.Add(time.Duration(rapid.IntRange(0, 600*60).Draw(rt, "seconds")) * time.Second)
			var c joblog.Command
			switch rapid.IntRange(0, 3).Draw(rt, "what") {
			case 0:
				c = s.treat(finish.Brad18, rapid.SampledFrom([]finish.Treatment{finish.Filler, finish.Caulk}).Draw(rt, "with"))
			case 1:
				c = joblog.Command{Kind: joblog.LogGapKind, LogGap: &joblog.LogGap{Gap: finish.Gap{Edge: finish.SideEdge, Width: in(0, 1, 16), Closing: finish.Caulked,
					Sealant: &finish.Sealant{Product: "acrylic", Class: finish.Class25}}}}
			default:
				c = drawCommand(rt, s)
			}
			s.give(lead, c)
			r.Now = s.now
			want, until := partOf(rt, s, r)
			most := 90 * 24 * time.Hour
			if !until.IsZero() {
				waited = true
				if most = until.Sub(r.Now) - 1; most < 0 {
					rt.Fatalf("holds until %v, and it is %v", until, r.Now)
				}
				r.Now = until
				if got, _ := partOf(rt, s, r); got != want {
					ended = true
				}
			}
			r.Now = s.now.Add(time.Duration(rapid.Int64Range(0, int64(most)).Draw(rt, "later")))
			if got, _ := partOf(rt, s, r); got != want {
				rt.Fatalf("%v later it is another, though it held until %v:\n got %s\nwant %s", r.Now.Sub(s.now), until, got, want)
			}
		}
	})
	if !waited || !ended {
		t.Errorf("nothing was tried: something waited %v, and ended %v", waited, ended)
	}
}
