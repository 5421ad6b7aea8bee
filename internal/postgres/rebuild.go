package postgres

import (
	"context"
	"errors"
	"fmt"
	"sort"
	"time"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/fault"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
)

// Rebuilding says what to rebuild.
type Rebuilding struct {
	// CompanyID is the one company to rebuild; empty means all, which only the tables'
	// owner can list.
	CompanyID string
	// Check compares and changes nothing.
	Check bool
}

// Report is what a rebuild found. Without Check the differences are those it put right.
type Report struct {
	Companies   int
	Jobs        int
	Entries     int
	Differences []Difference
}

// Difference is a row that is not what the log makes it. Want and Got are the columns that
// differ as JSON, "nothing" for no row.
type Difference struct {
	CompanyID string
	JobID     string
	Table     string
	Key       string // within the job
	Want, Got string
}

// String writes a difference as one line.
func (d Difference) String() string {
	return fmt.Sprintf("company %s job %s: %s %s: want %s, got %s", d.CompanyID, d.JobID, d.Table, d.Key, d.Want, d.Got)
}

const nothing = "nothing"

const ownsTables = `select pg_has_role(current_user, relowner, 'member') from pg_class where oid = 'companies'::regclass`

const companyIDs = `
	select
		company_id
	from companies
	order by company_id`

// Rebuild folds every job's entries from the first and compares the projections with what
// comes out, job by job, each in a transaction that holds the job's row; without Check it
// rewrites what differs. Cuts that an earlier rule book made differ too: the log is the
// same, the rules are not. It is for the program's owner, not for a viewer.
//
// A log with a hole in its numbers is reported as a difference in entries and cannot be put
// right.
//
// Errors: forbidden for all companies when the store's role does not own the tables;
// invalid for an id that is no UUID; not_found for a company that is not there;
// unavailable; internal.
func (s *Store) Rebuild(ctx context.Context, r Rebuilding) (rep Report, err error) {
	defer fault.In(&err, "rebuilding")
	companies := []string{r.CompanyID}
	if r.CompanyID == "" {
		companies, err = s.allCompanies(ctx)
	} else {
		err = checkID("company", r.CompanyID)
	}
	if err != nil {
		return rep, err
	}
	for _, company := range companies {
		if err := s.rebuildCompany(ctx, company, r.Check, &rep); err != nil {
			return rep, fmt.Errorf("company %s: %w", company, err)
		}
	}
	return rep, nil
}

func (s *Store) allCompanies(ctx context.Context) ([]string, error) {
	var owns bool
	if err := s.pool.QueryRow(ctx, ownsTables).Scan(&owns); err != nil {
		return nil, translate(err)
	}
	if !owns {
		return nil, fault.New(fault.Forbidden, "Rebuilding every company needs the address of the database's owner; name one company instead.")
	}
	rows, err := s.pool.Query(ctx, companyIDs)
	if err != nil {
		return nil, translate(err)
	}
	ids, err := pgx.CollectRows(rows, pgx.RowTo[string])
	return ids, translate(err)
}

func (s *Store) rebuildCompany(ctx context.Context, company string, check bool, rep *Report) error {
	var jobs []string
	err := s.inCompany(ctx, company, toRead, func(w *work) error {
		args := pgx.NamedArgs{"company": company}
		var rules []byte
		b := w.batch()
		b.one(errNotThere("company"), readHouseRules, args, &rules)
		list(b, &jobs, pgx.RowTo[string], jobIDs, args)
		b.commit()
		return w.send(ctx, b)
	})
	if err != nil {
		return err
	}
	rep.Companies++
	for _, job := range jobs {
		err := s.inCompany(ctx, company, toWrite, func(w *work) error { return w.rebuildJob(ctx, job, check, rep) })
		if err != nil {
			return fmt.Errorf("job %s: %w", job, err)
		}
		rep.Jobs++
	}
	return nil
}

// tables are one job's rows in every projection.
type tables struct {
	job    []jobRow
	rooms  []roomRow
	items  []itemRow
	takes  []takeRow
	cuts   []cutRow
	stages []stageRow
	people []jobPersonRow
	walks  []walkRow
	photos []photoRow
}

