package httpapi

import (
	"context"
	"io"
	"net/http"
	"sort"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humachi"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/logbook"
	"longpoint/internal/report"
)

const (
	contentPDF = "application/pdf"
	// mostPictures bounds the photos of one sheet: beyond that a punch list is no list.
	mostPictures = 120
	mostPicture  = 1 << 20
)

type (
	roomSheetInput struct {
		JobPath
		Room string `path:"room" format:"uuid"`
		ReaderParams
	}
	cardInput struct {
		JobPath
		Item string `path:"item" format:"uuid"`
		ReaderParams
		origin string
	}
)

// registerSheets are the sheets a crew prints and a homeowner keeps.
func (s *Server) registerSheets() {
	addSheet(s, operation("get-cut-sheet", http.MethodGet, "/jobs/{job}/rooms/{room}/cut-sheet.pdf", "A room's pieces to cut, to print"), "cut-sheet", s.cutSheet)
	addSheet(s, operation("get-opening-card", http.MethodGet, "/jobs/{job}/items/{item}/card.pdf", "An opening's card with a code that opens it in the app"), "card", s.card)
	addSheet(s, operation("get-log-sheet", http.MethodGet, "/jobs/{job}/log.pdf", "The whole log, to print"), "log", s.logSheet)
	addSheet(s, operation("get-punch-list", http.MethodGet, "/jobs/{job}/walks/{walk}/punch-list.pdf", "A walkthrough's punch list with its photos, to print"), "punch-list",
		func(ctx context.Context, in *walkInput) ([]byte, error) {
			sheet, err := s.walkSheetOf(ctx, in)
			if err != nil {
				return nil, err
			}
			return s.punchList(ctx, sheet)
		})
	addSheet(s, operation("get-sign-off-record", http.MethodGet, "/jobs/{job}/walks/{walk}/record.pdf", "What was signed, with the seal, to print"), "record",
		func(ctx context.Context, in *walkInput) ([]byte, error) {
			sheet, err := s.walkSheetOf(ctx, in)
			if err != nil {
				return nil, err
			}
			return s.signOffRecord(ctx, sheet)
		})
	addSheet(s, public(operation("get-walk-punch-list", http.MethodGet, "/walk/punch-list.pdf", "The punch list of the walkthrough a key opens")), "punch-list",
		func(ctx context.Context, in *guestInput) ([]byte, error) {
			sheet, err := s.guestSheetOf(ctx, in)
			if err != nil {
				return nil, err
			}
			return s.punchList(ctx, sheet)
		})
	addSheet(s, public(operation("get-walk-record", http.MethodGet, "/walk/record.pdf", "The sign-off record of the walkthrough a key opens")), "record",
		func(ctx context.Context, in *guestInput) ([]byte, error) {
			sheet, err := s.guestSheetOf(ctx, in)
			if err != nil {
				return nil, err
			}
			return s.signOffRecord(ctx, sheet)
		})
}

// addSheet registers an operation that answers with a PDF.
func addSheet[I any](s *Server, op huma.Operation, name string, write func(context.Context, *I) ([]byte, error)) {
	op.Responses = map[string]*huma.Response{"200": {Description: "The sheets", Content: map[string]*huma.MediaType{
		contentPDF: {Schema: &huma.Schema{Type: huma.TypeString, Format: "binary"}}}}}
	add(s, op, func(ctx context.Context, in *I) (*huma.StreamResponse, error) {
		takeTime(ctx, sheetTime)
		body, err := write(ctx, in)
		if err != nil {
			return nil, err
		}
		return &huma.StreamResponse{Body: func(c huma.Context) {
			c.SetHeader("Content-Type", contentPDF)
			c.SetHeader("Content-Disposition", `inline; filename="`+name+`.pdf"`)
			_, _ = c.BodyWriter().Write(body)
		}}, nil
	})
}

func paper(st *joblog.State, r joblog.Reader) report.Paper {
	return report.Paper{Job: st.Job.Name, Address: st.Job.Address, Language: r.Language, Now: r.Now}
}

func (s *Server) cutSheet(ctx context.Context, in *roomSheetInput) ([]byte, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	st, company, err := s.cfg.Store.Job(ctx, v, in.Job)
	if err != nil {
		return nil, err
	}
	room := st.Rooms[in.Room]
	if room == nil {
		return nil, fault.New(fault.NotFound, "There is no such room.")
	}
	r := s.reader(ctx, in.ReaderParams)
	body, err := report.CutSheet(paper(st, r), room.Name, itemsOf(st, company, in.Room, r))
	return body, internal(err)
}

// itemsOf views a room's items in the order they were added.
func itemsOf(st *joblog.State, company houserules.Set, room string, r joblog.Reader) []joblog.ItemView {
	var items []*joblog.Item
	for _, it := range st.Items {
		if it.RoomID == room && it.Removed == nil {
			items = append(items, it)
		}
	}
	sort.Slice(items, func(i, j int) bool { return items[i].AddedSeq < items[j].AddedSeq })
	out := make([]joblog.ItemView, 0, len(items))
	for _, it := range items {
		out = append(out, joblog.ViewItem(st.Scope(company, joblog.Command{ItemID: it.ID}), r))
	}
	return out
}

func internal(err error) error {
	if err == nil {
		return nil
	}
	return fault.Because(fault.Internal, "", err)
}

// Resolve takes down where the service was asked at: the code on the card opens it there.
func (in *cardInput) Resolve(ctx huma.Context) []error {
	r, _ := humachi.Unwrap(ctx)
	in.origin = "http://" + r.Host
	if over, _ := r.Context().Value(overTLS).(bool); over {
		in.origin = "https://" + r.Host
	}
	return nil
}

