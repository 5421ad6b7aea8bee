package houserules_test

import (
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"longpoint/internal/houserules"
)

// TestEveryRuleIsASetting: each field of the rules has one row, which reaches that field and no
// other, with a default that the row itself would take.
func TestEveryRuleIsASetting(t *testing.T) {
	t.Parallel()
	built := houserules.Defaults()
	keys, reached := map[string]bool{}, map[int]string{}
	for _, s := range houserules.Settings() {
		if keys[s.Key] {
			t.Errorf("%s has two rows", s.Key)
		}
		keys[s.Key] = true
		if s.Default < s.Min || s.Default > s.Max || s.Min >= s.Max || s.Basis == "" {
			t.Errorf("%s: default %d from %d to %d, basis %q", s.Key, s.Default, s.Min, s.Max, s.Basis)
		}
		if s.Kind == houserules.Choice && (s.Min != 0 || s.Max != int64(len(s.Choices))-1) {
			t.Errorf("%s: %d choices from %d to %d", s.Key, len(s.Choices), s.Min, s.Max)
		}
		other := s.Min
		if other == s.Default {
			other = s.Max
		}
		changed, bad := houserules.Resolve(houserules.Layer{Origin: houserules.Item, Set: houserules.Set{s.Key: other}})
		if len(bad) > 0 {
			t.Errorf("%s: its own end of the range, %d, is turned back", s.Key, other)
		}
		a, b := reflect.ValueOf(built), reflect.ValueOf(changed)
		for i := range a.NumField() {
			if a.Field(i).Int() == b.Field(i).Int() {
				continue
			}
			if by, twice := reached[i]; twice || b.Field(i).Int() != other {
				t.Errorf("%s puts %d into %s, which %q reaches too", s.Key, b.Field(i).Int(), a.Type().Field(i).Name, by)
			}
			reached[i] = s.Key
		}
	}
	if rules := reflect.TypeFor[houserules.Rules]().NumField(); len(reached) != rules || len(keys) != rules {
		t.Errorf("%d rules, %d rows, %d of them reach a rule of their own", rules, len(keys), len(reached))
	}
}

// TestTheInnermostCountsAndSaysWhere draws any numbers on any layers: of those in range the
// innermost counts and its layer is shown as its origin; every other is returned, none is moved
// into range.
func TestTheInnermostCountsAndSaysWhere(t *testing.T) {
	t.Parallel()
	table := houserules.Settings()
	origins := []houserules.Origin{houserules.Company, houserules.Job, houserules.Room, houserules.Item}
	rapid.Check(t, func(t *rapid.T) {
		layers := make([]houserules.Layer, len(origins))
		for i, origin := range origins {
			set := houserules.Set{}
			for range rapid.IntRange(0, 6).Draw(t, "rules") {
				s := rapid.SampledFrom(table).Draw(t, "setting")
				set[s.Key] = rapid.OneOf(rapid.Int64Range(s.Min, s.Max), rapid.Int64Range(s.Min-2, s.Max+2), rapid.Int64()).Draw(t, "value")
			}
			if rapid.IntRange(0, 9).Draw(t, "misspelled") == 0 {
				set["no_such_rule"] = 1
			}
			layers[i] = houserules.Layer{Origin: origin, Set: set}
		}
		_, bad := houserules.Resolve(layers...)
		wrong := map[houserules.Rejection]bool{}
		for _, b := range bad {
			wrong[houserules.Rejection{Key: b.Key, Value: b.Value, Origin: b.Origin}] = true
		}
		shown := houserules.Explain(layers...)
		refused := 0
		for i, s := range table {
			value, from := s.Default, houserules.BuiltIn
			for _, l := range layers {
				v, set := l.Set[s.Key]
				switch {
				case set && v >= s.Min && v <= s.Max:
					value, from = v, l.Origin
				case set:
					refused++
					if !wrong[houserules.Rejection{Key: s.Key, Value: v, Origin: l.Origin}] {
						t.Fatalf("%s: %d of the %s is from %d to %d and went unsaid", s.Key, v, l.Origin, s.Min, s.Max)
					}
				}
			}
			if e := shown[i]; e.Key != s.Key || e.Value != value || e.Origin != from {
				t.Fatalf("%s is shown as %d of the %s, want %d of the %s", e.Key, e.Value, e.Origin, value, from)
			}
		}
		for _, l := range layers {
			refused += int(l.Set["no_such_rule"])
		}
		if len(bad) != refused {
			t.Fatalf("%d turned back, want %d: %+v", len(bad), refused, bad)
		}
	})
}