func (w *work) rebuildJob(ctx context.Context, job string, check bool, rep *Report) error {
	var (
		got        tables
		rules      []byte
		rulesSetAt *time.Time
		entries    []joblog.Entry
		company    houserules.Set
	)
	args := pgx.NamedArgs{"company": w.company, "job": job}
	b := w.batch()
	list(b, &got.job, scanJobRow, lockJobRow, args)
	b.one(errNotThere("company"), rulesAndMoment, args, &rules, &rulesSetAt)
	list(b, &entries, scanEntry, entriesOfJob, args)
	list(b, &got.rooms, scanRoomRow, roomsOfJob, args)
	list(b, &got.items, scanItemRow, itemsOfJob, args)
	list(b, &got.takes, scanTake, takesOfJob, args)
	list(b, &got.cuts, scanCut, cutsOfJob, args)
	list(b, &got.stages, scanStage, stagesOfJob, args)
	list(b, &got.people, scanJobPerson, peopleOfJob, args)
	list(b, &got.walks, scanWalkRow, walksOfJob, args)
	list(b, &got.photos, scanPhotoRow, photosStanding, args)
	if err := w.send(ctx, b); err != nil {
		return err
	}
	if err := decode("house rules", rules, &company); err != nil {
		return err
	}
	rep.Entries += len(entries)
	reportHoles(rep, w.company, job, entries)
	want, err := foldJob(entries, company, rulesSetAt)
	if err != nil {
		return err
	}
	return w.settle(ctx, job, want, got, check, rep)
}

func reportHoles(rep *Report, company, job string, entries []joblog.Entry) {
	for i, e := range entries {
		if want := int64(i) + 1; e.Seq != want {
			rep.Differences = append(rep.Differences, Difference{CompanyID: company, JobID: job, Table: "entries",
				Key: fmt.Sprint(want), Want: fmt.Sprintf(`{"seq":%d}`, want), Got: fmt.Sprintf(`{"seq":%d}`, e.Seq)})
			return
		}
	}
}

// foldJob makes every projection's rows from the log alone.
func foldJob(entries []joblog.Entry, company houserules.Set, rulesSetAt *time.Time) (tables, error) {
	var t tables
	state := joblog.NewState()
	at := map[string]time.Time{}
	present := map[string]bool{}
	var changedAt time.Time
	for _, e := range entries {
		state.Apply(e)
		for _, it := range state.Touched(e) {
			moment := at[it.ID]
			at[it.ID] = later(e.LoggedAt, &moment, rulesSetAt)
		}
		if e.Command.Assign != nil && e.Command.Assign.PersonID != "" {
			present[e.Command.Assign.PersonID] = false
		}
		changedAt = e.LoggedAt
	}
	if state.Job == nil {
		return t, nil
	}
	job, err := encode("a job", state.Job)
	if err != nil {
		return t, err
	}
	t.job = []jobRow{{Name: state.Job.Name, NextSeq: state.Seq + 1, ChangedAt: changedAt, State: job}}
	for _, room := range state.Rooms {
		row, err := newRoomRow(room)
		if err != nil {
			return t, err
		}
		t.rooms = append(t.rooms, row)
		t.photos = append(t.photos, photoRows(room.ID, "", room.Photos)...)
		if room.AssignedTo != "" {
			present[room.AssignedTo] = true
		}
	}
	for _, item := range state.Items {
		row, err := newItemRow(item, at[item.ID])
		if err != nil {
			return t, err
		}
		t.items = append(t.items, row)
		t.photos = append(t.photos, photoRows(item.RoomID, item.ID, item.Photos)...)
		if item.AssignedTo != "" {
			present[item.AssignedTo] = true
		}
		p := joblog.Scope{Company: company, Job: state.Job, Room: state.Rooms[item.RoomID], Item: item}.Project(at[item.ID])
		t.takes = append(t.takes, takeRows(item.ID, p.Takes)...)
		t.cuts = append(t.cuts, cutRows(item.ID, p.Cuts)...)
		t.stages = append(t.stages, stageRows(item.ID, p.Stages)...)
	}
	for _, wk := range state.Walks {
		row, err := newWalkRow(wk)
		if err != nil {
			return t, err
		}
		t.walks = append(t.walks, row)
	}
	for person, is := range present {
		t.people = append(t.people, jobPersonRow{PersonID: person, Present: is})
	}
	return t, nil
}

