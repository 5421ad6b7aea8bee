package joblog

import (
	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// ReadingState is where one reading stands.
type ReadingState string

// The states of a reading.
const (
	ReadingMissing  ReadingState = "missing"
	ReadingTaken    ReadingState = "taken"
	ReadingDisagree ReadingState = "disagree"
)

// reading is one reading of an item with the take that counts.
type reading struct {
	spec    trim.ReadingSpec
	state   ReadingState
	current *Take // nil unless taken
	takes   []*Take

	room          bool   // of a wall run: the take is the room's, not the item's
	label         string // the term of what is read: a side has other words where nothing is hinged
	wall, stretch int
}

// term is the catalog term of the reading.
func (r reading) term() string {
	if r.label != "" {
		return r.label
	}
	return r.spec.Name
}

// readings settles which take of each reading counts: the chosen one unless a later take
// disagrees with it, else the latest when all takes agree within the house's tolerance.
func (it *Item) readings(rules houserules.Rules) []reading {
	specs := trim.ReadingSpecs(it.Unit)
	out := make([]reading, len(specs))
	for i, sp := range specs {
		out[i] = reading{spec: sp, state: ReadingMissing, label: trim.TermFor(it.Unit, sp.Name)}
	}
	collect(out, it.Takes, false)
	for i := range out {
		out[i].settle(it.Chosen[out[i].spec.Name], rules.TakeAgreement)
	}
	return out
}

func (r *reading) settle(choice Choice, tolerance length.Length) {
	if len(r.takes) == 0 {
		return
	}
	base := r.takes[0]
	open := r.takes
	if choice.TakeID != "" {
		if t := find(r.takes, choice.TakeID); t != nil {
			base, open = t, nil
			for _, t := range r.takes {
				if t.Seq > choice.Seq {
					open = append(open, t)
				}
			}
		}
	}
	low, high, last := base.Value, base.Value, base
	for _, t := range open {
		low, high, last = min(low, t.Value), max(high, t.Value), t
	}
	if high-low > tolerance {
		r.state = ReadingDisagree
		return
	}
	r.state, r.current = ReadingTaken, last
}

func find(takes []*Take, id string) *Take {
	for _, t := range takes {
		if t.CommandID == id {
			return t
		}
	}
	return nil
}

// spread is how far apart a reading's takes lie.
func (r reading) spread() length.Length {
	low, high := r.takes[0].Value, r.takes[0].Value
	for _, t := range r.takes {
		low, high = min(low, t.Value), max(high, t.Value)
	}
	return high - low
}

// currentReadings collects the values that count.
func currentReadings(rs []reading) trim.Readings {
	var out trim.Readings
	for _, r := range rs {
		if r.current != nil {
			out.Set(r.spec.Name, r.current.Value)
		}
	}
	return out
}

// currentTakeIDs lists the takes the cut values of this moment come from.
func (s Scope) currentTakeIDs() []string {
	rules := s.Rules()
	rs := s.Item.readings(rules)
	if s.Item.IsRun() {
		rs = s.runReadings(s.runInput(rules), rules)
	}
	var out []string
	for _, r := range rs {
		if r.current != nil {
			out = append(out, r.current.CommandID)
		}
	}
	return out
}

// about is a stop about the reading, which names its wall where it is one of many.
func (r reading) about(code string) finding.Finding {
	f := finding.New(code, finding.Stop).On(string(stage.Measured)).At(r.spec.Name)
	if r.wall == 0 {
		return f.Term("reading", r.term())
	}
	f.Code += "_wall"
	return f.Term("reading", r.term()).Num("wall", int64(r.wall))
}

// readingFindings says which readings are wanting or apart; odd ones the geometry names.
func readingFindings(rs []reading) []finding.Finding {
	var out []finding.Finding
	for _, r := range rs {
		switch r.state {
		case ReadingMissing:
			if r.spec.Required {
				out = append(out, r.about("reading_missing").AsWanted())
			}
		case ReadingDisagree:
			f := r.about("takes_disagree")
			if r.spec.Angle {
				f = f.Text("apart", degrees(trim.Angle(r.spread()).Degrees()))
			} else {
				f = f.Len("apart", r.spread())
			}
			out = append(out, f)
		}
	}
	return out
}
