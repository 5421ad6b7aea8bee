package forecast_test

import (
	"context"
	"math"
	"testing"
	"time"

	"gonum.org/v1/gonum/stat/distuv"

	"longpoint/internal/forecast"
	"longpoint/internal/stage"
)

var monday = time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC)

func simulate(t *testing.T, p forecast.Plan) forecast.Forecast {
	t.Helper()
	f, err := forecast.Simulate(context.Background(), p)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// known is a pace so often seen that its rate is certain: so many minutes each time.
func known(minutes float64) forecast.Pace {
	const often = 1 << 40
	return forecast.Pace{forecast.Door: {stage.Measured: {Count: often, Minutes: often * minutes}}}
}

func doors(n int, stages ...stage.Stage) []forecast.Item {
	out := make([]forecast.Item, n)
	for i := range out {
		out[i] = forecast.Item{Group: forecast.Door, Stages: stages}
	}
	return out
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if math.Abs(got-want) > within*want {
		t.Errorf("%s: got %.3f, want %.3f within %.0f %%", what, got, want, 100*within)
	}
}

// The minutes of n doors, each gamma with shape 4 and the same rate, add up to a gamma with
// shape 4n: twice the rate times the sum is chi-square with 8n degrees of freedom. Critical
// values: NIST/SEMATECH e-Handbook of Statistical Methods, table 1.3.6.7.4 (from memory), and
// Gonum's distribution as a second opinion.
func TestOnePersonsSumIsChiSquare(t *testing.T) {
	t.Parallel()
	const minutes = 30.0
	rate := forecast.Shape / minutes
	for _, c := range []struct {
		doors int
		upper float64 // chi-square that 1 of 10 is over
	}{{1, 13.362}, {5, 51.805}} {
		f := simulate(t, forecast.Plan{
			Items: doors(c.doors, stage.Measured), People: 1, Pace: known(minutes), Start: monday, Runs: 20000, Seed: 7,
		})
		chi := distuv.ChiSquared{K: float64(8 * c.doors)}
		near(t, "table and Gonum agree", chi.Quantile(0.9), c.upper, 0.0005)
		for _, share := range []float64{0.2, 0.5, 0.8, 0.9} {
			got := 2 * rate * f.At(share).Sub(monday).Minutes()
			near(t, "chi-square at the share", got, chi.Quantile(share), 0.03)
		}
		near(t, "mean", f.Minutes, minutes*float64(c.doors), 0.02)
	}
}

// Two people with a door each are done when the slower is: the chance of that is the square
// of one's.
func TestTwoPeopleWaitForTheSlower(t *testing.T) {
	t.Parallel()
	f := simulate(t, forecast.Plan{
		Items: doors(2, stage.Measured), People: 2, Pace: known(30), Start: monday, Runs: 20000, Seed: 3,
	})
	one := distuv.Gamma{Alpha: forecast.Shape, Beta: forecast.Shape / 30.0}
	for _, share := range []float64{0.2, 0.5, 0.8} {
		near(t, "slower of two", f.At(share).Sub(monday).Minutes(), one.Quantile(math.Sqrt(share)), 0.03)
	}
}

// With nothing logged the rate itself is uncertain: a gamma divided by a gamma, which is the
// odds of a beta. It spreads wider than a certain rate.
func TestAnUncertainRateSpreads(t *testing.T) {
	t.Parallel()
	f := simulate(t, forecast.Plan{Items: doors(1, stage.Hung), Start: monday, Runs: 20000, Seed: 11})
	mean := forecast.Assumed(forecast.Door, stage.Hung)
	odds := distuv.Beta{Alpha: forecast.Shape, Beta: forecast.Shape*forecast.Weight + 1}
	for _, share := range []float64{0.2, 0.5, 0.8} {
		b := odds.Quantile(share)
		near(t, "odds of a beta", f.At(share).Sub(monday).Minutes(), forecast.Weight*mean*b/(1-b), 0.03)
	}
	near(t, "mean stays the assumed", f.Minutes, mean, 0.02)
}

// Certain minutes make a plan a sum done by hand.
func TestHoursAndDryingByHand(t *testing.T) {
	t.Parallel()
	friday := time.Date(2026, 3, 6, 14, 30, 0, 0, time.UTC)
	hours := forecast.Hours{From: 8 * 60, To: 16 * 60, Days: forecast.Usual.Days}
	at := func(d, h, m int) time.Time { return time.Date(2026, 3, d, h, m, 0, 0, time.UTC) }
	nothing := forecast.Pace{}
	for _, g := range forecast.Groups() { // so fast that only waits are left
		nothing[g] = map[stage.Stage]forecast.Seen{}
		for _, s := range stage.All() {
			nothing[g][s] = forecast.Seen{Count: 1 << 50, Minutes: 1}
		}
	}
	waits := forecast.Waits{FillerDry: 60, CaulkCure: 240, Recoat: 120, Coats: 2}
	for _, c := range []struct {
		name string
		left []stage.Stage
		from time.Time
		want time.Time
	}{
		{"nothing dries before it", []stage.Stage{stage.Measured}, friday, friday},
		{"filler dries in an hour", []stage.Stage{stage.Filled, stage.Caulked}, friday, at(6, 15, 30)},
		{"caulk cures over the weekend", []stage.Stage{stage.Caulked, stage.Painted}, at(6, 15, 0), at(9, 10, 0)},
		{"two coats on one day", []stage.Stage{stage.Painted}, at(3, 9, 0), at(3, 11, 0)},
		{"it begins when the day does", []stage.Stage{stage.Measured}, at(7, 12, 0), at(9, 8, 0)},
	} {
		f := simulate(t, forecast.Plan{
			Items: doors(1, c.left...), Hours: hours, Waits: waits, Pace: nothing, Start: c.from, Runs: 3,
		})
		if got := f.At(0.8).Round(time.Minute); !got.Equal(c.want) {
			t.Errorf("%s: done %s, want %s", c.name, got.Format(time.DateTime), c.want.Format(time.DateTime))
		}
	}
}

// Nine hours begun an hour before Friday ends leave all of Monday: work does not run through
// nights and weekends.
func TestWorkStopsForTheWeekend(t *testing.T) {
	t.Parallel()
	f := simulate(t, forecast.Plan{
		Items: doors(1, stage.Measured), Pace: known(9 * 60), Hours: forecast.Hours{From: 480, To: 960, Days: forecast.Usual.Days},
		Start: time.Date(2026, 3, 6, 15, 0, 0, 0, time.UTC), Runs: 4000,
	})
	one := distuv.Gamma{Alpha: forecast.Shape, Beta: forecast.Shape / (9 * 60.0)}
	// In the median a little under nine hours: seven and some of them on Monday.
	want := time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC).Add(time.Duration((one.Quantile(0.5) - 60) * float64(time.Minute)))
	if got := f.At(0.5); got.Sub(want).Abs() > 20*time.Minute {
		t.Errorf("half are done by %s, want about %s", got.Format(time.DateTime), want.Format(time.DateTime))
	}
}

