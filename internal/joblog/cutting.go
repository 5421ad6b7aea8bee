package joblog

import (
	"time"

	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// Cutting is an item as one who buys and saws for it sees it.
type Cutting struct {
	Item     *Item
	Room     *Room
	Rules    houserules.Rules
	Measured bool // the stage is done and nothing stands against it
	Pieces   []CuttingPiece
}

// CuttingPiece is one computed piece and where it stands.
type CuttingPiece struct {
	trim.Cut
	Stage  stage.Stage
	State  PieceState
	Record *PieceCut   // as cut, if it was
	Run    *trim.Piece // of a wall run: what it lies on
	Held   *finding.Finding
}

// CuttingOf works an item out for the saw. Held is the first stop against a piece's stage that
// is about more than the piece itself: to cut it as it stands would be a mistake.
func CuttingOf(s Scope, now time.Time) Cutting {
	a := assess(s, now)
	out := Cutting{Item: s.Item, Room: s.Room, Rules: a.rules, Measured: a.status(stage.Measured) == stage.Done}
	for _, c := range a.cuts.Cuts {
		p := CuttingPiece{Cut: c, Stage: cutStage(c)}
		p.State, p.Record = a.pieceState(c)
		if a.runCuts != nil {
			for i := range a.runCuts.Pieces {
				if a.runCuts.Pieces[i].Name == c.Piece {
					p.Run = &a.runCuts.Pieces[i]
				}
			}
		}
		for i := range a.findings {
			f := &a.findings[i]
			if f.Stage != string(p.Stage) || !f.Holds() || f.Wanted {
				continue
			}
			switch f.Code {
			case "piece_stale", "piece_long", "piece_short", "line_off_target", "line_uneven":
				continue
			}
			p.Held = f
			break
		}
		out.Pieces = append(out.Pieces, p)
	}
	return out
}

// JobItems lists the scopes of a job's items: rooms in the order they were added, each with its
// items in theirs.
func (st *State) JobItems(company houserules.Set) []Scope {
	var out []Scope
	items := itemsByRoom(st.Items)
	for _, room := range sortedRooms(st.Rooms) {
		for _, it := range items[room.ID] {
			out = append(out, Scope{Company: company, Job: st.Job, Room: room, Item: it})
		}
	}
	return out
}

// StockName names stock for a reader: "casing 2 3/4 × 11/16, Colonial".
func (r Reader) StockName(s Stock) string {
	return writer{catalog: Words(r.Language), style: r.Style}.stock(s)
}

// Saw says how one end of a piece is cut: "square", "miter 45°".
func (r Reader) Saw(e trim.End) string {
	return writer{catalog: Words(r.Language), style: r.Style}.saw(e)
}
