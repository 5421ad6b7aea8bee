// Package houserules holds every default of the rule book as a setting that a company, a
// job, a room or an item may override, and says where each effective value came from.
package houserules

import (
	"longpoint/internal/length"
)

// Kind says what a setting's number means.
type Kind string

// The kinds of setting and their units.
const (
	Length  Kind = "length"  // nanometers
	Minutes Kind = "minutes" // whole minutes
	Percent Kind = "percent" // whole percent
	Count   Kind = "count"   // a plain whole number
	Choice  Kind = "choice"  // the place of one of the setting's choices, from 0
)

// Origin names the layer an effective value came from, outermost first.
type Origin string

// Layers are applied in this order; the innermost that sets a value wins.
const (
	BuiltIn Origin = "built_in"
	Company Origin = "company"
	Job     Origin = "job"
	Room    Origin = "room"
	Item    Origin = "item"
)

// Set is one layer's overrides by setting key. Lengths are nanometers.
type Set map[string]int64

// Layer is a Set with the place it belongs to.
type Layer struct {
	Origin Origin
	Set    Set
}

// Setting describes one house rule.
type Setting struct {
	Key      string   `json:"key"`
	Kind     Kind     `json:"kind" enum:"length,minutes,percent,count,choice"`
	Default  int64    `json:"default"`
	Min      int64    `json:"min"`
	Max      int64    `json:"max"`
	Basis    string   `json:"basis" doc:"What the default stands on"`
	Choices  []string `json:"choices,omitempty" doc:"Of a choice: what each value from 0 on means"`
	lengthOf func(*Rules) *length.Length
	numberOf func(*Rules) *int64
}

// Effective is a setting's value for one item and the layer it came from.
type Effective struct {
	Key    string `json:"key"`
	Kind   Kind   `json:"kind" enum:"length,minutes,percent,count,choice"`
	Value  int64  `json:"value"`
	Origin Origin `json:"origin" enum:"built_in,company,job,room,item"`
	Choice string `json:"choice,omitempty" doc:"Of a choice: what the value means"`
}

// Rejection is an override that was not applied: unknown key or out of range.
type Rejection struct {
	Key      string
	Value    int64
	Origin   Origin
	Known    bool
	Min, Max int64
}

// Resolve lays the layers over the built-in defaults in the order given. An override that
// is unknown or out of its range is left out and returned, never clamped.
func Resolve(layers ...Layer) (Rules, []Rejection) {
	r := Defaults()
	var bad []Rejection
	for _, l := range layers {
		bad = append(bad, r.apply(l)...)
	}
	return r, bad
}

func (r *Rules) apply(l Layer) []Rejection {
	var bad []Rejection
	for _, key := range sortedKeys(l.Set) {
		v := l.Set[key]
		s, ok := Find(key)
		if !ok || v < s.Min || v > s.Max {
			bad = append(bad, Rejection{Key: key, Value: v, Origin: l.Origin, Known: ok, Min: s.Min, Max: s.Max})
			continue
		}
		s.put(r, v)
	}
	return bad
}

// Explain lists every setting's effective value and origin, in the order of the table.
func Explain(layers ...Layer) []Effective {
	r, _ := Resolve(layers...)
	out := make([]Effective, 0, len(settings))
	for _, s := range settings {
		e := Effective{Key: s.Key, Kind: s.Kind, Value: s.get(&r), Origin: From(s.Key, layers...)}
		if e.Value >= 0 && e.Value < int64(len(s.Choices)) {
			e.Choice = s.Choices[e.Value]
		}
		out = append(out, e)
	}
	return out
}

// From is the layer a setting's effective value comes from.
func From(key string, layers ...Layer) Origin {
	origin := BuiltIn
	s, ok := Find(key)
	for _, l := range layers {
		if v, set := l.Set[key]; ok && set && v >= s.Min && v <= s.Max {
			origin = l.Origin
		}
	}
	return origin
}

// Settings returns the table of every house rule.
func Settings() []Setting { return append([]Setting(nil), settings...) }

// Find returns the setting of that key.
func Find(key string) (Setting, bool) {
	for _, s := range settings {
		if s.Key == key {
			return s, true
		}
	}
	return Setting{}, false
}

// Defaults returns the built-in rules.
func Defaults() Rules {
	var r Rules
	for _, s := range settings {
		s.put(&r, s.Default)
	}
	return r
}

func (s Setting) put(r *Rules, v int64) {
	if s.lengthOf != nil {
		*s.lengthOf(r) = length.Length(v)
		return
	}
	*s.numberOf(r) = v
}

func (s Setting) get(r *Rules) int64 {
	if s.lengthOf != nil {
		return int64(*s.lengthOf(r))
	}
	return *s.numberOf(r)
}

func sortedKeys(m Set) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	// A shell sort: package sort would add four kilobytes to the phone's copy of the rules.
	for gap := len(keys) / 2; gap > 0; gap /= 2 {
		for i := gap; i < len(keys); i++ {
			k, at := keys[i], i
			for ; at >= gap && k < keys[at-gap]; at -= gap {
				keys[at] = keys[at-gap]
			}
			keys[at] = k
		}
	}
	return keys
}
