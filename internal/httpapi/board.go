package httpapi

import (
	"bytes"
	"context"
	"encoding/json"
	"maps"
	"net/http"
	"reflect"
	"slices"
	"sync"
	"time"
	"weak"

	"github.com/danielgtaylor/huma/v2"
	lru "github.com/hashicorp/golang-lru/v2/simplelru"

	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
)

// mostOfBoards is how many bytes of boards a node keeps as they were sent. A board of 300
// items in 40 rooms is about 1.1 MB for each language and unit it is read in.
const mostOfBoards = 64 << 20

// boards keeps the rooms of boards as they were last sent, as JSON and compressed. Little of a
// large job changes between two looks at its board, and a room costs more to work out and to
// write than all else. A room is sent again only where what it is made of is the same: the very
// job, room and items (the Store shares what did not change), equal house rules, the same
// reader; and where the rule book says that the clock has not made it another.
type boards struct {
	mu   sync.Mutex
	kept *lru.LRU[boardKey, *board]
	size int
	most int
}

// boardKey is whose board it is, and for whom: what may be seen of a job is all of it.
type boardKey struct {
	company, job, language string
	style                  length.Style
}

// board is one job's board as it was sent. It is not changed once it is kept.
type board struct {
	job   weak.Pointer[joblog.Job]
	rules houserules.Set
	rooms map[string]*boardRoom
	size  int
}

// boardRoom is a room's part as it was sent. It keeps neither the room nor its items from being
// forgotten: a pointer to another is never equal.
type boardRoom struct {
	room        weak.Pointer[joblog.Room]
	items       []weak.Pointer[joblog.Item]
	first       bool // of the board: no comma stands before it
	from, until time.Time
	turn        joblog.Turn
	sent        piece
}

func newBoards(most int) *boards {
	kept, err := lru.NewLRU[boardKey, *board](1<<20, nil) // size bounds it, not number
	if err != nil {
		panic(err) // the number is above zero
	}
	return &boards{kept: kept, most: most}
}

func newBoardRoom(of joblog.BoardRoom, first bool) *boardRoom {
	b := &boardRoom{room: weak.Make(of.Room), items: make([]weak.Pointer[joblog.Item], len(of.Items)), first: first}
	for i, it := range of.Items {
		b.items[i] = weak.Make(it)
	}
	return b
}

// serves reports whether a part that was sent is what would be sent now for room.
func (b *boardRoom) serves(room *boardRoom, now time.Time) bool {
	return b != nil && b.room == room.room && b.first == room.first && slices.Equal(b.items, room.items) &&
		!now.Before(b.from) && (b.until.IsZero() || now.Before(b.until))
}

// view is a job's board, written as joblog.ViewJob's is, in pieces.
func (b *boards) view(company string, st *joblog.State, rules houserules.Set, r joblog.Reader) ([]piece, error) {
	key := boardKey{company, st.Job.ID, r.Language, r.Style}
	had := b.get(key)
	if had == nil || had.job != weak.Make(st.Job) || !maps.Equal(had.rules, rules) {
		had = &board{}
	}
	var (
		laid  = joblog.NewBoard(st, rules, r)
		now   = &board{job: weak.Make(st.Job), rules: rules, rooms: make(map[string]*boardRoom, len(laid.Rooms))}
		rooms = make([]*boardRoom, len(laid.Rooms))
		anew  []int
	)
	for i, of := range laid.Rooms {
		rooms[i] = newBoardRoom(of, i == 0)
		if kept := had.rooms[of.Room.ID]; kept.serves(rooms[i], r.Now) {
			rooms[i] = kept
		} else {
			anew = append(anew, i)
		}
		now.rooms[of.Room.ID] = rooms[i]
	}
	errs := make([]error, len(rooms))
	laid.View(anew, func(i int, p joblog.RoomPart) {
		room := rooms[i]
		room.from, room.until, room.turn = r.Now, p.Until, p.Turn
		room.sent, errs[i] = roomPiece(p.View, room.first)
	})
	turns, sent := make([]joblog.Turn, len(rooms)), make([]piece, 0, len(rooms)+2)
	for i, room := range rooms {
		if errs[i] != nil {
			return nil, errs[i]
		}
		turns[i], now.size = room.turn, now.size+room.sent.size()
		sent = append(sent, room.sent)
	}
	b.keep(key, now)
	head, tail, err := aroundRooms(laid.Heading(), joblog.First(turns))
	if err != nil {
		return nil, err
	}
	return append(append([]piece{head}, sent...), tail), nil
}

func (b *boards) get(key boardKey) *board {
	b.mu.Lock()
	defer b.mu.Unlock()
	kept, _ := b.kept.Get(key)
	return kept
}

// keep keeps a board, and lets go of those not looked at for longest.
func (b *boards) keep(key boardKey, now *board) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if old, ok := b.kept.Peek(key); ok {
		b.size -= old.size
	}
	b.kept.Add(key, now)
	b.size += now.size
	for b.size > b.most {
		_, old, ok := b.kept.RemoveOldest()
		if !ok {
			break
		}
		b.size -= old.size
	}
}

func roomPiece(v joblog.RoomView, first bool) (piece, error) {
	var text bytes.Buffer
	if !first {
		text.WriteByte(',')
	}
	if err := asJSON(&text, v); err != nil {
		return piece{}, err
	}
	return newPiece(bytes.TrimSuffix(text.Bytes(), []byte{'\n'})), nil
}

// aroundRooms is what stands before and after the rooms of a board. No string that anybody
// wrote can look like the rooms' name: its quotes are escaped.
func aroundRooms(v joblog.JobView, next *joblog.ItemNext) (head, tail piece, err error) {
	v.Rooms, v.Next = []joblog.RoomView{}, next
	var text bytes.Buffer
	if err := asJSON(&text, v); err != nil {
		return piece{}, piece{}, err
	}
	name := []byte(`"rooms":[`)
	at := bytes.LastIndex(text.Bytes(), name) + len(name)
	return newPiece(text.Bytes()[:at]), newPiece(text.Bytes()[at:]), nil
}

// asJSON writes as the other answers are written.
func asJSON(text *bytes.Buffer, v any) error {
	enc := json.NewEncoder(text)
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}

func (s *Server) registerBoard() {
	op := operation("get-job", http.MethodGet, "/jobs/{job}", "A job's board: rooms, openings and their stages")
	op.Responses = map[string]*huma.Response{"200": {Description: "OK", Content: map[string]*huma.MediaType{
		"application/json": {Schema: s.api.OpenAPI().Components.Schemas.Schema(reflect.TypeFor[joblog.JobView](), true, "JobView")}}}}
	add(s, op, s.job)
}

func (s *Server) job(ctx context.Context, in *jobInput) (*huma.StreamResponse, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	state, rules, err := s.cfg.Store.Job(ctx, v, in.Job)
	if err != nil {
		return nil, err
	}
	sent, err := s.boards.view(v.CompanyID, state, rules, s.reader(ctx, in.ReaderParams))
	if err != nil {
		return nil, err
	}
	return &huma.StreamResponse{Body: func(c huma.Context) { answerInPieces(c, sent) }}, nil
}