func (s *Server) card(ctx context.Context, in *cardInput) ([]byte, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	st, company, err := s.cfg.Store.Job(ctx, v, in.Job)
	if err != nil {
		return nil, err
	}
	if st.Items[in.Item] == nil {
		return nil, fault.New(fault.NotFound, "There is no such opening.")
	}
	r := s.reader(ctx, in.ReaderParams)
	view := joblog.ViewItem(st.Scope(company, joblog.Command{ItemID: in.Item}), r)
	body, err := report.Card(paper(st, r), view, in.origin+"/bench/jobs/"+in.Job+"/items/"+in.Item)
	return body, internal(err)
}

func (s *Server) logSheet(ctx context.Context, in *jobInput) ([]byte, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	st, _, err := s.cfg.Store.Job(ctx, v, in.Job)
	if err != nil {
		return nil, err
	}
	names, err := s.names(ctx, v)
	if err != nil {
		return nil, err
	}
	for _, w := range st.Walks {
		guest, err := s.cfg.Store.Guest(ctx, account.Link{CompanyID: v.CompanyID, GuestID: w.GuestID})
		if err != nil && !fault.Is(err, fault.NotFound) {
			return nil, err
		}
		names[w.GuestID] = guest.Name
	}
	r := s.reader(ctx, in.ReaderParams)
	var lines []report.LogLine
	for after := int64(0); ; {
		entries, last, err := s.cfg.Store.Entries(ctx, v, in.Job, after, "", 1000)
		if err != nil {
			return nil, err
		}
		for _, e := range entries {
			l := report.LogLine{EntryView: logbook.View(e, names, r), Who: names[e.PersonID]}
			if l.Who == "" {
				l.Who = report.Words(r.Language)["someone"]
			}
			if it := st.Items[e.Command.ItemID]; it != nil {
				l.Where = it.Name
			} else if room := st.Rooms[e.Command.RoomID]; room != nil {
				l.Where = room.Name
			}
			lines = append(lines, l)
			after = e.Seq
		}
		if len(entries) == 0 || after >= last {
			break
		}
	}
	body, err := report.Log(paper(st, r), lines)
	return body, internal(err)
}

func (s *Server) names(ctx context.Context, v account.Viewer) (map[string]string, error) {
	people, err := s.cfg.Store.People(ctx, v)
	if err != nil {
		return nil, err
	}
	out := make(map[string]string, len(people))
	for _, p := range people {
		out[p.ID] = p.Name
	}
	return out, nil
}

// walkSheet is what a walkthrough's sheets are made of, for one side of it.
type walkSheet struct {
	paper  report.Paper
	view   *joblog.WalkView
	guest  string
	names  map[string]string // of the crew, for the crew
	reader account.Viewer    // who may read the photos that the view shows
	job    string
}

func (s *Server) walkSheetOf(ctx context.Context, in *walkInput) (out walkSheet, err error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return out, err
	}
	st, company, err := s.cfg.Store.Job(ctx, v, in.Job)
	if err != nil {
		return out, err
	}
	r := s.reader(ctx, in.ReaderParams)
	view := joblog.ViewWalk(st, in.Walk, v.Role, company, r)
	if view == nil {
		return out, fault.New(fault.NotFound, "There is no such walkthrough.")
	}
	out = walkSheet{paper: paper(st, r), view: view, reader: v, job: in.Job}
	if out.names, err = s.names(ctx, v); err != nil {
		return out, err
	}
	guest, err := s.cfg.Store.Guest(ctx, account.Link{CompanyID: v.CompanyID, GuestID: st.Walks[in.Walk].GuestID})
	out.guest = guest.Name
	return out, err
}

func (s *Server) guestSheetOf(ctx context.Context, in *guestInput) (out walkSheet, err error) {
	l, err := s.guest(ctx, in.GuestKey)
	if err != nil {
		return out, err
	}
	g, err := s.cfg.Store.Guest(ctx, l)
	if err != nil {
		return out, err
	}
	st, company, err := s.cfg.Store.WalkJob(ctx, l)
	if err != nil {
		return out, err
	}
	r := s.guestReader(g, in.ReaderParams)
	view := joblog.ViewWalk(st, l.WalkID, joblog.Guest, company, r)
	if view == nil {
		return out, fault.New(fault.NotFound, "There is no such walkthrough.")
	}
	reader := l.Viewer()
	reader.Role = joblog.Lead // of the photos that the guest's view shows, and of no others
	return walkSheet{paper: paper(st, r), view: view, guest: g.Name, reader: reader, job: l.JobID}, nil
}

func (s *Server) punchList(ctx context.Context, sheet walkSheet) ([]byte, error) {
	asked := 0
	body, err := report.PunchList(sheet.paper, sheet.view, sheet.guest, sheet.names, func(id string) []byte {
		if asked++; asked > mostPictures || s.cfg.Photos == nil {
			return nil
		}
		p, err := s.cfg.Photos.Picture(ctx, sheet.reader, sheet.job, id, true)
		if err != nil {
			return nil // still on its way: the sheet says so
		}
		defer func() { _ = p.Close() }()
		data, err := io.ReadAll(io.LimitReader(p, mostPicture))
		if err != nil {
			return nil
		}
		return data
	})
	return body, internal(err)
}

func (s *Server) signOffRecord(ctx context.Context, sheet walkSheet) ([]byte, error) {
	seal, err := s.cfg.Store.Seal(ctx, sheet.reader, sheet.job, sheet.view.ID)
	if err != nil {
		return nil, err
	}
	body, err := report.Record(sheet.paper, sheet.view, sheet.guest, seal)
	return body, internal(err)
}
