package finish_test

import (
	"reflect"
	"testing"
	"time"

	"longpoint/internal/finish"
	"longpoint/internal/houserules"

	"pgregory.net/rapid"
)

// TestCheckDryHoldsUntilItSays asks again at later moments: before the one that was named
// nothing else is said, not even a minute less, and at that one something is.
func TestCheckDryHoldsUntilItSays(t *testing.T) {
	t.Parallel()
	var waited, held bool
	rapid.Check(t, func(rt *rapid.T) {
		var (
			moment = rapid.Custom(func(rt *rapid.T) time.Time {
				return noon.Add(time.Duration(rapid.Int64Range(-3*24*3600, 3600).Draw(rt, "seconds")) * time.Second)
			})
			things = rapid.SliceOfN(rapid.Custom(func(rt *rapid.T) finish.Laid {
				return finish.Laid{Entry: rapid.StringMatching(`[a-c]`).Draw(rt, "entry"), At: moment.Draw(rt, "at")}
			}), 0, 3)
			log = finish.DryLog{HolesOpen: rapid.Bool().Draw(rt, "holes"), Puttied: things.Draw(rt, "puttied"),
				Caulked: things.Draw(rt, "caulked"), Coated: things.Draw(rt, "coated")}
		)
		for _, l := range things.Draw(rt, "filled") {
			f := finish.Fill{Laid: l}
			if rapid.Bool().Draw(rt, "sanded") {
				f.SandedAt = ptr(moment.Draw(rt, "sanded at"))
			}
			log.Filled = append(log.Filled, f)
		}
		step := rapid.SampledFrom(finish.Steps()).Draw(rt, "step")
		rules := houserules.Defaults()
		said, until := finish.CheckDryUntil(noon, step, log, rules)
		most := 30 * 24 * time.Hour
		if !until.IsZero() {
			waited = true
			if !until.After(noon) {
				rt.Fatalf("holds until %v, which is not after now", until)
			}
			if now := finish.CheckDry(until, step, log, rules); reflect.DeepEqual(now, said) {
				rt.Fatalf("at %v still the same is said: %v", until, now)
			}
			most = until.Sub(noon) - 1
		}
		later := noon.Add(time.Duration(rapid.Int64Range(0, int64(most)).Draw(rt, "later")))
		if now := finish.CheckDry(later, step, log, rules); !reflect.DeepEqual(now, said) {
			rt.Fatalf("at %v, before %v:\n got %v\nwant %v", later, until, now, said)
		}
		held = held || len(said) > 0 && later.After(noon)
	})
	if !waited || !held {
		t.Errorf("nothing was tried: waited %v, held %v", waited, held)
	}
}
