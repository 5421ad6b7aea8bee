package joblog

import (
	"time"

	"longpoint/internal/drawing"
	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
	"longpoint/internal/walk"
)

// WalkState is where a whole walkthrough stands.
type WalkState string

// The states of a walkthrough: Going on, Over for the homeowner, and Sealed by a signature.
const (
	WalkGoing  WalkState = "going"
	WalkOver   WalkState = "over"
	WalkSealed WalkState = "sealed"
)

// WalkView is a walkthrough as one side of it is shown: the homeowner sees their own words
// and what is answered, and nothing of how the crew works.
type WalkView struct {
	ID        string         `json:"id" format:"uuid"`
	JobID     string         `json:"job_id" format:"uuid"`
	JobName   string         `json:"job_name"`
	Address   string         `json:"address,omitempty"`
	State     WalkState      `json:"state" enum:"going,over,sealed"`
	ExpiresAt time.Time      `json:"expires_at"`
	Rooms     []WalkRoomView `json:"rooms"`
	Open      []string       `json:"open" doc:"Remarks that are not settled, of all rooms"`
	Signed    *SignView      `json:"signed,omitempty" doc:"The signature under the whole"`
	SealSeq   int64          `json:"seal_seq,omitempty" doc:"Last log number the seal covers"`
}

// WalkRoomView is one room of a walkthrough.
type WalkRoomView struct {
	ID         string         `json:"id" format:"uuid"`
	Name       string         `json:"name"`
	LevelLabel string         `json:"level_label"`
	Items      []WalkItemView `json:"items"`
	Remarks    []RemarkView   `json:"remarks"`
	Open       []string       `json:"open"`
	Signed     *SignView      `json:"signed,omitempty"`
	// Plan is the room from above with its items to be touched, once its walls are laid out.
	Plan *drawing.Drawing `json:"plan,omitempty"`
}

// WalkItemView is an opening or run as the homeowner is shown it.
type WalkItemView struct {
	ID          string          `json:"id" format:"uuid"`
	Name        string          `json:"name"`
	KindLabel   string          `json:"kind_label"`
	Place       string          `json:"place,omitempty" doc:"Where it stands among the others of its room; none where the walls do not tell"`
	Suggestions []AboutView     `json:"suggestions" doc:"What may be wrong with it, in plain words"`
	Drawing     drawing.Drawing `json:"drawing"`
	// Finished says that every stage is done: nothing is looked at before its time.
	Finished bool `json:"finished"`
}

// AboutView is one suggestion in words.
type AboutView struct {
	About walk.About `json:"about" enum:"nail_hole,dent,crack,wall_gap,open_joint,loose,rubs,latch,uneven_gap,paint,other"`
	Label string     `json:"label"`
}

// RemarkView is a remark in words, with what the reader's side may do about it.
type RemarkView struct {
	ID         string      `json:"id" format:"uuid"`
	RoomID     string      `json:"room_id" format:"uuid"`
	ItemID     string      `json:"item_id,omitempty" format:"uuid"`
	ItemName   string      `json:"item_name,omitempty"`
	About      walk.About  `json:"about"`
	Sentence   string      `json:"sentence"`
	Text       string      `json:"text,omitempty" doc:"The homeowner's own words"`
	Spot       *Spot       `json:"spot,omitempty"`
	Photos     []string    `json:"photos,omitempty"`
	Marks      []Spot      `json:"marks,omitempty" doc:"Places on those photos"`
	At         time.Time   `json:"at"`
	State      walk.State  `json:"state" enum:"said,asked,agreed,declined,fixed,accepted,let_be,taken_back"`
	StateLabel string      `json:"state_label"`
	Settled    bool        `json:"settled"`
	Stage      stage.Stage `json:"stage,omitempty" doc:"The stage to do again; before it is agreed, the one the trouble belongs to"`
	AssignedTo string      `json:"assigned_to,omitempty"`
	Day        string      `json:"day,omitempty"`
	Acts       []ActView   `json:"acts,omitempty" doc:"What the reader's side may do"`
	Moves      []MoveView  `json:"moves,omitempty" doc:"What has been done about it, oldest first"`
}

// ActView is an act offered.
type ActView struct {
	Act        walk.Act `json:"act" enum:"ask,agree,decline,fix,reply,accept,still_there,insist,take_back"`
	Label      string   `json:"label"`
	NeedsWords bool     `json:"needs_words,omitempty"`
}

