package httpapi

import (
	"cmp"
	"context"
	"maps"
	"net/http"
	"slices"
	"time"

	ics "github.com/arran4/golang-ical"
	"github.com/danielgtaylor/huma/v2"
	lru "github.com/hashicorp/golang-lru/v2"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/forecast"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
)

const (
	// calendarDays is how far ahead a calendar goes.
	calendarDays = 7
	calendarBody = 4 << 10
	// calendarAgain is how often a calendar program is asked to look.
	calendarAgain = "PT30M"
	contentICS    = "text/calendar; charset=utf-8"
)

// NewCalendar asks for a link to the person's own days.
type NewCalendar struct {
	Zone string `json:"zone" minLength:"1" maxLength:"64" doc:"Time zone the person works in, by its IANA name"`
}

// CalendarLink is the link. It is shown this once: only its hash is kept.
type CalendarLink struct {
	Path string `json:"path" doc:"For the calendar program, after the service's own address. Whoever has it sees these days"`
}

type (
	newCalendarInput   struct{ Body NewCalendar }
	calendarLinkOutput struct{ Body CalendarLink }
	calendarInput      struct {
		Token string `path:"token" maxLength:"100"`
	}
)

func (s *Server) registerCalendar() {
	op := operation("make-calendar", http.MethodPost, "/calendar", "Make a link to the person's days for a calendar program; ends the one before")
	op.MaxBodyBytes = calendarBody
	add(s, op, s.makeCalendar)
	add(s, operation("end-calendar", http.MethodDelete, "/calendar", "End the link to the person's days"),
		func(ctx context.Context, _ *struct{}) (*struct{}, error) {
			v, err := s.viewer(ctx)
			if err != nil {
				return nil, err
			}
			return nil, s.cfg.Store.MakeCalendarLink(ctx, v, "", "")
		})
	feed := public(operation("get-calendar", http.MethodGet, "/calendar/{token}.ics", "A person's days in order, as iCalendar (RFC 5545)"))
	feed.Responses = map[string]*huma.Response{"200": {Description: "The calendar", Content: map[string]*huma.MediaType{
		"text/calendar": {Schema: &huma.Schema{Type: "string"}}}}}
	kept, err := lru.New[calendarKey, keptCalendar](calendarsKept)
	if err != nil {
		panic(err) // the number is above zero
	}
	add(s, feed, func(ctx context.Context, in *calendarInput) (*huma.StreamResponse, error) {
		return s.calendar(ctx, in, kept)
	})
}

func (s *Server) makeCalendar(ctx context.Context, in *newCalendarInput) (*calendarLinkOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	if _, err := zoneNamed(in.Body.Zone); err != nil {
		return nil, err
	}
	token := account.NewToken()
	if err := s.cfg.Store.MakeCalendarLink(ctx, v, account.HashToken(token), in.Body.Zone); err != nil {
		return nil, err
	}
	return &calendarLinkOutput{Body: CalendarLink{Path: prefix + "/calendar/" + token + ".ics"}}, nil
}

func (s *Server) calendar(ctx context.Context, in *calendarInput, kept *lru.Cache[calendarKey, keptCalendar]) (*huma.StreamResponse, error) {
	p, named, err := s.cfg.Store.CalendarOf(ctx, account.HashToken(in.Token))
	if err != nil {
		return nil, err
	}
	zone, err := zoneNamed(named)
	if err != nil {
		return nil, err
	}
	// As an installer, also who leads: of all that they may read, a calendar has what is given to
	// them.
	v := p.Viewer()
	v.Role = joblog.Installer
	jobs, err := s.cfg.Store.Jobs(ctx, v)
	if err != nil {
		return nil, err
	}
	rules, err := s.cfg.Store.HouseRules(ctx, v)
	if err != nil {
		return nil, err
	}
	now := s.clock()
	start := now.In(zone).Truncate(15 * time.Minute)
	key := calendarKey{v.CompanyID, v.PersonID, named, p.Language, p.Unit}
	had, _ := kept.Get(key)
	if !had.serves(start, rules, jobs) {
		had = keptCalendar{start: start, rules: rules, jobs: jobsAt(jobs)}
		if had.body, err = s.makeDays(ctx, v, p, jobs, start, now); err != nil {
			return nil, err
		}
		kept.Add(key, had)
	}
	return &huma.StreamResponse{Body: func(c huma.Context) {
		c.SetHeader("Content-Type", contentICS)
		c.SetHeader("Cache-Control", "private, no-store")
		_, _ = c.BodyWriter().Write([]byte(had.body))
	}}, nil
}

// calendarsKept is how many calendars a node keeps; a week of a person's is some ten kilobytes.
const calendarsKept = 256

