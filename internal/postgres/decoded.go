package postgres

import (
	"bytes"

	lru "github.com/hashicorp/golang-lru/v2"
	"github.com/jackc/pgx/v5"

	"longpoint/internal/joblog"
)

// jobsDecoded is how many jobs a node keeps decoded. A job of 300 items is about 3 MB of
// them; a crew's leads look at few jobs at a time.
const jobsDecoded = 24

// decoded holds jobs as they were last read, because reading 300 items from JSON takes
// longer than all else a board needs. It answers nothing by itself: each read asks the
// database, under its policies, which rooms and items there are and by which transaction each
// was last written, and only a state written by that one is used again. So it cannot be
// behind, whichever node or program wrote.
//
// What is used again is the same by its pointer too: who has made something of a room or an
// item, and is given the same pointer, would make the same again.
type decoded struct {
	jobs *lru.Cache[jobKey, *decodedJob]
}

type jobKey struct{ company, job string }

// decodedJob is one job as it was read. It is not changed once it is kept.
type decodedJob struct {
	text  []byte // of the job's own state
	job   *joblog.Job
	rooms versions[joblog.Room]
	items versions[joblog.Item]
}

// versions are rows by id, each with the transaction that wrote it, as PostgreSQL writes it.
type versions[T any] map[string]version[T]

type version[T any] struct {
	state *T
	xmin  string
}

func newDecoded() *decoded {
	jobs, err := lru.New[jobKey, *decodedJob](jobsDecoded)
	if err != nil {
		panic(err) // the size is a constant above zero
	}
	return &decoded{jobs}
}

// roomsOfBoard gives each room's writer, and its state where the reader does not have it.
const roomsOfBoard = `
	select
		rooms.room_id,
		rooms.xmin::text,
		case when held.xmin is null then rooms.state end
	from rooms
	left join unnest(@held_rooms::uuid[], @held_room_xmins::text[]) as held (room_id, xmin)
		on held.room_id = rooms.room_id
		and held.xmin = rooms.xmin::text
	where rooms.company_id = @company
		and rooms.job_id = @job`

// itemsOfBoard is roomsOfBoard for items.
const itemsOfBoard = `
	select
		items.item_id,
		items.xmin::text,
		case when held.xmin is null then items.state end
	from items
	left join unnest(@held_items::uuid[], @held_xmins::text[]) as held (item_id, xmin)
		on held.item_id = items.item_id
		and held.xmin = items.xmin::text
	where items.company_id = @company
		and items.job_id = @job`

// read is one reading of a job: what was held before it and what it found.
type read struct {
	cache *decoded
	key   jobKey
	held  *decodedJob
	found *decodedJob
}

func (d *decoded) read(company, job string) *read {
	r := &read{cache: d, key: jobKey{company, job}, found: &decodedJob{rooms: versions[joblog.Room]{}, items: versions[joblog.Item]{}}}
	var had bool
	if r.held, had = d.jobs.Get(r.key); !had {
		r.held = &decodedJob{}
	}
	return r
}

// name adds what is held to the statements' arguments.
func (r *read) name(args pgx.NamedArgs) {
	args["held_rooms"], args["held_room_xmins"] = r.held.rooms.list()
	args["held_items"], args["held_xmins"] = r.held.items.list()
}

func (v versions[T]) list() (ids, xmins []string) {
	ids, xmins = make([]string, 0, len(v)), make([]string, 0, len(v))
	for id, x := range v {
		ids, xmins = append(ids, id), append(xmins, x.xmin)
	}
	return ids, xmins
}

func (r *read) room(rows pgx.CollectableRow) (*joblog.Room, error) {
	return r.found.rooms.scan("a room", r.held.rooms, rows)
}

func (r *read) item(rows pgx.CollectableRow) (*joblog.Item, error) {
	return r.found.items.scan("an item", r.held.items, rows)
}

// scan takes a state from the database's row, or as it is held where the row says so.
func (v versions[T]) scan(what string, held versions[T], rows pgx.CollectableRow) (*T, error) {
	var (
		id, xmin string
		state    []byte
	)
	if err := rows.Scan(&id, &xmin, &state); err != nil {
		return nil, err
	}
	x := held[id]
	if state != nil {
		x = version[T]{xmin: xmin}
		if err := decode(what, state, &x.state); err != nil {
			return nil, err
		}
	}
	v[id] = x
	return x.state, nil
}

// job takes the job's own state. Its row is written with every entry, so that the text decides.
func (r *read) job(state []byte) (*joblog.Job, error) {
	r.found.text, r.found.job = state, r.held.job
	if r.held.job == nil || !bytes.Equal(state, r.held.text) {
		r.found.job = nil
		if err := decode("a job", state, &r.found.job); err != nil {
			return nil, err
		}
	}
	return r.found.job, nil
}

// keep is for a reading that has ended well.
func (r *read) keep() { r.cache.jobs.Add(r.key, r.found) }
