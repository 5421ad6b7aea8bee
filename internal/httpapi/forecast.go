package httpapi

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"time"

	"longpoint/internal/fault"
	"longpoint/internal/forecast"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/stage"
)

const (
	forecastRuns = 400
	// spreadPoints is how many points the share of runs that are done is given at.
	spreadPoints = 40
	// forecastsKept is how many forecasts a node keeps: each holds for one number of a log.
	forecastsKept = 64
)

// ForecastParams are what a forecast assumes of the crew, where someone says otherwise.
type ForecastParams struct {
	People int    `query:"people" minimum:"0" maximum:"50" doc:"How many work at once; left out or 0, those the job's rooms and items are given to"`
	From   string `query:"from" pattern:"^([01][0-9]|2[0-3]):[0-5][0-9]$" default:"07:30" doc:"When the crew's day begins"`
	To     string `query:"to" pattern:"^([01][0-9]|2[0-3]):[0-5][0-9]$" default:"15:30" doc:"When it ends"`
	Days   string `query:"days" pattern:"^[0-6]{1,7}$" default:"12345" doc:"Days of work, 0 being Sunday"`
	Zone   string `query:"zone" maxLength:"64" default:"UTC" doc:"Time zone of the house, by its IANA name"`
}

// Forecast is when a job is likely to be done, and all that it rests on.
type Forecast struct {
	Seq     int64         `json:"seq" doc:"Number of the log it was made at"`
	Start   time.Time     `json:"start"`
	Even    *time.Time    `json:"even,omitempty" doc:"Half of the runs were done by then; nothing when no work is left"`
	Likely  *time.Time    `json:"likely,omitempty" doc:"Four of five runs were done by then"`
	Spread  []SpreadPoint `json:"spread" doc:"Share of the runs that were done, over time; empty when no work is left"`
	Minutes int64         `json:"minutes" doc:"Of one person's work left, on average"`
	Items   int           `json:"items" doc:"Items with work left"`
	Stages  int           `json:"stages" doc:"Stages left on them"`
	Held    int           `json:"held" doc:"Items that a stop holds now; the runs take it as settled when work begins"`
	People  int           `json:"people"`
	From    string        `json:"from"`
	To      string        `json:"to"`
	Days    string        `json:"days"`
	Zone    string        `json:"zone"`
	Waits   WaitsAssumed  `json:"waits"`
	Pace    []PaceLine    `json:"pace"`
	Runs    int           `json:"runs"`
	Weight  int           `json:"weight" doc:"How many of the crew's own ticks the assumed minutes count for"`
}

// SpreadPoint is one point of a spread.
type SpreadPoint struct {
	At    time.Time `json:"at"`
	Share float64   `json:"share" doc:"0 to 1"`
}

// WaitsAssumed are the waits of the job's house rules.
type WaitsAssumed struct {
	FillerDry int64 `json:"filler_dry" doc:"Minutes"`
	CaulkCure int64 `json:"caulk_cure" doc:"Minutes"`
	Recoat    int64 `json:"recoat" doc:"Minutes"`
	Coats     int64 `json:"coats"`
}

// PaceLine is what one stage of one group of items is taken to need.
type PaceLine struct {
	Group   forecast.Group `json:"group" enum:"door,opening,window,run"`
	Stage   stage.Stage    `json:"stage" enum:"measured,trimmed,hung,cased,nailed,filled,caulked,painted"`
	Assumed float64        `json:"assumed" doc:"Minutes taken to begin with"`
	Seen    int            `json:"seen" doc:"How often the crew's log has it"`
	Minutes float64        `json:"minutes" doc:"Minutes now expected, from both"`
}

type (
	forecastInput struct {
		JobPath
		ForecastParams
	}
	forecastOutput struct{ Body Forecast }
)

func (s *Server) registerForecast() {
	op := operation("get-forecast", http.MethodGet, "/jobs/{job}/forecast", "When the job is likely to be done, from assumptions and the crew's own log")
	op.Description = "The work left is played " + strconv.Itoa(forecastRuns) + " times over. The same log, question and half hour give the same answer."
	kept := &forecasts{at: map[forecastKey]Forecast{}, turns: make(chan struct{}, 1)}
	add(s, op, func(ctx context.Context, in *forecastInput) (*forecastOutput, error) {
		return s.forecast(ctx, in, kept)
	})
}

// forecastKey is all that a forecast is made from but the crew's pace. A job's id is a device's
// own and one company's; the company's house rules change without the job's log.
type forecastKey struct {
	jobKey
	rules  [sha256.Size]byte
	seq    int64
	asked  ForecastParams
	people int
	start  time.Time
}

// forecasts keeps what was worked out, and lets one be worked out at a time.
type forecasts struct {
	mu    sync.Mutex
	at    map[forecastKey]Forecast
	turns chan struct{}
}

func (f *forecasts) find(k forecastKey) (Forecast, bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	out, ok := f.at[k]
	return out, ok
}

func (f *forecasts) keep(k forecastKey, out Forecast) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if len(f.at) >= forecastsKept {
		clear(f.at)
	}
	f.at[k] = out
}