// MoveView is an act done, in words.
type MoveView struct {
	Act      walk.Act  `json:"act"`
	Side     walk.Side `json:"side" enum:"homeowner,lead,crew"`
	Sentence string    `json:"sentence"`
	Photos   []string  `json:"photos,omitempty"`
	PersonID string    `json:"person_id,omitempty" doc:"Not told to the homeowner"`
	At       time.Time `json:"at"`
}

// SignView is a signature.
type SignView struct {
	Name    string    `json:"name"`
	Strokes string    `json:"strokes"`
	At      time.Time `json:"at"`
	Open    []string  `json:"open,omitempty" doc:"Remarks open by agreement"`
}

// ViewWalk makes a walkthrough as the side of this role sees it. Nil when the job has no such
// walk.
func ViewWalk(st *State, id string, role Role, company houserules.Set, r Reader) *WalkView {
	wk := st.Walks[id]
	if wk == nil || st.Job == nil {
		return nil
	}
	w := writer{catalog: Words(r.Language), style: r.Style}
	side := role.side()
	v := &WalkView{ID: wk.ID, JobID: st.Job.ID, JobName: st.Job.Name, Address: st.Job.Address, State: wk.state(r.Now),
		ExpiresAt: wk.ExpiresAt, Rooms: []WalkRoomView{}, Open: append([]string{}, wk.OpenIn("")...)}
	if s := wk.signed(""); s != nil {
		v.Signed = signView(s)
	}
	if wk.Sealed != nil {
		v.SealSeq = wk.Sealed.Seq
	}
	items := itemsByRoom(st.Items)
	for _, room := range sortedRooms(st.Rooms) {
		if !wk.goesThrough(room.ID) {
			continue
		}
		rv := WalkRoomView{ID: room.ID, Name: room.Name, LevelLabel: w.term("level_" + string(room.Level)),
			Items: []WalkItemView{}, Remarks: []RemarkView{}, Open: append([]string{}, wk.OpenIn(room.ID)...)}
		for _, it := range items[room.ID] {
			s := Scope{Company: company, Job: st.Job, Room: room, Item: it}
			item := w.walkItem(s, r)
			item.Place = w.walkPlace(room, it, items[room.ID])
			rv.Items = append(rv.Items, item)
		}
		rv.Plan = w.walkPlan(Scope{Company: company, Job: st.Job, Room: room}, items[room.ID])
		for i := range wk.Remarks {
			if m := &wk.Remarks[i]; m.RoomID == room.ID {
				rv.Remarks = append(rv.Remarks, w.remark(st, wk, m, side, v.State))
			}
		}
		if s := wk.signed(room.ID); s != nil {
			rv.Signed = signView(s)
		}
		v.Rooms = append(v.Rooms, rv)
	}
	return v
}

// walkPlan is the room's plan with its openings on it, without a number.
func (w writer) walkPlan(s Scope, items []*Item) *drawing.Drawing {
	poles := make([]PoleView, 0, len(items))
	for _, it := range items {
		if !it.IsRun() {
			poles = append(poles, PoleView{ID: it.ID, Name: it.Name})
		}
	}
	plan := w.roomPlan(s, poles)
	if plan == nil {
		return nil
	}
	d := drawing.Plain(plan.Drawing)
	return &d
}

func signView(s *RoomSign) *SignView {
	return &SignView{Name: s.Name, Strokes: s.Strokes, At: s.At, Open: s.Open}
}

func (w *Walk) state(now time.Time) WalkState {
	switch {
	case w.Sealed != nil:
		return WalkSealed
	case w.Closed != nil || now.After(w.ExpiresAt):
		return WalkOver
	}
	return WalkGoing
}

func (w writer) walkItem(s Scope, r Reader) WalkItemView {
	v := ViewItem(s, r)
	out := WalkItemView{ID: s.Item.ID, Name: s.Item.Name, KindLabel: v.KindLabel, Drawing: drawing.Plain(v.Drawing), Finished: v.Next == nil}
	for _, a := range walk.Suggestions(s.Item.Unit.Kind) {
		out.Suggestions = append(out.Suggestions, AboutView{About: a, Label: w.term("about_" + string(a))})
	}
	return out
}