// calendarKey is whose calendar it is and what it is read in.
type calendarKey struct {
	company, person, zone, language string
	unit                            length.Unit
}

// keptCalendar is a calendar as it was last sent. A calendar program asks again and again, and
// whoever has the link may: it is made anew where a job's log or the house rules have moved, and
// each quarter of an hour, from which its days begin.
type keptCalendar struct {
	start time.Time
	rules houserules.Set
	jobs  map[string]int64 // each job's last number
	body  string
}

func jobsAt(jobs []JobLine) map[string]int64 {
	out := make(map[string]int64, len(jobs))
	for _, l := range jobs {
		out[l.ID] = l.Seq
	}
	return out
}

func (k keptCalendar) serves(start time.Time, rules houserules.Set, jobs []JobLine) bool {
	return k.body != "" && k.start.Equal(start) && maps.Equal(k.rules, rules) && maps.Equal(k.jobs, jobsAt(jobs))
}

// makeDays works a person's days out, as iCalendar.
func (s *Server) makeDays(ctx context.Context, v account.Viewer, p account.Person, jobs []JobLine, start, now time.Time) (string, error) {
	marks, err := s.cfg.Store.Marks(ctx, v)
	if err != nil {
		return "", err
	}
	r := joblog.Reader{Language: p.Language, Now: now.UTC(), Style: length.Style{Unit: p.Unit, Language: p.Language, Step: step(p.Unit, "")}}
	var tasks []forecast.Task
	what := map[string]calendarItem{}
	for _, line := range jobs {
		state, company, err := s.cfg.Store.Job(ctx, v, line.ID)
		if err != nil {
			return "", err
		}
		view := joblog.ViewJob(state, company, r)
		tasks = append(tasks, tasksOf(view, state, p.ID, what)...)
	}
	// Over all jobs, as the board has it of each.
	slices.SortStableFunc(tasks, func(a, b forecast.Task) int { return cmp.Compare(what[a.ItemID].turn, what[b.ItemID].turn) })
	slots := forecast.Agenda(tasks, forecast.PaceOf(marks), forecast.Usual, start, start.AddDate(0, 0, calendarDays))
	return calendarOf(slots, what, now), nil
}

func zoneNamed(name string) (*time.Location, error) {
	zone, err := time.LoadLocation(name)
	if err != nil || name == "Local" || name == "" {
		return nil, fault.New(fault.Invalid, "There is no such time zone.")
	}
	return zone, nil
}

// calendarItem is what an event says of an item.
type calendarItem struct {
	name, room, stage, sentence, job, address string
	turn                                      int64
}

// tasksOf lists what is next on the person's items of a job. What a stop holds is left out
// until it is settled; what dries is there for when it is dry.
func tasksOf(view joblog.JobView, state *joblog.State, person string, what map[string]calendarItem) []forecast.Task {
	var out []forecast.Task
	for _, room := range view.Rooms {
		for _, pole := range room.Items {
			if pole.AssignedTo != person || pole.Next == "" || (pole.Held && pole.ClearsAt == nil) {
				continue
			}
			t := forecast.Task{JobID: view.ID, ItemID: pole.ID, Stage: pole.Next, Group: forecast.GroupOf(state.Items[pole.ID].Unit.Kind)}
			if pole.ClearsAt != nil {
				t.From = *pole.ClearsAt
			}
			out = append(out, t)
			what[pole.ID] = calendarItem{name: pole.Name, room: room.Name, stage: pole.NextLabel, sentence: pole.Sentence, job: view.Name, address: view.Address, turn: pole.Turn}
		}
	}
	return out
}

func calendarOf(slots []forecast.Slot, what map[string]calendarItem, now time.Time) string {
	cal := ics.NewCalendarFor("Longpoint")
	cal.SetMethod(ics.MethodPublish)
	cal.SetRefreshInterval(calendarAgain)
	cal.SetXPublishedTTL(calendarAgain)
	for _, slot := range slots {
		it := what[slot.ItemID]
		e := cal.AddEvent(slot.ItemID + "." + string(slot.Stage) + "@longpoint")
		e.SetDtStampTime(now)
		e.SetStartAt(slot.Begin)
		e.SetEndAt(slot.End)
		e.SetSummary(it.name + ", " + it.room + " → " + it.stage)
		e.SetDescription(it.sentence)
		if it.address != "" {
			e.SetLocation(it.address)
		} else {
			e.SetLocation(it.job)
		}
		// A guess at the hour is nobody's appointment: it blocks nothing.
		e.SetTimeTransparency(ics.TransparencyTransparent)
	}
	return cal.Serialize(ics.WithNewLineWindows)
}