func (s *Server) forecast(ctx context.Context, in *forecastInput, kept *forecasts) (*forecastOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	hours, zone, err := in.hours()
	if err != nil {
		return nil, err
	}
	state, company, err := s.cfg.Store.Job(ctx, v, in.Job)
	if err != nil {
		return nil, err
	}
	items, people := workLeft(state)
	if in.People > 0 {
		people = in.People
	}
	start := s.clock().In(zone).Truncate(30 * time.Minute)
	named, err := json.Marshal(company) // by the rules' names in order
	if err != nil {
		return nil, fault.Because(fault.Internal, "", err)
	}
	k := forecastKey{jobKey: jobKey{v.CompanyID, state.Job.ID}, rules: sha256.Sum256(named), seq: state.Seq, asked: in.ForecastParams, people: people, start: start}
	if out, ok := kept.find(k); ok {
		return &forecastOutput{Body: out}, nil
	}
	marks, err := s.cfg.Store.Marks(ctx, v)
	if err != nil {
		return nil, err
	}
	select {
	case kept.turns <- struct{}{}:
		defer func() { <-kept.turns }()
	case <-ctx.Done():
		return nil, fault.Because(fault.Unavailable, "The forecast took too long. Try again.", ctx.Err())
	}
	rules, _ := houserules.Resolve(houserules.Layer{Origin: houserules.Company, Set: company}, houserules.Layer{Origin: houserules.Job, Set: state.Job.Rules})
	plan := forecast.Plan{
		Items: items, People: people, Hours: hours, Start: start, Runs: forecastRuns, Seed: uint64(state.Seq),
		Pace:  forecast.PaceOf(marks),
		Waits: forecast.Waits{FillerDry: rules.FillerDry, CaulkCure: rules.CaulkCure, Recoat: rules.Recoat, Coats: rules.Coats},
	}
	played, err := forecast.Simulate(ctx, plan)
	if err != nil {
		return nil, fault.Because(fault.Unavailable, "The forecast took too long. Try again.", err)
	}
	out := told(plan, played)
	out.Seq, out.Held = state.Seq, heldItems(state, company, s.clock())
	out.From, out.To, out.Days, out.Zone = in.From, in.To, in.Days, in.Zone
	kept.keep(k, out)
	return &forecastOutput{Body: out}, nil
}

func (p ForecastParams) hours() (forecast.Hours, *time.Location, error) {
	zone, err := zoneNamed(p.Zone)
	if err != nil {
		return forecast.Hours{}, nil, err
	}
	h := forecast.Hours{From: minuteOf(p.From), To: minuteOf(p.To)}
	if h.From >= h.To {
		return forecast.Hours{}, nil, fault.New(fault.Invalid, "The day has to end after it begins.")
	}
	for _, d := range p.Days {
		h.Days[d-'0'] = true
	}
	return h, zone, nil
}

// minuteOf reads 07:30, which the pattern has let through.
func minuteOf(clock string) int {
	h, m, _ := strings.Cut(clock, ":")
	hour, _ := strconv.Atoi(h)
	minute, _ := strconv.Atoi(m)
	return hour*60 + minute
}

// workLeft lists what is left of a job in the order of its rooms, and counts the people it is
// given to: at least one.
func workLeft(state *joblog.State) ([]forecast.Item, int) {
	var out []forecast.Item
	people := map[string]bool{}
	for _, sc := range state.JobItems(nil) {
		if sc.Item.Removed != nil {
			continue
		}
		it := forecast.Item{Group: forecast.GroupOf(sc.Item.Unit.Kind)}
		for _, x := range sc.Item.StageList() {
			if m, done := sc.Item.Stages[x]; !done || m.Redone {
				it.Stages = append(it.Stages, x)
			}
		}
		if len(it.Stages) == 0 {
			continue
		}
		out = append(out, it)
		who := sc.Item.AssignedTo
		if who == "" {
			who = sc.Room.AssignedTo
		}
		if who != "" {
			people[who] = true
		}
	}
	return out, max(len(people), 1)
}

func heldItems(state *joblog.State, company houserules.Set, now time.Time) int {
	held := 0
	for _, sc := range state.JobItems(company) {
		if sc.Item.Removed != nil {
			continue
		}
		for _, row := range sc.Project(now).Stages {
			if row.Status == stage.Held {
				held++
				break
			}
		}
	}
	return held
}

// told is a played plan with all that it rests on.
func told(p forecast.Plan, f forecast.Forecast) Forecast {
	out := Forecast{
		Start: p.Start.UTC(), Spread: []SpreadPoint{}, Minutes: int64(f.Minutes + 0.5), Items: len(p.Items), People: p.People,
		Waits: WaitsAssumed(p.Waits), Runs: p.Runs, Weight: forecast.Weight,
	}
	groups := map[forecast.Group]bool{}
	for _, it := range p.Items {
		out.Stages += len(it.Stages)
		groups[it.Group] = true
	}
	for _, g := range forecast.Groups() {
		for _, x := range stage.All() {
			if assumed := forecast.Assumed(g, x); assumed > 0 && groups[g] {
				out.Pace = append(out.Pace, PaceLine{Group: g, Stage: x, Assumed: assumed, Seen: p.Pace[g][x].Count, Minutes: p.Pace.Mean(g, x)})
			}
		}
	}
	out.Pace = orEmpty(out.Pace)
	if len(p.Items) == 0 {
		return out
	}
	even, likely := f.At(0.5).UTC(), f.At(0.8).UTC()
	out.Even, out.Likely = &even, &likely
	for i := range spreadPoints + 1 {
		share := float64(i) / spreadPoints
		out.Spread = append(out.Spread, SpreadPoint{At: f.At(share).UTC(), Share: share})
	}
	return out
}
