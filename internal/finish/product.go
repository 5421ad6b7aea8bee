package finish

import (
	"strconv"

	"longpoint/internal/finding"
	"longpoint/internal/houserules"
)

// ProductKind is what a product is for.
type ProductKind string

// The kinds of product.
const (
	FillerProduct   ProductKind = "filler"
	CaulkProduct    ProductKind = "caulk"
	PuttyProduct    ProductKind = "putty"
	PaintProduct    ProductKind = "paint" // or any other finish that is put on in coats
	AdhesiveProduct ProductKind = "adhesive"
)

// ProductKinds lists every kind.
func ProductKinds() []ProductKind {
	return []ProductKind{FillerProduct, CaulkProduct, PuttyProduct, PaintProduct, AdhesiveProduct}
}

// Phases lists the waits that a sheet of this kind may give.
func (k ProductKind) Phases() []Phase {
	switch k {
	case FillerProduct:
		return []Phase{FillerDry, FillerSand}
	case CaulkProduct, AdhesiveProduct:
		return []Phase{CaulkSkin, CaulkCure}
	case PuttyProduct, PaintProduct:
		return []Phase{Recoat}
	}
	return nil
}

// Product is a product as its sheet and label describe it.
type Product struct {
	Kind ProductKind `json:"kind" enum:"filler,caulk,putty,paint,adhesive"`
	Name string      `json:"name" minLength:"1" maxLength:"80"`
	Sheet
	Class Class `json:"class,omitempty" enum:"0,125,250,350,500" doc:"Of a caulk: C920 movement class, tenths of a percent; 0 when the label gives none"`
	Latex bool  `json:"latex,omitempty" doc:"A C834 latex caulk"`
}

// Sealant is the product as a joint's rules see it.
func (p Product) Sealant() Sealant { return Sealant{Product: p.Name, Class: p.Class, Latex: p.Latex} }

// CheckProduct returns a stop for everything in a product that cannot be, and for a row or a
// class that a product of its kind does not have.
func CheckProduct(p Product) []finding.Finding {
	if !known(ProductKinds(), p.Kind) {
		return []finding.Finding{unknown("", "product_kind", string(p.Kind))}
	}
	fs := CheckSheet(p.Sheet)
	if finding.HasStop(fs) {
		return fs
	}
	for _, t := range p.Times {
		if !known(p.Kind.Phases(), t.Phase) {
			fs = append(fs, on("", "sheet_row_of_another", finding.Stop).At(string(t.Phase)).
				Term("phase", string(t.Phase)).Term("kind", "product_"+string(p.Kind)))
		}
	}
	if p.Class != NoClass && !known(Classes(), p.Class) {
		fs = append(fs, on("", "sealant_class_unknown", finding.Stop).Text("class", short(float64(p.Class)/10)))
	}
	if p.Kind != CaulkProduct && (p.Class != NoClass || p.Latex) {
		fs = append(fs, on("", "class_of_another", finding.Stop).Term("kind", "product_"+string(p.Kind)))
	}
	return fs
}

// Phase is a wait that a product's sheet gives a time for.
type Phase string

// The phases.
const (
	FillerDry  Phase = "filler_dry"  // dry through
	FillerSand Phase = "filler_sand" // may be sanded
	CaulkSkin  Phase = "caulk_skin"  // skinned over: next pass, no dust
	CaulkCure  Phase = "caulk_cure"  // ready for paint
	Recoat     Phase = "recoat"      // ready for the next coat
)

// Phases lists every phase.
func Phases() []Phase { return []Phase{FillerDry, FillerSand, CaulkSkin, CaulkCure, Recoat} }

// Tenths is a temperature in tenths of a degree Celsius or a relative humidity in tenths of a
// percent: whole numbers, so that phone and server cannot differ in a last digit.
type Tenths int64

// Value is the same in whole degrees or percent and their parts.
func (t Tenths) Value() float64 { return float64(t) / 10 }

func (t Tenths) text() string { return strconv.FormatFloat(t.Value(), 'f', -1, 64) }

// Limits of a product sheet's rows.
const (
	MostWait             = 30 * 24 * 60 // minutes
	ColdestDrying Tenths = -400
	HottestDrying Tenths = 600
	mostHumidity  Tenths = 1000

	mostSheetTimes = 100
	// sameAir is how far two temperatures may lie apart and be read as one: 1 °F, which is what
	// thermometers show and more than a sheet's "70 °F (21 °C)" is apart (common practice).
	sameAir Tenths = 6
)

