package finish

import (
	"time"

	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/stage"
)

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

// Limits of a product sheet's rows.
const (
	MostWait       = 30 * 24 * 60 // minutes
	ColdestDrying  = -40.0        // Celsius
	HottestDrying  = 60.0         // Celsius
	mostSheetTimes = 100
)

// SheetTime is one row of a product's sheet: how long a phase takes at a temperature.
type SheetTime struct {
	Phase   Phase   `json:"phase" enum:"filler_dry,filler_sand,caulk_skin,caulk_cure,recoat"`
	Celsius float64 `json:"celsius" minimum:"-40" maximum:"60"`
	Minutes int64   `json:"minutes" minimum:"1" maximum:"43200"`
}

// Sheet is what the crew read off a product's sheet.
type Sheet struct {
	Product string      `json:"product,omitempty" maxLength:"80"`
	Times   []SheetTime `json:"times,omitempty" maxItems:"100"`
}

// Wait is how long a phase takes.
type Wait struct {
	Minutes int64  `json:"minutes"`
	From    string `json:"from" enum:"sheet,house_rule"`
	Colder  bool   `json:"colder,omitempty" doc:"Colder than the sheet goes: waiting alone may not do"`
}

// CheckSheet returns a stop for every row of the sheet that cannot be: such rows are not
// used by WaitFor.
func CheckSheet(s Sheet) []finding.Finding {
	if len(s.Times) > mostSheetTimes {
		return []finding.Finding{on("", "sheet_too_long", finding.Stop).Num("rows", int64(len(s.Times))).Num("most", mostSheetTimes)}
	}
	var fs []finding.Finding
	for _, t := range s.Times {
		switch {
		case !known(Phases(), t.Phase):
			fs = append(fs, unknown("", "phase", string(t.Phase)))
		case !t.plausible():
			fs = append(fs, on("", "sheet_time_bad", finding.Stop).At(string(t.Phase)).Term("phase", string(t.Phase)).
				Text("celsius", short(t.Celsius)).Num("minutes", t.Minutes).Num("most", MostWait))
		}
	}
	return fs
}

func (t SheetTime) plausible() bool {
	return t.Celsius >= ColdestDrying && t.Celsius <= HottestDrying && t.Minutes >= 1 && t.Minutes <= MostWait
}

// WaitFor is how long a phase takes at a temperature in degrees Celsius, never faster than
// the sheet:
//   - at a temperature of the sheet, that row's time (the slower of two rows at it);
//   - between two, the slower of the rows on either side, since sheets do not say the curve;
//   - hotter than the sheet goes, the time of its hottest row;
//   - colder than it goes, the slower of its slowest row and the house rule, marked Colder;
//   - at no temperature (nil) or one that is not a number, its slowest row.
//
// Filler that is dry may be sanded and the other way round, so where the sheet gives only one
// of the two it stands for both. Any other phase the sheet lacks takes the house rule. Basis: the product's sheet; common practice.
func WaitFor(p Phase, s Sheet, celsius *float64, r houserules.Rules) Wait {
	rule := ruleMinutes(p, r)
	b := bracketOf(p, s, celsius)
	if !b.any {
		b = bracketOf(twin(p), s, celsius)
	}
	switch {
	case !b.any:
		return Wait{Minutes: rule, From: "house_rule"}
	case celsius == nil || *celsius != *celsius:
		return Wait{Minutes: b.slowest, From: "sheet"}
	case !b.below.set:
		return Wait{Minutes: max(b.slowest, rule), From: "sheet", Colder: true}
	case !b.above.set:
		return Wait{Minutes: b.below.minutes, From: "sheet"}
	}
	return Wait{Minutes: max(b.below.minutes, b.above.minutes), From: "sheet"}
}

// row is the sheet's row nearest to a temperature from one side.
type row struct {
	set     bool
	celsius float64
	minutes int64
}

type bracket struct {
	any          bool
	slowest      int64
	below, above row // at or under, at or over the temperature
}

func bracketOf(p Phase, s Sheet, celsius *float64) bracket {
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
		if t.Celsius <= *celsius {
			b.below = b.below.nearer(t, t.Celsius > b.below.celsius)
		}
		if t.Celsius >= *celsius {
			b.above = b.above.nearer(t, t.Celsius < b.above.celsius)
		}
	}
	return b
}

