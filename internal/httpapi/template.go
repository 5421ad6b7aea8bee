package httpapi

import (
	"context"
	"net/http"
	"time"

	"longpoint/internal/fault"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/setup"
)

// RoomPath names a room of a job.
type RoomPath struct {
	JobPath
	Room string `path:"room" format:"uuid" doc:"The room's id"`
}

// RoomCopy asks for a room once more: its walls, openings, runs and rules, not its readings or work.
type RoomCopy struct {
	TogetherParams
	Name  string `json:"name" minLength:"1" maxLength:"80"`
	Level string `json:"level,omitempty" enum:"basement,ground,upper" doc:"The same when left out"`
	Into  string `json:"into,omitempty" format:"uuid" doc:"Another job; this one when left out"`
}

// TemplateLine is something a company has put by.
type TemplateLine struct {
	ID     string    `json:"id" format:"uuid"`
	Name   string    `json:"name"`
	Kind   string    `json:"kind" enum:"rooms,trim" doc:"The rooms of a unit that is built again, or a trim package"`
	Rooms  []string  `json:"rooms" doc:"Their names"`
	Items  int       `json:"items" doc:"Openings and runs in them"`
	MadeBy string    `json:"made_by" format:"uuid"`
	MadeAt time.Time `json:"made_at"`
}

// TemplateList is all of them.
type TemplateList struct {
	Templates []TemplateLine `json:"templates"`
}

// TemplateNew takes a template from a job.
type TemplateNew struct {
	ID   string `json:"id" format:"uuid" doc:"UUIDv7 made by the device"`
	Name string `json:"name" minLength:"1" maxLength:"80"`
	Kind string `json:"kind" enum:"rooms,trim"`
	Job  string `json:"job_id" format:"uuid"`
	Room string `json:"room_id,omitempty" format:"uuid" doc:"The room it is taken from; every room of the job when left out"`
}

// TemplateUse sets a job up with a template.
type TemplateUse struct {
	TogetherParams
	Name  string `json:"name,omitempty" maxLength:"60" doc:"Of rooms: what they are called, or what stands before their names where there are several"`
	Level string `json:"level,omitempty" enum:"basement,ground,upper" doc:"Of rooms: their own when left out"`
	Room  string `json:"room_id,omitempty" format:"uuid" doc:"Of a trim package: the room it goes on; every room when left out"`
}

type (
	copyInput struct {
		RoomPath
		ReaderParams
		Body RoomCopy
	}
	templatesOutput  struct{ Body TemplateList }
	newTemplateInput struct{ Body TemplateNew }
	templateInput    struct {
		Template string `path:"template" format:"uuid" doc:"The template's id"`
	}
	useTemplateInput struct {
		JobPath
		ReaderParams
		Template string `path:"template" format:"uuid" doc:"The template's id"`
		Body     TemplateUse
	}
)

const templateBody = 16 << 10

func (s *Server) registerTemplates() {
	copying := operation("copy-room", http.MethodPost, "/jobs/{job}/rooms/{room}/copy", "Set up another room like this one; leads only")
	copying.MaxBodyBytes = templateBody
	add(s, copying, s.copyRoom)
	add(s, operation("list-templates", http.MethodGet, "/templates", "What the company has put by to set jobs up with; leads only"),
		func(ctx context.Context, _ *struct{}) (*templatesOutput, error) { return s.templates(ctx) })
	making := operation("make-template", http.MethodPost, "/templates", "Put a room, a whole job's rooms or a room's trim by; leads only")
	making.MaxBodyBytes = templateBody
	add(s, making, s.makeTemplate)
	add(s, operation("drop-template", http.MethodDelete, "/templates/{template}", "Take a template away; what was made from it stays; leads only"),
		func(ctx context.Context, in *templateInput) (*struct{}, error) {
			v, err := s.viewer(ctx)
			if err != nil {
				return nil, err
			}
			return nil, s.cfg.Store.DropTemplate(ctx, v, in.Template)
		})
	using := operation("use-template", http.MethodPost, "/jobs/{job}/templates/{template}", "Set a job or room up with a template; leads only")
	using.MaxBodyBytes = templateBody
	add(s, using, s.useTemplate)
}