func TestTheSameSeedGivesTheSame(t *testing.T) {
	t.Parallel()
	p := forecast.Plan{Items: doors(6, stage.Hung, stage.Cased, stage.Painted), People: 2, Hours: forecast.Usual, Start: monday, Runs: 50, Seed: 5}
	a, b := simulate(t, p), simulate(t, p)
	for i := range a.Ends {
		if !a.Ends[i].Equal(b.Ends[i]) {
			t.Fatalf("run %d ended %s and %s", i, a.Ends[i], b.Ends[i])
		}
	}
	p.People = 4
	if more := simulate(t, p); more.At(0.8).After(a.At(0.8)) {
		t.Errorf("with more people it ends later: %s after %s", more.At(0.8), a.At(0.8))
	}
}

func TestNothingLeftIsNow(t *testing.T) {
	t.Parallel()
	f := simulate(t, forecast.Plan{Start: monday, Runs: 5})
	if !f.At(0.5).Equal(monday) || f.Minutes != 0 {
		t.Errorf("a finished job is done %s with %v minutes left", f.At(0.5), f.Minutes)
	}
	if !(forecast.Forecast{}).At(0.5).IsZero() {
		t.Error("no runs have a moment")
	}
}

func TestItStopsWhenAsked(t *testing.T) {
	t.Parallel()
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := forecast.Simulate(ctx, forecast.Plan{Items: doors(1, stage.Hung), Start: monday, Runs: 1000}); err == nil {
		t.Error("it went on")
	}
}

func BenchmarkThreeHundredItems(b *testing.B) {
	p := forecast.Plan{Items: doors(300, stage.All()...), People: 3, Hours: forecast.Usual, Start: monday, Runs: 400,
		Waits: forecast.Waits{FillerDry: 60, CaulkCure: 240, Recoat: 240, Coats: 2}}
	for b.Loop() {
		if _, err := forecast.Simulate(context.Background(), p); err != nil {
			b.Fatal(err)
		}
	}
}