// SheetTime is one row of a product's sheet: how long a phase takes in some air.
type SheetTime struct {
	Phase    Phase   `json:"phase" enum:"filler_dry,filler_sand,caulk_skin,caulk_cure,recoat"`
	Celsius  Tenths  `json:"celsius_tenths" minimum:"-400" maximum:"600" doc:"Tenths of a degree Celsius"`
	Humidity *Tenths `json:"humidity_tenths,omitempty" minimum:"0" maximum:"1000" doc:"Relative, tenths of a percent; left out where the sheet does not say"`
	Minutes  int64   `json:"minutes" minimum:"1" maximum:"43200"`
}

// Sheet is what the crew read off a product's sheet.
type Sheet struct {
	Times   []SheetTime `json:"times,omitempty" maxItems:"100"`
	Coldest *Tenths     `json:"coldest_tenths,omitempty" minimum:"-400" maximum:"600" doc:"Coldest air it may go on in, tenths of a degree Celsius; left out where the sheet does not say"`
}

// Weather is the air something dries in, as far as it is known; nil is not known.
type Weather struct {
	Celsius  *Tenths `json:"celsius_tenths,omitempty" minimum:"-400" maximum:"600" doc:"Air where it dries, tenths of a degree Celsius"`
	Humidity *Tenths `json:"humidity_tenths,omitempty" minimum:"0" maximum:"1000" doc:"Relative humidity there, tenths of a percent"`
}

// CheckWeather returns a stop for air that no one works in.
func CheckWeather(w Weather) []finding.Finding {
	var fs []finding.Finding
	if w.Celsius != nil && !within(*w.Celsius, ColdestDrying, HottestDrying) {
		fs = append(fs, on("", "air_bad", finding.Stop).At("celsius").Deg("value", int64(*w.Celsius)).Deg("least", int64(ColdestDrying)).Deg("most", int64(HottestDrying)))
	}
	if w.Humidity != nil && !within(*w.Humidity, 0, mostHumidity) {
		fs = append(fs, on("", "air_bad", finding.Stop).At("humidity").Text("value", w.Humidity.text()+" %").Text("least", "0 %").Text("most", "100 %"))
	}
	return fs
}

func within(v, least, most Tenths) bool { return v >= least && v <= most }

// Wait is how long a phase takes.
type Wait struct {
	Minutes int64  `json:"minutes"`
	From    string `json:"from" enum:"sheet,house_rule"`
	Colder  bool   `json:"colder,omitempty" doc:"Colder than the sheet goes: waiting alone may not do"`
	Damper  bool   `json:"damper,omitempty" doc:"Damper than the sheet goes: waiting alone may not do"`
}

// CheckSheet returns a stop for every row of the sheet that cannot be: such rows are not
// used by WaitFor.
func CheckSheet(s Sheet) []finding.Finding {
	if len(s.Times) > mostSheetTimes {
		return []finding.Finding{on("", "sheet_too_long", finding.Stop).Num("rows", int64(len(s.Times))).Num("most", mostSheetTimes)}
	}
	fs := CheckWeather(Weather{Celsius: s.Coldest})
	for _, t := range s.Times {
		switch {
		case !known(Phases(), t.Phase):
			fs = append(fs, unknown("", "phase", string(t.Phase)))
		case !t.plausible():
			fs = append(fs, on("", "sheet_time_bad", finding.Stop).At(string(t.Phase)).Term("phase", string(t.Phase)).
				Deg("celsius", int64(t.Celsius)).Deg("coldest", int64(ColdestDrying)).Deg("hottest", int64(HottestDrying)).Num("minutes", t.Minutes).Num("most", MostWait))
		}
	}
	return fs
}

func (t SheetTime) plausible() bool {
	return within(t.Celsius, ColdestDrying, HottestDrying) && t.Minutes >= 1 && t.Minutes <= MostWait &&
		(t.Humidity == nil || within(*t.Humidity, 0, mostHumidity))
}

