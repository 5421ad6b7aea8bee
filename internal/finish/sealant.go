package finish

import (
	"strconv"

	"longpoint/internal/derive"
	"longpoint/internal/finding"
	"longpoint/internal/length"
	"longpoint/internal/stage"
)

// Class is a sealant's movement class: how far a joint may open or close, in tenths of a
// percent of its width (ASTM C920: ±12.5, 25, 35, 50 %).
type Class int64

// The classes. NoClass is a product without one.
const (
	NoClass Class = 0
	Class12 Class = 125 // ±12.5 %
	Class25 Class = 250
	Class35 Class = 350
	Class50 Class = 500
)

// Classes lists the classes that take movement, lowest first.
func Classes() []Class { return []Class{Class12, Class25, Class35, Class50} }

// Text is the class as it stands on a label: 12.5, 25, 35, 50.
func (c Class) Text() string { return strconv.FormatFloat(float64(c)/10, 'f', -1, 64) }

// Sealant is a caulk as its label describes it.
type Sealant struct {
	Product string `json:"product,omitempty" maxLength:"80"`
	Class   Class  `json:"class,omitempty" enum:"0,125,250,350,500" doc:"C920 movement class, tenths of a percent; 0 when the label gives none"`
	Latex   bool   `json:"latex,omitempty" doc:"A C834 latex caulk"`
}

// Takes returns the class the product may be counted on for. A latex caulk without a class
// counts as the lowest: a US government guide specification suggests C834 latex for interior
// wood joints that move within 15 % of their width.
func (s Sealant) Takes() Class {
	if s.Class == NoClass && s.Latex {
		return Class12
	}
	return s.Class
}

// Level is the floor a room is on; it stands in for a climate where none is known.
type Level string

// The levels.
const (
	Basement Level = "basement"
	Ground   Level = "ground"
	Upper    Level = "upper"
)

// ClassByLevel is the class to use without climate data: basement the lowest, ground floor
// 25, upper floors 50, which move most. Basis: common practice.
func ClassByLevel(l Level) (Class, bool) {
	switch l {
	case Basement:
		return Class12, true
	case Ground:
		return Class25, true
	case Upper:
		return Class50, true
	}
	return NoClass, false
}

// ClassFor is the lowest class that takes a movement in a joint of some width, exactly:
// movement ≤ class × width. Both are nanometers, movement 0 and width over 0, each up to 100
// ft. It returns false when no class takes it or a length is out of range. The whole
// seasonal movement is counted one way, as if the joint were filled at the end of the swing.
func ClassFor(movement, joint length.Length) (Class, bool) {
	if movement < 0 || movement > length.Longest || joint <= 0 || joint > length.Longest {
		return NoClass, false
	}
	for _, c := range Classes() {
		if int64(movement)*1000 <= int64(c)*int64(joint) {
			return c, true
		}
	}
	return NoClass, false
}

// Joint is what decides how much a bead must take.
type Joint struct {
	Width   length.Length `json:"width" doc:"Across the bead, nanometers"`
	Member  length.Length `json:"member,omitempty" doc:"Width of the trim across its grain, nanometers; zero when not said"`
	Species string        `json:"species,omitempty" doc:"A species' key; empty when not said"`
	Grain   Grain         `json:"grain,omitempty" enum:"flat_sawn,quarter_sawn"`
	Climate *Climate      `json:"climate,omitempty"`
	Level   Level         `json:"level" enum:"basement,ground,upper"`
}

// Required is the class a joint wants and how it came about.
type Required struct {
	Class    Class         `json:"class" enum:"0,125,250,350,500" doc:"Tenths of a percent; 0 when no class takes it"`
	From     string        `json:"from" enum:"climate,level" doc:"Worked out from the climate, or by floor"`
	Movement *derive.Value `json:"movement,omitempty"`
	Moisture *Moisture     `json:"moisture,omitempty" doc:"Percent moisture content over the seasons"`
	Share    float64       `json:"share,omitempty" doc:"Movement over joint width, percent"`
}

// RequiredClass works out the class a joint wants from its climate, or by floor where the
// climate, the member's width or its species is not said. A stop means no class was found.
func RequiredClass(j Joint) (Required, []finding.Finding) {
	if j.Grain != "" && j.Grain != FlatSawn && j.Grain != QuarterSawn {
		return Required{}, []finding.Finding{unknown(stage.Caulked, "grain", string(j.Grain))}
	}
	if j.Climate == nil || j.Species == "" || j.Member == 0 {
		c, ok := ClassByLevel(j.Level)
		if !ok {
			return Required{}, []finding.Finding{unknown(stage.Caulked, "level", string(j.Level))}
		}
		return Required{Class: c, From: "level"}, nil
	}
	s, ok := FindSpecies(j.Species)
	if !ok {
		return Required{}, []finding.Finding{unknown(stage.Caulked, "species", j.Species)}
	}
	return classByClimate(j, s.Coefficient(j.Grain))
}

func classByClimate(j Joint, coefficient float64) (Required, []finding.Finding) {
	if j.Width <= 0 || j.Width > length.Longest {
		return Required{}, []finding.Finding{jointSizeBad("joint_width", j.Width)}
	}
	m, fs := MoistureChange(*j.Climate)
	if finding.HasStop(fs) {
		return Required{}, fs
	}
	v, ok := MemberMovement(j.Member, coefficient, m.Change)
	if !ok {
		return Required{}, []finding.Finding{jointSizeBad("member_width", j.Member)}
	}
	r := Required{From: "climate", Movement: &v, Moisture: &m, Share: 100 * float64(v.Length) / float64(j.Width)}
	r.Class, ok = ClassFor(v.Length, j.Width)
	if !ok {
		fs = append(fs, on(stage.Caulked, "joint_moves_too_much", finding.Stop).
			Len("movement", v.Length).Len("width", j.Width).Dec("share", r.Share, 0))
	}
	return r, fs
}

func jointSizeBad(reading string, l length.Length) finding.Finding {
	return on(stage.Caulked, "joint_size_bad", finding.Stop).At(reading).
		Term("reading", reading).Len("value", l).Len("most", length.Longest)
}

// CheckSealant judges a product against the class a joint wants. A joint no class was found
// for says so in RequiredClass and is not repeated here.
func CheckSealant(s Sealant, need Required) []finding.Finding {
	switch {
	case s.Class != NoClass && !known(Classes(), s.Class):
		return []finding.Finding{on(stage.Caulked, "sealant_class_unknown", finding.Stop).Text("class", short(float64(s.Class)/10))}
	case s.Takes() >= need.Class:
		return nil
	case s.Takes() == NoClass:
		return []finding.Finding{on(stage.Caulked, "sealant_without_class", finding.Stop).Text("need", need.Class.Text())}
	}
	return []finding.Finding{on(stage.Caulked, "sealant_class_low", finding.Stop).
		Text("class", s.Takes().Text()).Text("need", need.Class.Text())}
}
