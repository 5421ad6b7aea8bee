package httpapi

import (
	"cmp"
	"context"
	"net/http"
	"slices"
	"time"

	ics "github.com/arran4/golang-ical"
	"github.com/danielgtaylor/huma/v2"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/forecast"
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
	add(s, feed, s.calendar)
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

func (s *Server) calendar(ctx context.Context, in *calendarInput) (*huma.StreamResponse, error) {
	p, named, err := s.cfg.Store.CalendarOf(ctx, account.HashToken(in.Token))
	if err != nil {
		return nil, err
	}
	zone, err := zoneNamed(named)
	if err != nil {
		return nil, err
	}
	v := p.Viewer()
	marks, err := s.cfg.Store.Marks(ctx, v)
	if err != nil {
		return nil, err
	}
	jobs, err := s.cfg.Store.Jobs(ctx, v)
	if err != nil {
		return nil, err
	}
	now := s.clock()
	r := joblog.Reader{Language: p.Language, Now: now.UTC(), Style: length.Style{Unit: p.Unit, Language: p.Language, Step: step(p.Unit, "")}}
	var tasks []forecast.Task
	what := map[string]calendarItem{}
	for _, line := range jobs {
		state, company, err := s.cfg.Store.Job(ctx, v, line.ID)
		if err != nil {
			return nil, err
		}
		view := joblog.ViewJob(state, company, r)
		tasks = append(tasks, tasksOf(view, state, p.ID, what)...)
	}
	// Over all jobs, as the board has it of each.
	slices.SortStableFunc(tasks, func(a, b forecast.Task) int { return cmp.Compare(what[a.ItemID].turn, what[b.ItemID].turn) })
	start := now.In(zone).Truncate(15 * time.Minute)
	slots := forecast.Agenda(tasks, forecast.PaceOf(marks), forecast.Usual, start, start.AddDate(0, 0, calendarDays))
	body := calendarOf(slots, what, now)
	return &huma.StreamResponse{Body: func(c huma.Context) {
		c.SetHeader("Content-Type", contentICS)
		c.SetHeader("Cache-Control", "private, no-store")
		_, _ = c.BodyWriter().Write([]byte(body))
	}}, nil
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
