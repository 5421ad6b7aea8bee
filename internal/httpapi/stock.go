package httpapi

import (
	"bytes"
	"context"
	"errors"
	"net/http"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/google/uuid"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/report"
	"longpoint/internal/yard"
)

// Limits of planning on one server: so many plans at once, each in memory of its own, and how
// long another waits for its turn.
const (
	plansAtOnce    = 2
	planTurn       = 5 * time.Second
	defaultPlan    = 3 // seconds
	stockListBody  = 256 << 10
	planAskBody    = 256 << 10
	contentCSV     = "text/csv; charset=utf-8"
	attachmentName = "saw-plan"
)

// StockSheet is all there is about a job's stock: the plan it works from, the rack, and the list.
type StockSheet struct {
	Plan *yard.PlanView       `json:"plan,omitempty" doc:"The plan the job works from, as it stands now; nothing before the first"`
	Rack []yard.OffcutView    `json:"rack"`
	List []yard.StockLineView `json:"list" doc:"What can be had of each stock, the job's own lines first"`
	Seq  int64                `json:"seq" doc:"Last number in the job's log"`
}

// StockListSet is a list of what the yard sells.
type StockListSet struct {
	Lines []yard.Line `json:"lines" maxItems:"200"`
}

type (
	stockOutput struct{ Body StockSheet }
	planInput   struct {
		JobPath
		ReaderParams
		Body yard.Ask
	}
	jobListInput struct {
		JobPath
		ReaderParams
		Body StockListSet
	}
	companyListInput  struct{ Body StockListSet }
	companyListOutput struct{ Body StockListSet }
)

func (s *Server) registerStock() {
	add(s, operation("get-stock", http.MethodGet, "/jobs/{job}/stock", "A job's cutting plan as it stands, its rack, and what the yard has"),
		func(ctx context.Context, in *jobInput) (*stockOutput, error) {
			return s.stock(ctx, in.Job, in.ReaderParams)
		})
	op := operation("plan-stock", http.MethodPost, "/jobs/{job}/stock/plan", "Plan what to buy and how to cut it")
	op.Description = "Plans the pieces that are measured and not yet cut, from what the yard has, the rack and the sticks on the saw, and makes the plan the one the job works from. " +
		"It ends when it is proven or when its seconds are up; leaving the request ends it too, and then nothing is kept."
	op.MaxBodyBytes = planAskBody
	add(s, op, s.planStock)
	list := operation("set-job-stock-list", http.MethodPut, "/jobs/{job}/stock/list", "Replace the job's own list of stock; leads only")
	list.MaxBodyBytes = stockListBody
	add(s, list, func(ctx context.Context, in *jobListInput) (*stockOutput, error) {
		v, err := s.viewer(ctx)
		if err != nil {
			return nil, err
		}
		if err := s.cfg.Store.SetStockList(ctx, v, in.Job, yard.List{Lines: in.Body.Lines}); err != nil {
			return nil, err
		}
		return s.stock(ctx, in.Job, in.ReaderParams)
	})
	add(s, operation("get-stock-list", http.MethodGet, "/stock/list", "The company's list of stock"),
		func(ctx context.Context, _ *struct{}) (*companyListOutput, error) { return s.companyList(ctx) })
	ours := operation("set-stock-list", http.MethodPut, "/stock/list", "Replace the company's list of stock; leads only")
	ours.MaxBodyBytes = stockListBody
	add(s, ours, func(ctx context.Context, in *companyListInput) (*companyListOutput, error) {
		v, err := s.viewer(ctx)
		if err != nil {
			return nil, err
		}
		if err := s.cfg.Store.SetStockList(ctx, v, "", yard.List{Lines: in.Body.Lines}); err != nil {
			return nil, err
		}
		return s.companyList(ctx)
	})
	s.registerStockFile("get-stock-csv", "/jobs/{job}/stock/plan.csv", "The plan as a table", contentCSV, ".csv",
		func(v yard.PlanView, _ string, _ joblog.Reader) ([]byte, error) {
			var b bytes.Buffer
			err := yard.WriteCSV(&b, v)
			return b.Bytes(), err
		})
	s.registerStockFile("get-stock-pdf", "/jobs/{job}/stock/plan.pdf", "The plan as sheets to print", "application/pdf", ".pdf",
		func(v yard.PlanView, job string, r joblog.Reader) ([]byte, error) {
			words := yard.Words(r.Language)
			return report.Saw(v, job, words.Term("printed")+" "+r.Now.Format("2006-01-02 15:04 UTC"), words, r.Language, r.Now)
		})
}

