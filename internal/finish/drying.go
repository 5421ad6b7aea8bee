package finish

import (
	"time"

	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/stage"
)

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
	Sand      Step = "sand"
	CaulkStep Step = "caulk"
	FirstCoat Step = "paint"
	NextCoat  Step = "recoat"
)

// Steps lists every step.
func Steps() []Step { return []Step{Sand, CaulkStep, FirstCoat, NextCoat} }

// Laid is one thing that was put on and has to dry: when, with what, in what air. A product
// without a name has no sheet.
type Laid struct {
	Entry   string    `json:"entry,omitempty" doc:"The log entry it was logged with"`
	At      time.Time `json:"at"`
	Product string    `json:"product,omitempty" doc:"Name of the product whose sheet counts; empty for the house rule"`
	Sheet   Sheet     `json:"sheet"`
	Weather
}

// Fill is filler in holes, and when it was last sanded.
type Fill struct {
	Laid
	SandedAt *time.Time `json:"sanded_at,omitempty"`
}

// unsanded reports whether it was not sanded since it went in.
func (f Fill) unsanded() bool { return f.SandedAt == nil || f.SandedAt.Before(f.At) }

// WaitFor is how long a phase of it takes.
func (l Laid) WaitFor(p Phase, r houserules.Rules) Wait { return WaitFor(p, l.Sheet, l.Weather, r) }

// ReadyAt is when the slowest of the phases is over, and the wait that decides.
func (l Laid) ReadyAt(r houserules.Rules, phases ...Phase) (time.Time, Wait) {
	var w Wait
	for i, p := range phases {
		x := l.WaitFor(p, r)
		colder, damper := w.Colder || x.Colder, w.Damper || x.Damper
		if i == 0 || x.Minutes > w.Minutes {
			w = x
		}
		w.Colder, w.Damper = colder, damper
	}
	return ReadyAt(l.At, w.Minutes), w
}

// DryLog is what was put on and has to dry. The order of the lists does not matter.
type DryLog struct {
	HolesOpen bool   `json:"holes_open,omitempty" doc:"Some hole that takes nothing but filler has none"`
	Filled    []Fill `json:"filled,omitempty"`
	Puttied   []Laid `json:"puttied,omitempty"`
	Caulked   []Laid `json:"caulked,omitempty"`
	Coated    []Laid `json:"coated,omitempty"`
}

// CheckDry says what still has to dry or be done before a step, as of now. Filler comes
// before caulk; filler is dry, then sanded, before paint; caulk is skinned, then cured,
// before paint; putty waits where its sheet says so. A finding that waiting alone clears
// says when.
func CheckDry(now time.Time, step Step, l DryLog, r houserules.Rules) []finding.Finding {
	fs, _ := CheckDryUntil(now, step, l, r)
	return fs
}

// CheckDryUntil is CheckDry, and the first moment after now at which it says something else
// of the same log: a wait that is said in minutes has one less, or is over. Zero where nothing
// waits: then it says the same at any later moment.
func CheckDryUntil(now time.Time, step Step, l DryLog, r houserules.Rules) ([]finding.Finding, time.Time) {
	d := drying{now: now, log: l, rules: r}
	switch step {
	case Sand:
		d.stage = stage.Filled
		d.fillerDry(l.Filled)
	case CaulkStep:
		d.stage = stage.Caulked
		if l.HolesOpen {
			d.add(on(d.stage, "fill_before_caulk", finding.Warn))
		}
	case FirstCoat:
		d.stage = stage.Painted
		d.readyForPaint()
	case NextCoat:
		d.stage = stage.Painted
		d.wait("coat_not_dry", l.Coated, Recoat)
		d.wait("putty_not_dry", withRows(l.Puttied, Recoat), Recoat)
	default:
		d.add(unknown("", "step", string(step)))
	}
	return d.found, d.until
}

// CheckLaid returns a stop for everything that went on in air colder than its sheet allows.
func CheckLaid(s stage.Stage, laid []Laid) []finding.Finding {
	var fs []finding.Finding
	for _, l := range laid {
		if l.Celsius != nil && l.Sheet.Coldest != nil && *l.Celsius < *l.Sheet.Coldest {
			fs = append(fs, on(s, "put_on_too_cold", finding.Stop).At(l.Entry).Text("product", l.Product).
				Deg("celsius", int64(*l.Celsius)).Deg("coldest", int64(*l.Sheet.Coldest)))
		}
	}
	return fs
}

// withRows keeps what has a sheet with rows of the phase: there is no house rule for it.
func withRows(laid []Laid, p Phase) []Laid {
	var out []Laid
	for _, l := range laid {
		if bracketOf(p, l.Sheet, nil).any {
			out = append(out, l)
		}
	}
	return out
}

// drying gathers the findings of one CheckDry.
type drying struct {
	now   time.Time
	stage stage.Stage
	log   DryLog
	rules houserules.Rules
	found []finding.Finding
	until time.Time
}

// changes notes a moment at which what is said changes. Only the first counts.
func (d *drying) changes(at time.Time) {
	if d.until.IsZero() || at.Before(d.until) {
		d.until = at
	}
}