func (w writer) remark(st *State, wk *Walk, m *Remark, side walk.Side, state WalkState) RemarkView {
	v := RemarkView{ID: m.CommandID, RoomID: m.RoomID, ItemID: m.ItemID, About: m.About, Sentence: w.remarkWords(m.SayRemark), Text: m.Text,
		Spot: m.Spot, Photos: m.SayRemark.Photos, Marks: m.Marks, At: m.At, State: m.State, StateLabel: w.term(stateTerm(side, m.State)), Settled: m.State.Settled(),
		Stage: m.Stage, AssignedTo: m.PersonID, Day: m.Day}
	if it := st.Items[m.ItemID]; it != nil {
		v.ItemName = it.Name
		if v.Stage == "" {
			v.Stage = walk.StageOf(m.About, it.StageList())
		}
	}
	if side == walk.Homeowner {
		v.Stage, v.AssignedTo, v.Photos = "", "", wk.shown(v.Photos)
	}
	if side != walk.Homeowner || state != WalkOver {
		for _, a := range walk.Open(m.State, side) {
			v.Acts = append(v.Acts, ActView{Act: a, Label: w.term("act_" + string(a)), NeedsWords: a.NeedsWords()})
		}
	}
	for _, x := range m.Moves {
		code, f := moveSentence(MoveRemark{Act: x.Act, Text: x.Text})
		mv := MoveView{Act: x.Act, Side: x.Role.side(), Sentence: w.say(code, f), Photos: x.Photos, At: x.At}
		if side != walk.Homeowner {
			mv.PersonID = x.PersonID
		} else {
			mv.Photos = wk.shown(x.Photos)
		}
		v.Moves = append(v.Moves, mv)
	}
	return v
}

// stateTerm names a state for one side: what waits for the crew's answer waits, to the crew, for theirs.
func stateTerm(side walk.Side, s walk.State) string {
	if side == walk.Homeowner {
		return "remark_" + string(s)
	}
	return "crew_" + string(s)
}

// remarkWords is a remark in one sentence: what it is about, and the homeowner's own words.
func (w writer) remarkWords(r SayRemark) string {
	label := w.term("about_" + string(r.About))
	switch {
	case r.About == walk.Other:
		return r.Text
	case r.Text == "":
		return label
	}
	return label + ": " + r.Text
}

// ItemRemarkView is a remark as whoever works on the item reads it.
type ItemRemarkView struct {
	ItemRemark
	Sentence   string `json:"sentence"`
	StateLabel string `json:"state_label"`
	CanFix     bool   `json:"can_fix,omitempty" doc:"It is agreed work: when its stage is done again it may be said to be fixed"`
	// Drawing is the item as the homeowner saw it, where they marked a spot on it.
	Drawing *drawing.Drawing `json:"drawing,omitempty"`
}

func (w writer) itemRemarks(it *Item, whole drawing.Drawing) []ItemRemarkView {
	var out []ItemRemarkView
	for _, r := range it.Remarks {
		v := ItemRemarkView{ItemRemark: r, Sentence: w.remarkWords(SayRemark{About: r.About, Text: r.Text}),
			StateLabel: w.term("crew_" + string(r.State)), CanFix: r.State == walk.Agreed}
		if v.CanFix && r.Spot != nil && r.Spot.On == "" {
			plain := drawing.Plain(whole)
			v.Drawing = &plain
		}
		out = append(out, v)
	}
	return out
}

// moveSentence names an act's sentence; one with words of its own carries them.
func moveSentence(m MoveRemark) (string, finding.Finding) {
	code := "log_move_remark_" + string(m.Act)
	if m.Text == "" {
		return code, finding.Finding{}
	}
	return code + "_words", finding.Finding{}.Text("text", m.Text)
}

// LookAt is something the rules would look at before the homeowner does.
type LookAt struct {
	RoomID   string `json:"room_id" format:"uuid"`
	RoomName string `json:"room_name"`
	ItemID   string `json:"item_id,omitempty" format:"uuid" doc:"None where it is about the whole room"`
	ItemName string `json:"item_name,omitempty"`
	Code     string `json:"code" doc:"Which rule would look"`
	Sentence string `json:"sentence"`
	Remedy   string `json:"remedy"`
	Basis    string `json:"basis"`
}