// WaitFor is how long a phase takes in air of some temperature and humidity, never faster
// than the sheet. Of the rows at one temperature, those that give a humidity count as the
// sheet gives them for damper and drier air:
//   - at a humidity of the sheet, that row's time; between two, the slower of both;
//   - where the air's humidity is not known, or beyond the rows, the slowest of them; damper
//     than they go is marked Damper, and the house rule's time where that is longer.
//
// Then by temperature:
//   - at a temperature of the sheet, that time;
//   - between two, the slower of the rows on either side, since sheets do not say the curve;
//   - hotter than the sheet goes, the time of its hottest row;
//   - colder than it goes, the slower of its slowest row and the house rule, marked Colder:
//     the sheet does not say how long it takes there. Up to sameAir colder is its coldest row's
//     own air;
//   - at a temperature that is not known, its slowest row.
//
// Filler that is dry may be sanded and the other way round, so where the sheet gives only one
// of the two it stands for both. Any other phase the sheet lacks takes the house rule. Basis: the product's sheet; common practice.
func WaitFor(p Phase, s Sheet, w Weather, r houserules.Rules) Wait {
	rule := ruleMinutes(p, r)
	b := bracketOf(p, s, w.Celsius)
	if !b.any {
		p = twin(p)
		b = bracketOf(p, s, w.Celsius)
	}
	if !b.any {
		return Wait{Minutes: rule, From: "house_rule"}
	}
	out := Wait{From: "sheet"}
	switch {
	case w.Celsius == nil:
		out.Minutes = b.slowest
	case !b.hasBelow && b.above-*w.Celsius > sameAir:
		out.Minutes, out.Colder = max(b.slowest, rule), true
	default:
		if !b.hasBelow {
			b.below = b.above
		}
		out.Minutes, out.Damper = timeAt(p, s, b.below, w.Humidity)
		if b.hasAbove {
			m, damper := timeAt(p, s, b.above, w.Humidity)
			out.Minutes, out.Damper = max(out.Minutes, m), out.Damper || damper
		}
		if out.Damper {
			out.Minutes = max(out.Minutes, rule)
		}
	}
	return out
}

// bracket is the sheet's temperatures nearest to one from either side.
type bracket struct {
	any                bool
	slowest            int64
	hasBelow, hasAbove bool
	below, above       Tenths // at or under, at or over the temperature
}

func bracketOf(p Phase, s Sheet, celsius *Tenths) bracket {
	var b bracket
	for _, t := range s.Times {
		if t.Phase != p || !t.plausible() {
			continue
		}
		b.any = true
		b.slowest = max(b.slowest, t.Minutes)
		if celsius == nil {
			continue
		}
		if t.Celsius <= *celsius && (!b.hasBelow || t.Celsius > b.below) {
			b.hasBelow, b.below = true, t.Celsius
		}
		if t.Celsius >= *celsius && (!b.hasAbove || t.Celsius < b.above) {
			b.hasAbove, b.above = true, t.Celsius
		}
	}
	return b
}

// timeAt is the time of the rows at one temperature, by the air's humidity. A row that gives
// no humidity counts in any air.
func timeAt(p Phase, s Sheet, celsius Tenths, humidity *Tenths) (minutes int64, damper bool) {
	var always, slowest, drier, damp int64
	drierAt, dampAt := Tenths(-1), mostHumidity+1
	for _, t := range s.Times {
		switch {
		case t.Phase != p || !t.plausible() || t.Celsius != celsius:
			continue
		case t.Humidity == nil:
			always = max(always, t.Minutes)
			continue
		}
		slowest = max(slowest, t.Minutes)
		if humidity == nil {
			continue
		}
		if h := *t.Humidity; h <= *humidity {
			if h > drierAt {
				drierAt, drier = h, 0
			}
			if h == drierAt {
				drier = max(drier, t.Minutes)
			}
		}
		if h := *t.Humidity; h >= *humidity {
			if h < dampAt {
				dampAt, damp = h, 0
			}
			if h == dampAt {
				damp = max(damp, t.Minutes)
			}
		}
	}
	switch {
	case slowest == 0:
		return always, false
	case humidity == nil || drier == 0:
		return max(always, slowest), false
	case damp == 0:
		return max(always, slowest), true
	}
	return max(always, drier, damp), false
}

// twin is the phase whose rows stand in where the sheet has none.
func twin(p Phase) Phase {
	switch p {
	case FillerDry:
		return FillerSand
	case FillerSand:
		return FillerDry
	}
	return p
}

func ruleMinutes(p Phase, r houserules.Rules) int64 {
	switch p {
	case FillerDry, FillerSand:
		return r.FillerDry
	case CaulkSkin:
		return r.CaulkSkin
	case CaulkCure:
		return r.CaulkCure
	}
	return r.Recoat
}