// nearer takes t when it is nearer than the row held, and the slower of two as near.
func (r row) nearer(t SheetTime, closer bool) row {
	switch {
	case !r.set || closer:
		return row{true, t.Celsius, t.Minutes}
	case t.Celsius == r.celsius:
		r.minutes = max(r.minutes, t.Minutes)
	}
	return r
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

// ReadyAt is when a wait that began at loggedAt is over, in UTC. Minutes run from 0 to
// MostWait, which WaitFor never leaves with rules that Resolve made; under 0 counts as 0
// and over MostWait as MostWait, so that no wait ever ends in the past.
func ReadyAt(loggedAt time.Time, minutes int64) time.Time {
	return loggedAt.UTC().Add(time.Duration(min(max(minutes, 0), MostWait)) * time.Minute)
}

// Step is what is about to be done.
type Step string

// The steps.
const (
	Sand       Step = "sand"
	CaulkStep  Step = "caulk"
	SecondPass Step = "second_pass"
	FirstCoat  Step = "paint"
	NextCoat   Step = "recoat"
)

// Steps lists every step.
func Steps() []Step { return []Step{Sand, CaulkStep, SecondPass, FirstCoat, NextCoat} }

// DryLog is when things were last done, nil for not yet, and with what.
type DryLog struct {
	HolesToFill bool       `json:"holes_to_fill,omitempty" doc:"Some hole that shows takes filler"`
	FilledAt    *time.Time `json:"filled_at,omitempty"`
	SandedAt    *time.Time `json:"sanded_at,omitempty"`
	CaulkedAt   *time.Time `json:"caulked_at,omitempty"`
	CoatedAt    *time.Time `json:"coated_at,omitempty"`
	Celsius     *float64   `json:"celsius,omitempty" doc:"Air where it dries"`
	Filler      Sheet      `json:"filler"`
	Caulk       Sheet      `json:"caulk"`
	Finish      Sheet      `json:"finish"`
}

// CheckDry says what still has to dry or be done before a step, as of now. Filler comes
// before caulk; filler is dry, then sanded, before paint; caulk is skinned, then cured,
// before paint. A finding that waiting alone clears says when.
func CheckDry(now time.Time, step Step, l DryLog, r houserules.Rules) []finding.Finding {
	d := drying{now: now, log: l, rules: r}
	switch step {
	case Sand:
		d.stage = stage.Filled
		d.fillerDry()
	case CaulkStep:
		d.stage = stage.Caulked
		d.filledFirst()
	case SecondPass:
		d.stage = stage.Caulked
		d.wait("caulk_not_skinned", l.CaulkedAt, l.Caulk, CaulkSkin)
	case FirstCoat:
		d.stage = stage.Painted
		d.readyForPaint()
	case NextCoat:
		d.stage = stage.Painted
		d.wait("coat_not_dry", l.CoatedAt, l.Finish, Recoat)
	default:
		return []finding.Finding{unknown("", "step", string(step))}
	}
	return d.found
}

// drying gathers the findings of one CheckDry.
type drying struct {
	now   time.Time
	stage stage.Stage
	log   DryLog
	rules houserules.Rules
	found []finding.Finding
}

func (d *drying) add(f finding.Finding) { d.found = append(d.found, f) }

// todo adds a stop for what has still to be done first.
func (d *drying) todo(code string) { d.add(on(d.stage, code, finding.Stop).AsWanted()) }

// wait adds a stop until the slowest of the phases has passed since at; nil waits for nothing.
func (d *drying) wait(code string, at *time.Time, s Sheet, phases ...Phase) {
	if at == nil {
		return
	}
	minutes, colder := d.slowest(s, phases)
	if colder {
		d.add(on(d.stage, "colder_than_sheet", finding.Stop).At(string(phases[0])).
			Term("phase", string(phases[0])).Text("celsius", short(*d.log.Celsius)))
	}
	ready := ReadyAt(*at, minutes)
	if !d.now.Before(ready) {
		return
	}
	d.add(on(d.stage, code, finding.Stop).Until(ready).Num("minutes", minutesUp(ready.Sub(d.now))))
	if at.After(d.now) {
		d.add(on(d.stage, "logged_ahead_of_clock", finding.Warn).At(string(phases[0])).
			Num("minutes", minutesUp(at.Sub(d.now))))
	}
}

func (d *drying) slowest(s Sheet, phases []Phase) (minutes int64, colder bool) {
	for _, p := range phases {
		w := WaitFor(p, s, d.log.Celsius, d.rules)
		minutes, colder = max(minutes, w.Minutes), colder || w.Colder
	}
	return minutes, colder
}

func (d *drying) fillerDry() {
	d.wait("filler_not_dry", d.log.FilledAt, d.log.Filler, FillerDry, FillerSand)
}

func (d *drying) filledFirst() {
	if d.log.HolesToFill && d.log.FilledAt == nil {
		d.todo("fill_before_caulk")
	}
}

func (d *drying) readyForPaint() {
	l := d.log
	if l.HolesToFill && l.FilledAt == nil {
		d.todo("fill_before_paint")
	}
	if l.FilledAt != nil {
		d.filledAndSanded()
	}
	if l.CaulkedAt != nil {
		d.caulkCured()
	}
}

func (d *drying) filledAndSanded() {
	l := d.log
	minutes, _ := d.slowest(l.Filler, []Phase{FillerDry, FillerSand})
	switch {
	case l.SandedAt == nil || l.SandedAt.Before(*l.FilledAt):
		d.fillerDry()
		d.todo("sand_before_paint")
	case l.SandedAt.Before(ReadyAt(*l.FilledAt, minutes)):
		d.add(on(d.stage, "sanded_too_soon", finding.Stop))
	}
	if l.CaulkedAt != nil && l.CaulkedAt.Before(*l.FilledAt) {
		d.add(on(d.stage, "caulked_before_filled", finding.Warn))
	}
}

// caulkCured speaks once: of caulk that is wet still, or of caulk that has skinned but not
// cured. Either way it waits for the cure, and its minutes are the cure's.
func (d *drying) caulkCured() {
	skin := WaitFor(CaulkSkin, d.log.Caulk, d.log.Celsius, d.rules).Minutes
	code := "caulk_not_cured"
	if d.now.Before(ReadyAt(*d.log.CaulkedAt, skin)) {
		code = "caulk_wet"
	}
	d.wait(code, d.log.CaulkedAt, d.log.Caulk, CaulkSkin, CaulkCure)
}

// minutesUp is whole minutes, rounded up: a minute short is still wet.
func minutesUp(d time.Duration) int64 {
	n := int64(d / time.Minute)
	if d%time.Minute > 0 {
		n++
	}
	return n
}