// settle compares each table and, unless it only checks, writes what differs: rows that
// others refer to are put first and deleted last.
func (w *work) settle(ctx context.Context, job string, want, got tables, check bool, rep *Report) error {
	put, remove := w.batch(), w.batch()
	err := errors.Join(
		settleTable(w, rep, put, remove, job, "jobs", upsertJobRow, "", want.job, got.job),
		settleTable(w, rep, put, remove, job, "rooms", upsertRooms, deleteRooms, want.rooms, got.rooms),
		settleTable(w, rep, put, remove, job, "items", upsertItems, deleteItems, want.items, got.items),
		settleTable(w, rep, put, remove, job, "takes", upsertTakes, deleteTakes, want.takes, got.takes),
		settleTable(w, rep, put, remove, job, "cuts", upsertCuts, deleteCuts, want.cuts, got.cuts),
		settleTable(w, rep, put, remove, job, "stages", upsertStages, deleteStages, want.stages, got.stages),
		settleTable(w, rep, put, remove, job, "job_people", upsertJobPeople, deleteJobPeople, want.people, got.people),
		settleTable(w, rep, put, remove, job, "walks", upsertWalks, deleteWalks, want.walks, got.walks),
		settleTable(w, rep, put, remove, job, "photos", upsertPhotos, withdrawPhotos, want.photos, got.photos),
	)
	if err != nil {
		return err
	}
	if check {
		return nil
	}
	for i := len(remove.QueuedQueries) - 1; i >= 0; i-- {
		put.QueuedQueries = append(put.QueuedQueries, remove.QueuedQueries[i])
	}
	if put.Len() == 0 {
		return nil
	}
	return w.send(ctx, put)
}

func settleTable[R row](w *work, rep *Report, put, remove *batch, job, table, upsertSQL, removeSQL string, want, got []R) error {
	c, err := differ(want, got)
	if err != nil {
		return err
	}
	note := func(key, want, got string) {
		rep.Differences = append(rep.Differences, Difference{CompanyID: w.company, JobID: job, Table: table, Key: key, Want: want, Got: got})
	}
	for _, r := range c.put {
		was, there := c.was[r.key()]
		wantText, gotText, err := columnsApart(r, was, there)
		if err != nil {
			return err
		}
		note(r.key(), wantText, gotText)
	}
	for _, r := range c.gone {
		text, err := encode("a row", r)
		if err != nil {
			return err
		}
		note(r.key(), nothing, string(text))
	}
	if err := queue(put, upsertSQL, "", w.company, job, change[R]{put: c.put}); err != nil {
		return err
	}
	if removeSQL == "" {
		return nil
	}
	return queue(remove, "", removeSQL, w.company, job, change[R]{gone: c.gone})
}

// columnsApart writes the columns in which two rows differ.
func columnsApart[R row](want, got R, there bool) (string, string, error) {
	wantRow, err := columnsOf(want)
	if err != nil {
		return "", "", err
	}
	gotRow, err := columnsOf(got)
	if err != nil {
		return "", "", err
	}
	wantApart, gotApart := map[string]any{}, map[string]any{}
	names := make([]string, 0, len(wantRow))
	for name := range wantRow {
		names = append(names, name)
	}
	sort.Strings(names)
	for _, name := range names {
		if !there || string(wantRow[name]) != string(gotRow[name]) {
			wantApart[name], gotApart[name] = wantRow[name], gotRow[name]
		}
	}
	wantText, err := encode("a difference", wantApart)
	if err != nil {
		return "", "", err
	}
	if !there {
		return string(wantText), nothing, nil
	}
	gotText, err := encode("a difference", gotApart)
	return string(wantText), string(gotText), err
}
