package schedule

import (
	"strconv"

	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/joblog"
)

// State is where a row stands.
type State string

// The states of a row.
const (
	New   State = "new"   // it will be added
	There State = "there" // its room has an opening of that name: left as it is
	Bad   State = "bad"   // nothing is imported while there is one
)

// Planned is a row with what becomes of it.
type Planned struct {
	Row
	State State
	// Commands are the places in the plan's commands that this row brings about.
	Commands []int
}

// Plan is what an import would do to a job.
type Plan struct {
	Rows     []Planned
	Commands []joblog.Command // without ids of their own; see Mint
	NewRooms int
	NewItems int
}

// Mint gives the id of a thing of the import by what it is, the same each time it is asked.
type Mint func(what string) string

// roomKey tells rooms apart: two of one name on two levels are two rooms.
type roomKey struct {
	name  string
	level finish.Level
}

// PlanRows lays rows against a job as it stands: which rooms and openings are new, which are
// there, and which rows contradict one another. It asks no rule of the trade; the commands are
// decided like any other.
func PlanRows(rows []Row, st *joblog.State, job string, mint Mint) Plan {
	p := planner{plan: Plan{}, job: job, mint: mint, rooms: map[roomKey]string{}, names: map[string]roomKey{}, line: map[string]int{}}
	for _, r := range st.Rooms {
		key := roomKey{plain(r.Name), r.Level}
		p.rooms[key] = r.ID
		if old, ok := p.names[key.name]; !ok || r.AddedSeq < st.Rooms[p.rooms[old]].AddedSeq {
			p.names[key.name] = key
		}
	}
	there := map[string]bool{}
	for _, it := range st.Items {
		if it.Removed == nil {
			there[it.RoomID+" "+plain(it.Name)] = true
		}
	}
	for _, r := range rows {
		p.row(r, there)
	}
	return p.plan
}

type planner struct {
	plan  Plan
	job   string
	mint  Mint
	rooms map[roomKey]string
	names map[string]roomKey // the room a bare name means
	line  map[string]int     // line of an opening met before
	last  finish.Level
}

func (p *planner) row(r Row, there map[string]bool) {
	row := Planned{Row: r, State: New}
	if len(r.Problems) > 0 {
		row.State = Bad
		p.plan.Rows = append(p.plan.Rows, row)
		return
	}
	room := p.room(&row)
	for n := range r.Count {
		name := r.Name
		if r.Count > 1 {
			name += " " + strconv.Itoa(n+1)
		}
		key := room + " " + plain(name)
		if line, twice := p.line[key]; twice {
			row.Problems = append(row.Problems, finding.New("row_twice", finding.Stop).At("mark").Text("name", clip(name)).Text("room", clip(r.Room)).Num("line", int64(line)))
			row.State = Bad
			break
		}
		p.line[key] = r.Line
		if there[key] {
			if len(row.Commands) == 0 {
				row.State = There
			}
			continue
		}
		row.State = New
		p.item(&row, room, name)
	}
	p.plan.Rows = append(p.plan.Rows, row)
}

// room finds the room a row names, or adds it. Where no level is said it is the room's own of
// that name, else that of the row before.
func (p *planner) room(row *Planned) string {
	name := plain(row.Room)
	key := roomKey{name, row.Level}
	if row.Level == "" {
		if known, ok := p.names[name]; ok {
			key = known
		} else if key.level = p.last; key.level == "" {
			key.level = finish.Ground
		}
	}
	p.last = key.level
	if id, ok := p.rooms[key]; ok {
		return id
	}
	id := p.mint("room " + name + " " + string(key.level))
	p.rooms[key] = id
	if _, ok := p.names[name]; !ok {
		p.names[name] = key
	}
	p.plan.NewRooms++
	p.add(row, joblog.Command{Kind: joblog.AddRoomKind, RoomID: id, AddRoom: &joblog.AddRoom{Name: row.Room, Level: key.level}})
	return id
}

func (p *planner) item(row *Planned, room, name string) {
	id := p.mint("item " + room + " " + plain(name))
	p.plan.NewItems++
	p.add(row, joblog.Command{Kind: joblog.AddItemKind, RoomID: room, ItemID: id, AddItem: &joblog.AddItem{Name: name, Spec: row.Spec}})
	if row.Note != "" {
		p.add(row, joblog.Command{Kind: joblog.NoteKind, ItemID: id, Note: &joblog.Note{Text: row.Note}})
	}
}

func (p *planner) add(row *Planned, c joblog.Command) {
	row.Commands = append(row.Commands, len(p.plan.Commands))
	c.ID, c.Version, c.JobID = p.mint("command "+strconv.Itoa(len(p.plan.Commands))), joblog.CommandVersion, p.job
	p.plan.Commands = append(p.plan.Commands, c)
}