// minutesTo is the whole minutes left until a moment to come, as they are said.
func (d *drying) minutesTo(at time.Time) int64 {
	n := minutesUp(at.Sub(d.now))
	d.changes(at.Add(-time.Duration(n-1) * time.Minute))
	return n
}

func (d *drying) add(f finding.Finding) { d.found = append(d.found, f) }

// todo adds a stop for what has still to be done first.
func (d *drying) todo(code string) { d.add(on(d.stage, code, finding.Stop).AsWanted()) }

// last picks what is ready last: it decides for all. Of two ready at once the later entry by
// its name, so that the order of the list does not matter.
func (d *drying) last(laid []Laid, phases ...Phase) (Laid, time.Time, Wait) {
	var which Laid
	var ready time.Time
	var wait Wait
	for i, l := range laid {
		at, w := l.ReadyAt(d.rules, phases...)
		if i == 0 || at.After(ready) || at.Equal(ready) && l.Entry > which.Entry {
			which, ready, wait = l, at, w
		}
	}
	return which, ready, wait
}

// wait adds a stop until the slowest of the phases has passed for all that was laid.
func (d *drying) wait(code string, laid []Laid, phases ...Phase) {
	if len(laid) == 0 {
		return
	}
	l, ready, w := d.last(laid, phases...)
	d.beyondSheet(l, w, phases[0])
	if !d.now.Before(ready) {
		return
	}
	d.add(said(on(d.stage, code, finding.Stop).Until(ready).Num("minutes", d.minutesTo(ready)), l, w))
	if l.At.After(d.now) {
		d.add(on(d.stage, "logged_ahead_of_clock", finding.Warn).At(string(phases[0])).
			Num("minutes", d.minutesTo(l.At)))
	}
}

// said adds how long the wait is in all and whose it is.
func said(f finding.Finding, l Laid, w Wait) finding.Finding {
	f = f.Num("total", w.Minutes)
	if w.From == "sheet" && l.Product != "" {
		return f.Text("source", l.Product)
	}
	return f.Term("source", "from_"+w.From)
}

// beyondSheet warns where the air is beyond what the sheet says: the wait is a guess.
func (d *drying) beyondSheet(l Laid, w Wait, p Phase) {
	if w.Colder {
		d.add(on(d.stage, "colder_than_sheet", finding.Warn).At(string(p)).
			Term("phase", string(p)).Deg("celsius", int64(*l.Celsius)))
	}
	if w.Damper {
		d.add(on(d.stage, "damper_than_sheet", finding.Warn).At(string(p)).
			Term("phase", string(p)).Text("humidity", l.Humidity.text()))
	}
}

func (d *drying) fillerDry(fills []Fill) {
	laid := make([]Laid, len(fills))
	for i, f := range fills {
		laid[i] = f.Laid
	}
	d.wait("filler_not_dry", laid, FillerDry, FillerSand)
}

func (d *drying) readyForPaint() {
	l := d.log
	if len(l.Filled) > 0 {
		d.filledAndSanded()
	}
	if len(l.Caulked) > 0 {
		d.caulkCured()
	}
}

func (d *drying) filledAndSanded() {
	var raw []Fill
	for _, f := range d.log.Filled {
		if f.unsanded() {
			raw = append(raw, f)
			continue
		}
		if ready, w := f.ReadyAt(d.rules, FillerDry, FillerSand); f.SandedAt.Before(ready) {
			d.add(said(on(d.stage, "sanded_too_soon", finding.Stop).At(f.Entry), f.Laid, w))
		}
	}
	if len(raw) > 0 {
		d.fillerDry(raw)
		d.todo("sand_before_paint")
	}
	if len(d.log.Caulked) > 0 && lastCaulked(d.log.Caulked).Before(lastFilled(d.log.Filled)) {
		d.add(on(d.stage, "caulked_before_filled", finding.Warn))
	}
}

func lastFilled(fills []Fill) time.Time {
	at := fills[0].At
	for _, f := range fills {
		if f.At.After(at) {
			at = f.At
		}
	}
	return at
}

func lastCaulked(laid []Laid) time.Time {
	at := laid[0].At
	for _, l := range laid {
		if l.At.After(at) {
			at = l.At
		}
	}
	return at
}

// caulkCured speaks once: of caulk that is wet still, or of caulk that has skinned but not
// cured. Either way it waits for the cure, and its minutes are the cure's.
func (d *drying) caulkCured() {
	code := "caulk_not_cured"
	if _, skinned, _ := d.last(d.log.Caulked, CaulkSkin); d.now.Before(skinned) {
		code = "caulk_wet"
		d.changes(skinned)
	}
	d.wait(code, d.log.Caulked, CaulkSkin, CaulkCure)
}

// minutesUp is whole minutes, rounded up: a minute short is still wet.
func minutesUp(d time.Duration) int64 {
	n := int64(d / time.Minute)
	if d%time.Minute > 0 {
		n++
	}
	return n
}