func (s *Server) copyRoom(ctx context.Context, in *copyInput) (*setUpOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	from, _, err := s.cfg.Store.Job(ctx, v, in.Job)
	if err != nil {
		return nil, err
	}
	room, ok := setup.RoomOf(from, in.Room)
	if !ok {
		return nil, fault.New(fault.NotFound, "There is no such room.")
	}
	into := in.Job
	if in.Body.Into != "" {
		into = in.Body.Into
	}
	request := struct {
		Room string
		Body RoomCopy
	}{in.Room, in.Body}
	request.Body.SentAt = time.Time{}
	return s.together(ctx, v, into, in.Body.TogetherParams, request, s.reader(ctx, in.ReaderParams), func(*joblog.State, houserules.Set) ([]joblog.Command, error) {
		return setup.Copies([]setup.Room{room}, into, in.Body.Name, joblog.Level(in.Body.Level), setup.Mint(in.Body.ID)), nil
	})
}

func (s *Server) templates(ctx context.Context) (*templatesOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	list, err := s.cfg.Store.Templates(ctx, v)
	if err != nil {
		return nil, err
	}
	out := TemplateList{Templates: make([]TemplateLine, 0, len(list))}
	for _, t := range list {
		line := TemplateLine{ID: t.ID, Name: t.Name, Kind: "trim", Rooms: []string{}, MadeBy: t.MadeBy, MadeAt: t.MadeAt}
		if t.Trim == nil {
			line.Kind = "rooms"
		}
		for _, r := range t.Rooms {
			line.Rooms = append(line.Rooms, r.Name)
			line.Items += len(r.Items)
		}
		out.Templates = append(out.Templates, line)
	}
	return &templatesOutput{Body: out}, nil
}

func (s *Server) makeTemplate(ctx context.Context, in *newTemplateInput) (*templatesOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	st, _, err := s.cfg.Store.Job(ctx, v, in.Body.Job)
	if err != nil {
		return nil, err
	}
	t := setup.Template{ID: in.Body.ID, Name: in.Body.Name}
	if in.Body.Room != "" && st.Rooms[in.Body.Room] == nil {
		return nil, fault.New(fault.NotFound, "There is no such room.")
	}
	if in.Body.Kind == "trim" {
		p, ok := setup.PackageOf(st, in.Body.Room)
		if !ok {
			return nil, fault.New(fault.Invalid, "This room has no casing and no run whose trim could be put by.")
		}
		t.Trim = &p
	} else {
		t.Rooms = setup.RoomsOf(st, in.Body.Room)
	}
	if err := s.cfg.Store.PutTemplate(ctx, v, t); err != nil {
		return nil, err
	}
	return s.templates(ctx)
}

func (s *Server) useTemplate(ctx context.Context, in *useTemplateInput) (*setUpOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	t, err := s.cfg.Store.Template(ctx, v, in.Template)
	if err != nil {
		return nil, err
	}
	request := struct {
		Template string
		Body     TemplateUse
	}{in.Template, in.Body}
	request.Body.SentAt = time.Time{}
	mint := setup.Mint(in.Body.ID)
	return s.together(ctx, v, in.Job, in.Body.TogetherParams, request, s.reader(ctx, in.ReaderParams), func(st *joblog.State, _ houserules.Set) ([]joblog.Command, error) {
		if t.Trim == nil {
			return setup.Copies(t.Rooms, in.Job, in.Body.Name, joblog.Level(in.Body.Level), mint), nil
		}
		if in.Body.Room != "" && st.Rooms[in.Body.Room] == nil {
			return nil, fault.New(fault.NotFound, "There is no such room.")
		}
		return t.Trim.Apply(st, in.Body.Room, mint), nil
	})
}