// PreWalk lists what the crew should look at before the homeowner comes, from what the log
// says of finished and unfinished work: stops passed with a reason, gaps over the house's
// one-pass width, mitered MDF corners, joints on an upper floor, a missing top bead where
// edges are seen from above, stages not done. Rooms empty means all.
func PreWalk(st *State, rooms []string, company houserules.Set, r Reader) []LookAt {
	w := writer{catalog: Words(r.Language), style: r.Style}
	through := Walk{Rooms: rooms}
	items := itemsByRoom(st.Items)
	out := []LookAt{}
	for _, room := range sortedRooms(st.Rooms) {
		if !through.goesThrough(room.ID) {
			continue
		}
		say := func(it Item, f finding.Finding) {
			f = w.catalog.Render(f, w.style)
			out = append(out, LookAt{RoomID: room.ID, RoomName: room.Name, ItemID: it.ID, ItemName: it.Name,
				Code: f.Code, Sentence: f.Sentence, Remedy: f.Remedy, Basis: f.Basis})
		}
		var unfinished []finding.Finding
		var first *Item
		for _, it := range items[room.ID] {
			s := Scope{Company: company, Job: st.Job, Room: room, Item: it}
			a := assess(s, r.Now)
			if next := a.next(); next != "" {
				if first == nil {
					first = it
				}
				unfinished = append(unfinished, finding.New("look_not_finished", finding.Note).Term("stage", "stage_"+string(next)))
			}
			for _, f := range lookAt(s, a) {
				say(*it, f)
			}
		}
		// A room in the making is one line: nobody reads down a list of what they know.
		switch len(unfinished) {
		case 0:
		case 1:
			say(*first, unfinished[0])
		default:
			say(Item{}, finding.New("look_room_not_finished", finding.Note).
				Num("count", int64(len(unfinished))).Num("of", int64(len(items[room.ID]))))
		}
	}
	return out
}

// lookAt is what would be looked at in one item's finished work.
func lookAt(s Scope, a *assessment) []finding.Finding {
	it := s.Item
	note := func(code string) finding.Finding { return finding.New(code, finding.Note) }
	var out []finding.Finding
	for _, f := range a.findings {
		if f.PassedBy != "" {
			out = append(out, note("look_passed").Text("reason", f.PassedAs))
		}
	}
	var widest length.Length
	for _, g := range it.WallGaps {
		widest = max(widest, g.Width)
	}
	if widest > s.Rules().CaulkTwoPass {
		out = append(out, note("look_wide_gap").Len("gap", widest))
	}
	if !it.trimUp() {
		return out
	}
	mdf, mitered := false, false
	for _, c := range []*trim.Casing{it.CasingA, it.CasingB} {
		if c != nil {
			atCorners := c.Style == trim.Mitered || it.Unit.Surround == trim.PictureFrame
			mitered = mitered || atCorners
			mdf = mdf || atCorners && c.Material == "mdf"
		}
	}
	if it.IsRun() {
		mitered = true
	}
	if mdf {
		out = append(out, note("look_mdf_corners"))
	}
	if mitered && s.Room != nil && s.Room.Level == finish.Upper {
		out = append(out, note("look_upper_joints"))
	}
	if it.SeenFromAbove && !it.topBead() && it.Unit.Grade != trim.Stain {
		out = append(out, note("look_no_top_bead"))
	}
	return out
}

// trimUp reports whether the trim whose joints would show is on the wall.
func (it *Item) trimUp() bool {
	want := stage.Cased
	if it.IsRun() {
		want = stage.Trimmed
	}
	m, done := it.Stages[want]
	return done && !m.Redone
}

// topBead reports whether a caulked top edge is logged.
func (it *Item) topBead() bool {
	for _, g := range it.WallGaps {
		if g.Edge == finish.TopEdge && g.Closing == finish.Caulked {
			return true
		}
	}
	return false
}

// WalkIDs lists a job's walkthroughs, the newest first.
func WalkIDs(st *State) []string {
	var out []string
	for id, w := range st.Walks {
		at := len(out)
		out = append(out, id)
		for ; at > 0 && st.Walks[out[at-1]].Opened.Seq < w.Opened.Seq; at-- {
			out[at] = out[at-1]
		}
		out[at] = id
	}
	return out
}
