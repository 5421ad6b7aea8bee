package postgres

import (
	lru "github.com/hashicorp/golang-lru/v2"
	"github.com/jackc/pgx/v5"

	"longpoint/internal/joblog"
)

// jobsDecoded is how many jobs' items a node keeps decoded. A job of 300 items is about
// 3 MB of them; a crew's leads look at few jobs at a time.
const jobsDecoded = 24

// decoded holds items as they were last read, because reading 300 of them from JSON takes
// longer than all else a board needs. It answers nothing by itself: each read asks the
// database, under its policies, which items there are and by which transaction each was
// last written, and only a state written by that one is used again. So it cannot be behind,
// whichever node or program wrote.
type decoded struct {
	jobs *lru.Cache[jobKey, map[string]itemVersion]
}

type jobKey struct{ company, job string }

// itemVersion is an item's state and the transaction that wrote its row, as PostgreSQL writes it.
type itemVersion struct {
	item *joblog.Item
	xmin string
}

func newDecoded() *decoded {
	jobs, err := lru.New[jobKey, map[string]itemVersion](jobsDecoded)
	if err != nil {
		panic(err) // the size is a constant above zero
	}
	return &decoded{jobs}
}

// itemsOfBoard gives each item's writer, and its state where the reader does not have it.
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

// read is one reading of a job's items: what was held before it and what it found.
type read struct {
	cache *decoded
	key   jobKey
	held  map[string]itemVersion
	found map[string]itemVersion
}

func (d *decoded) read(company, job string) *read {
	r := &read{cache: d, key: jobKey{company, job}, found: map[string]itemVersion{}}
	r.held, _ = d.jobs.Get(r.key)
	return r
}

// name adds what is held to a statement's arguments.
func (r *read) name(args pgx.NamedArgs) {
	ids, xmins := make([]string, 0, len(r.held)), make([]string, 0, len(r.held))
	for id, v := range r.held {
		ids, xmins = append(ids, id), append(xmins, v.xmin)
	}
	args["held_items"], args["held_xmins"] = ids, xmins
}

// scan takes an item from the database's row, or as it is held where the row says so.
func (r *read) scan(rows pgx.CollectableRow) (*joblog.Item, error) {
	var (
		id, xmin string
		state    []byte
	)
	if err := rows.Scan(&id, &xmin, &state); err != nil {
		return nil, err
	}
	v := r.held[id]
	if state != nil {
		v = itemVersion{xmin: xmin}
		if err := decode("an item", state, &v.item); err != nil {
			return nil, err
		}
	}
	r.found[id] = v
	return v.item, nil
}

// keep is for a reading that has ended well.
func (r *read) keep() { r.cache.jobs.Add(r.key, r.found) }