func (s *Server) companyList(ctx context.Context) (*companyListOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	ours, _, err := s.cfg.Store.StockLists(ctx, v, "")
	if err != nil {
		return nil, err
	}
	for i := range ours.Lines {
		ours.Lines[i].Offers = orEmpty(ours.Lines[i].Offers)
	}
	return &companyListOutput{Body: StockListSet{Lines: orEmpty(ours.Lines)}}, nil
}

// stockOf reads all that a plan is made from or shown with.
func (s *Server) stockOf(ctx context.Context, job string) (v account.Viewer, st *joblog.State, company houserules.Set, ours, own yard.List, err error) {
	if v, err = s.viewer(ctx); err != nil {
		return
	}
	if st, company, err = s.cfg.Store.Job(ctx, v, job); err != nil {
		return
	}
	ours, own, err = s.cfg.Store.StockLists(ctx, v, job)
	return
}

func (s *Server) stock(ctx context.Context, job string, q ReaderParams) (*stockOutput, error) {
	v, st, company, ours, own, err := s.stockOf(ctx, job)
	if err != nil {
		return nil, err
	}
	plan, err := s.cfg.Store.StockPlan(ctx, v, job)
	if err != nil {
		return nil, err
	}
	r := s.reader(ctx, q)
	out := StockSheet{Rack: yard.RackOf(st.Job, r), List: yard.Lines(st, company, ours, own, r), Seq: st.Seq}
	if plan != nil {
		view := yard.Look(*plan, st, company, r)
		out.Plan = &view
	}
	return &stockOutput{Body: out}, nil
}

func (s *Server) planStock(ctx context.Context, in *planInput) (*stockOutput, error) {
	v, st, company, ours, own, err := s.stockOf(ctx, in.Job)
	if err != nil {
		return nil, err
	}
	leave, err := s.takeTurn(ctx)
	if err != nil {
		return nil, err
	}
	defer leave()
	seconds := in.Body.Seconds
	if seconds == 0 {
		seconds = defaultPlan
	}
	within, stop := context.WithTimeout(ctx, time.Duration(seconds)*time.Second)
	defer stop()
	plan, err := yard.Make(within, yard.Making{State: st, Company: company, Yard: ours, Job: own, Ask: in.Body, By: v.PersonID,
		Now: s.clock().UTC(), NewID: func() string { return uuid.Must(uuid.NewV7()).String() }, Clock: time.Now})
	if errors.Is(err, yard.ErrTooMany) {
		return nil, fault.New(fault.TooLarge, "That is more pieces than are planned at once. Plan some of the rooms.")
	}
	if err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, fault.Because(fault.Unavailable, "The plan was given up.", err)
	}
	if err := s.cfg.Store.KeepStockPlan(ctx, v, in.Job, plan); err != nil {
		return nil, err
	}
	return s.stock(ctx, in.Job, in.ReaderParams)
}

// takeTurn waits until fewer than plansAtOnce plans are being made.
func (s *Server) takeTurn(ctx context.Context) (leave func(), err error) {
	late := time.NewTimer(planTurn)
	defer late.Stop()
	select {
	case s.plans <- struct{}{}:
		return func() { <-s.plans }, nil
	case <-late.C:
		return nil, fault.New(fault.Unavailable, "Other plans are being worked out. Try again in a moment.")
	case <-ctx.Done():
		return nil, fault.Because(fault.Unavailable, "The plan was given up.", ctx.Err())
	}
}

// registerStockFile adds an operation that answers with a file made of the plan.
func (s *Server) registerStockFile(id, path, summary, kind, ending string, write func(yard.PlanView, string, joblog.Reader) ([]byte, error)) {
	op := operation(id, http.MethodGet, path, summary)
	op.Responses = map[string]*huma.Response{"200": {Description: "The file", Content: map[string]*huma.MediaType{
		kind: {Schema: &huma.Schema{Type: "string", Format: "binary"}}}}}
	add(s, op, func(ctx context.Context, in *jobInput) (*huma.StreamResponse, error) {
		v, st, company, _, _, err := s.stockOf(ctx, in.Job)
		if err != nil {
			return nil, err
		}
		plan, err := s.cfg.Store.StockPlan(ctx, v, in.Job)
		if err != nil {
			return nil, err
		}
		if plan == nil {
			return nil, fault.New(fault.NotFound, "The job has no saw plan yet.")
		}
		r := s.reader(ctx, in.ReaderParams)
		body, err := write(yard.Look(*plan, st, company, r), st.Job.Name, r)
		if err != nil {
			return nil, fault.Because(fault.Internal, "", err)
		}
		return &huma.StreamResponse{Body: func(c huma.Context) {
			c.SetHeader("Content-Type", kind)
			c.SetHeader("Content-Disposition", `attachment; filename="`+attachmentName+ending+`"`)
			_, _ = c.BodyWriter().Write(body)
		}}, nil
	})
}
