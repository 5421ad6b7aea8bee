package joblog

import (
	"longpoint/internal/houserules"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// State is a whole job: what a phone holds and what a rebuild makes.
type State struct {
	Job   *Job             `json:"job"`
	Rooms map[string]*Room `json:"rooms"`
	Items map[string]*Item `json:"items"`
	Walks map[string]*Walk `json:"walks,omitempty"`
	Seq   int64            `json:"seq" doc:"Last entry applied"`
}

// NewState returns the state before a job's first entry.
func NewState() *State {
	return &State{Rooms: map[string]*Room{}, Items: map[string]*Item{}, Walks: map[string]*Walk{}}
}

// Scope returns what a command is decided on. The item's own room wins over the command's.
func (st *State) Scope(company houserules.Set, c Command) Scope {
	s := Scope{Company: company, Job: st.Job, Room: st.Rooms[c.RoomID], Item: st.Items[c.ItemID], Walk: st.Walks[c.WalkID]}
	if s.Item != nil {
		s.Room = st.Rooms[s.Item.RoomID]
	}
	return s
}

// Apply folds one entry into the state and returns the scope it touched.
func (st *State) Apply(e Entry) Scope {
	s := st.Scope(nil, e.Command)
	s.Apply(e)
	st.Job = s.Job
	if s.Room != nil {
		st.Rooms[s.Room.ID] = s.Room
	}
	if s.Item != nil {
		st.Items[s.Item.ID] = s.Item
	}
	if s.Walk != nil {
		if st.Walks == nil {
			st.Walks = map[string]*Walk{}
		}
		st.Walks[s.Walk.ID] = s.Walk
	}
	st.Seq = e.Seq
	return s
}

// Apply folds one entry into the scope. It makes what the entry creates, changes what it
// is about in place, and ignores a kind or body it does not know, so that an old program
// reads a newer log.
func (s *Scope) Apply(e Entry) {
	c := e.Command
	switch {
	case c.CreateJob != nil:
		b := c.CreateJob
		s.Job = &Job{ID: c.JobID, Name: b.Name, Address: b.Address, Unit: b.Unit, HouseYear: b.HouseYear}
	case c.AddRoom != nil:
		s.Room = &Room{ID: c.RoomID, Name: c.AddRoom.Name, Level: c.AddRoom.Level, AddedSeq: e.Seq}
	case c.AddItem != nil:
		s.Item = &Item{ID: c.ItemID, RoomID: c.RoomID, Name: c.AddItem.Name, AddedSeq: e.Seq, Spec: c.AddItem.Spec}
	case aboutWalk(c.Kind):
		s.applyWalk(e)
	case c.SetRules != nil:
		s.setRules(c.SetRules.Set)
	case c.SetProduct != nil && s.Job != nil:
		s.Job.setProduct(*c.SetProduct, e.Seq)
	case c.SetClimate != nil && s.Room != nil:
		s.Room.Climate = c.SetClimate.Climate
	case c.SetClimate != nil && s.Job != nil:
		s.Job.Climate = c.SetClimate.Climate
	case s.Job != nil && c.ofJob():
		s.Job.applySticks(e)
	case c.Assign != nil && s.Item == nil && s.Room != nil:
		s.Room.AssignedTo = c.Assign.PersonID
	case s.Item == nil && s.Room != nil:
		s.Room.applyPhotos(e)
		s.Room.applyWalls(e)
	}
	if c.AddPhoto != nil && s.Walk != nil {
		s.Walk.Photos = append(s.Walk.Photos, c.AddPhoto.PhotoID)
	}
	if s.Item != nil {
		var takes []string
		if c.CutPieces != nil || c.SawPart != nil && c.SawPart.Computed > 0 {
			takes = s.currentTakeIDs()
		}
		s.Item.apply(e, takes)
		if c.AddItem != nil || c.SetItem != nil {
			s.Item.OnWalls = nil
			if keys := s.layout().Keys; keys != nil && s.Item.Run != nil {
				s.Item.OnWalls = keys.Now
			}
		}
		s.Item.ThroughSeq = e.Seq
	}
}

func (s *Scope) setRules(set houserules.Set) {
	switch {
	case s.Item != nil:
		s.Item.Rules = set
	case s.Room != nil:
		s.Room.Rules = set
	case s.Job != nil:
		s.Job.Rules = set
	}
}

// apply folds an entry about the item; takes are those its cuts come from.
func (it *Item) apply(e Entry, takes []string) {
	c := e.Command
	stamp := Stamp{CommandID: c.ID, Seq: e.Seq, PersonID: e.PersonID, At: e.DidAt}
	switch {
	case c.SetItem != nil:
		it.Name, it.Spec = c.SetItem.Name, c.SetItem.Spec
	case c.Assign != nil:
		it.AssignedTo = c.Assign.PersonID
	case c.TakeReading != nil:
		b := c.TakeReading
		it.Takes = append(it.Takes, Take{Stamp: stamp, Reading: b.Reading, Value: b.Value, Tool: b.Tool})
	case c.ChooseTake != nil:
		if it.Chosen == nil {
			it.Chosen = map[string]Choice{}
		}
		it.Chosen[c.ChooseTake.Reading] = Choice{TakeID: c.ChooseTake.TakeID, Seq: e.Seq}
	case c.CutPieces != nil:
		it.cutPieces(c.CutPieces.Pieces, takes, stamp, e.RuleBook)
		if id := c.CutPieces.StickID; id != "" {
			for _, p := range c.CutPieces.Pieces {
				it.Sawn = append(it.Sawn, Sawn{stamp, SawPart{StickID: id, Piece: p.Piece, AsCut: p.AsCut}})
			}
		}
	case c.SawPart != nil:
		it.Sawn = append(it.Sawn, Sawn{stamp, *c.SawPart})
		it.joinParts(*c.SawPart, takes, stamp, e.RuleBook)
	case c.ReadGap != nil:
		it.readGap(GapRead{stamp, *c.ReadGap})
	case c.AnswerCheck != nil:
		it.answerCheck(CheckAnswer{stamp, *c.AnswerCheck})
	case c.LogFasteners != nil:
		it.Fasteners = append(it.Fasteners, FastenerEntry{stamp, c.LogFasteners.Fastener, c.LogFasteners.ProductID})
		for at := len(it.Fasteners) - 1; at > 0 && stamp.before(it.Fasteners[at-1].Stamp); at-- {
			it.Fasteners[at-1], it.Fasteners[at] = it.Fasteners[at], it.Fasteners[at-1]
		}
	case c.TreatHoles != nil:
		it.treat(TreatmentEntry{Stamp: stamp, TreatHoles: *c.TreatHoles})
	case c.Sand != nil:
		it.sand(SandEntry{stamp, *c.Sand})
	case c.LogGap != nil:
		it.WallGaps = append(it.WallGaps, WallGapEntry{stamp, c.LogGap.Gap, c.LogGap.Used})
		for at := len(it.WallGaps) - 1; at > 0 && stamp.before(it.WallGaps[at-1].Stamp); at-- {
			it.WallGaps[at-1], it.WallGaps[at] = it.WallGaps[at], it.WallGaps[at-1]
		}
	case c.LogCoat != nil:
		it.coat(CoatEntry{stamp, *c.LogCoat})
	case c.Withdraw != nil:
		it.withdraw(c.Withdraw.CommandID)
		it.sandedAndCoated()
	case c.TickStage != nil:
		it.mark(c.TickStage.Stage, StageMark{Stamp: stamp})
	case c.ReopenStage != nil:
		it.reopen(c.ReopenStage.Stage, c.ReopenStage.Reason, stamp)
	case c.PassStop != nil:
		it.Passes = append(it.Passes, Pass{stamp, *c.PassStop})
	case c.AddPhoto != nil:
		it.Photos = append(it.Photos, PhotoEntry{stamp, *c.AddPhoto})
	case c.RemoveItem != nil:
		it.Removed = &Removal{stamp, c.RemoveItem.Reason}
	case c.RestoreItem != nil:
		it.Removed = nil
	}
}

func (it *Item) mark(s stage.Stage, m StageMark) {
	if it.Stages == nil {
		it.Stages = map[stage.Stage]StageMark{}
	}
	it.Stages[s] = m
}

// reopen marks the stage and every done stage that rests on it as work to do again. One that
// was reopened for itself stays so: what was wrong with it is not mended yet.
func (it *Item) reopen(s stage.Stage, reason string, by Stamp) {
	for _, x := range append([]stage.Stage{s}, stage.After(stage.All(), s)...) {
		m, ok := it.Stages[x]
		if !ok || m.Redone && m.For == x {
			continue
		}
		m.Redone, m.Reason, m.Reopened, m.For = true, reason, &by, s
		it.Stages[x] = m
	}
}

// StageList returns the stages this item passes.
func (it *Item) StageList() []stage.Stage {
	u := it.Unit
	return stage.For(stage.Work{Kind: u.Kind, Grade: u.Grade, Jambs: u.JambThickness > 0,
		Cased: it.CasingA != nil || it.CasingB != nil || u.Kind == trim.Window && u.ExtensionJambs})
}

// What is done to an item is kept in the order it was done, whatever the order it arrives in:
// a phone that was away delivers late, and its work reads as it would have read at once.

// before reports whether s was done before t; of two at the same moment, the id decides.
func (s Stamp) before(t Stamp) bool {
	return s.At.Before(t.At) || s.At.Equal(t.At) && s.CommandID < t.CommandID
}

// supersedes reports whether s counts in place of t. One person's entries arrive in the order
// they made them, even when the phone's clock was set between; other people's go by time.
func (s Stamp) supersedes(t Stamp) bool { return s.PersonID == t.PersonID || t.before(s) }

func (it *Item) treat(t TreatmentEntry) {
	it.Treatments = append(it.Treatments, t)
	for at := len(it.Treatments) - 1; at > 0 && t.before(it.Treatments[at-1].Stamp); at-- {
		it.Treatments[at-1], it.Treatments[at] = it.Treatments[at], it.Treatments[at-1]
	}
	it.sandedAndCoated()
}

func (it *Item) sand(s SandEntry) {
	it.Sandings = append(it.Sandings, s)
	for at := len(it.Sandings) - 1; at > 0 && s.before(it.Sandings[at-1].Stamp); at-- {
		it.Sandings[at-1], it.Sandings[at] = it.Sandings[at], it.Sandings[at-1]
	}
	it.sandedAndCoated()
}

func (it *Item) coat(c CoatEntry) {
	it.Coats = append(it.Coats, c)
	for at := len(it.Coats) - 1; at > 0 && c.before(it.Coats[at-1].Stamp); at-- {
		it.Coats[at-1], it.Coats[at] = it.Coats[at], it.Coats[at-1]
	}
	it.sandedAndCoated()
}

// sandedAndCoated works out of every treatment when it was last sanded since, and whether a
// coat went on before it. The list is made anew, so that a view made before keeps its own.
func (it *Item) sandedAndCoated() {
	if len(it.Treatments) == 0 {
		return
	}
	list := append([]TreatmentEntry(nil), it.Treatments...)
	for i := range list {
		t := &list[i]
		t.SandedAt = nil
		t.AfterFirstCoat = len(it.Coats) > 0 && it.Coats[0].before(t.Stamp)
		for _, s := range it.Sandings {
			if s.Kind == t.Kind && t.before(s.Stamp) {
				at := s.At
				t.SandedAt = &at
			}
		}
	}
	it.Treatments = list
}

// Of pieces, gaps and checks the latest counts: it takes the place of the one before.

func (it *Item) cutPieces(pieces []CutPiece, takes []string, stamp Stamp, ruleBook string) {
	for _, p := range pieces {
		cut := PieceCut{Stamp: stamp, CutPiece: p, Takes: takes, RuleBook: ruleBook}
		if at := it.pieceAt(p.Piece); at >= 0 {
			if stamp.supersedes(it.Pieces[at].Stamp) {
				it.Pieces[at] = cut
			}
		} else {
			it.Pieces = append(it.Pieces, cut)
		}
	}
}

func (it *Item) pieceAt(piece string) int {
	for i := range it.Pieces {
		if it.Pieces[i].Piece == piece {
			return i
		}
	}
	return -1
}

func (it *Item) readGap(g GapRead) {
	for i := range it.Gaps {
		if it.Gaps[i].Line == g.Line {
			if g.supersedes(it.Gaps[i].Stamp) {
				it.Gaps[i] = g
			}
			return
		}
	}
	it.Gaps = append(it.Gaps, g)
}

func (it *Item) answerCheck(a CheckAnswer) {
	for i := range it.Checks {
		if it.Checks[i].Check == a.Check {
			if a.supersedes(it.Checks[i].Stamp) {
				it.Checks[i] = a
			}
			return
		}
	}
	it.Checks = append(it.Checks, a)
}

// ReachesOthers reports whether the command changes what follows for items it does not
// name: house rules, climate and products of a room or job, and the walls of a room with their readings.
func (c Command) ReachesOthers() bool {
	if c.ItemID != "" {
		return false
	}
	return c.SetRules != nil || c.SetProduct != nil || c.SetClimate != nil || c.SetWalls != nil || c.TakeReading != nil || c.ChooseTake != nil || c.Withdraw != nil && c.RoomID != ""
}

// Touched lists the items whose projection an entry may change: its own item, or every
// item of the room or job whose house rules it sets, or every run along the walls it is about. The order is the order of adding.
func (st *State) Touched(e Entry) []*Item {
	c := e.Command
	if it := st.Items[c.ItemID]; it != nil {
		return []*Item{it}
	}
	if !c.ReachesOthers() {
		return nil
	}
	var out []*Item
	items := itemsByRoom(st.Items)
	for _, room := range sortedRooms(st.Rooms) {
		if c.RoomID == "" || c.RoomID == room.ID {
			out = append(out, items[room.ID]...)
		}
	}
	return out
}
