package joblog

import (
	"strconv"
	"strings"
	"time"

	"longpoint/internal/finding"
	"longpoint/internal/stage"
	"longpoint/internal/walk"
)

// Guest is the homeowner on a walkthrough: not of the crew, and nowhere but there.
const Guest Role = "guest"

// The kinds of command of a walkthrough. Each names its walk in Command.WalkID.
const (
	OpenWalkKind   Kind = "open_walk"
	ExtendWalkKind Kind = "extend_walk"
	CloseWalkKind  Kind = "close_walk"
	SayRemarkKind  Kind = "say_remark"
	MoveRemarkKind Kind = "move_remark"
	SignOffKind    Kind = "sign_off"
)

// OpenWalk opens a walkthrough of a job, or of some of its rooms, for one guest. The walk's
// id is the command's WalkID.
type OpenWalk struct {
	Rooms     []string  `json:"rooms,omitempty" maxItems:"200" doc:"Rooms it goes through; all of the job when empty"`
	GuestID   string    `json:"guest_id" format:"uuid" doc:"The homeowner, a person with the role guest"`
	ExpiresAt time.Time `json:"expires_at" doc:"When the homeowner's link ends"`
}

// ExtendWalk moves a walkthrough's day on, never back: with a link that outlives it there is
// time again to say and sign something.
type ExtendWalk struct {
	ExpiresAt time.Time `json:"expires_at" doc:"When the homeowner's link ends"`
}

// CloseWalk ends a walkthrough for the homeowner; what was agreed stays work.
type CloseWalk struct {
	Reason string `json:"reason" minLength:"1" maxLength:"400"`
}

// Spot is a place on a drawing or a photo, in thousandths of its width and height from the
// upper left.
type Spot struct {
	On string `json:"on,omitempty" maxLength:"60" doc:"Photo's id; the item's own drawing when empty"`
	X  int64  `json:"x" minimum:"0" maximum:"1000"`
	Y  int64  `json:"y" minimum:"0" maximum:"1000"`
}

// SayRemark is something the homeowner points out at the command's item, or in its room. The
// remark's id is the command's.
type SayRemark struct {
	About  walk.About `json:"about" enum:"nail_hole,dent,crack,wall_gap,open_joint,loose,rubs,latch,uneven_gap,paint,other"`
	Text   string     `json:"text,omitempty" maxLength:"1000" doc:"In their own words; needed for other"`
	Spot   *Spot      `json:"spot,omitempty"`
	Photos []string   `json:"photos,omitempty" maxItems:"12" doc:"Ids of photos of it, each in the log before"`
	Marks  []Spot     `json:"marks,omitempty" maxItems:"12" doc:"Places on those photos"`
}

// MoveRemark is what somebody does about a remark.
type MoveRemark struct {
	RemarkID string      `json:"remark_id" format:"uuid"`
	Act      walk.Act    `json:"act" enum:"ask,agree,decline,fix,reply,accept,still_there,insist,take_back"`
	Text     string      `json:"text,omitempty" maxLength:"1000" doc:"Question, reason or answer; needed where the act says nothing without one"`
	Stage    stage.Stage `json:"stage,omitempty" doc:"For agree: the stage to do again, where it is not the one the trouble belongs to"`
	PersonID string      `json:"person_id,omitempty" format:"uuid" doc:"For agree: who is to do it"`
	Day      string      `json:"day,omitempty" doc:"For agree: the day it is to be done, as 2026-11-30"`
	Photos   []string    `json:"photos,omitempty" maxItems:"12" doc:"Ids of photos of it"`
}

// SignOff is the homeowner's signature under a room, or under the whole walk when the
// command names no room; that one seals it.
type SignOff struct {
	Name    string   `json:"name" minLength:"1" maxLength:"120" doc:"Typed"`
	Strokes string   `json:"strokes" maxLength:"8000" doc:"Drawn: an SVG path of M and L with whole numbers from 0 to 1000"`
	Open    []string `json:"open,omitempty" maxItems:"500" doc:"Ids of the remarks that were open before the signer's eyes: open by agreement"`
}

// Walk is a walkthrough as its log has made it.
type Walk struct {
	ID        string     `json:"id" format:"uuid"`
	Rooms     []string   `json:"rooms,omitempty"`
	GuestID   string     `json:"guest_id" format:"uuid"`
	Opened    Stamp      `json:"opened"`
	ExpiresAt time.Time  `json:"expires_at"`
	Closed    *Stamp     `json:"closed,omitempty"`
	Reason    string     `json:"reason,omitempty" doc:"Why it was closed"`
	Remarks   []Remark   `json:"remarks,omitempty" doc:"In the order they were said"`
	Photos    []string   `json:"photos,omitempty" doc:"Ids of the photos that came by this walk"`
	Signed    []RoomSign `json:"signed,omitempty"`
	Sealed    *Stamp     `json:"sealed,omitempty" doc:"Signed as a whole; its log number is the last the seal covers"`
}

// Remark is one thing pointed out, and what has become of it.
type Remark struct {
	Stamp
	SayRemark
	RoomID   string      `json:"room_id" format:"uuid"`
	ItemID   string      `json:"item_id,omitempty" format:"uuid"`
	State    walk.State  `json:"state" enum:"said,asked,agreed,declined,fixed,accepted,let_be,taken_back"`
	Stage    stage.Stage `json:"stage,omitempty" doc:"The stage it is to be done again from"`
	PersonID string      `json:"assigned_to,omitempty" format:"uuid"`
	Day      string      `json:"day,omitempty"`
	Moves    []Move      `json:"moves,omitempty"`
}

// Move is one act about a remark.
type Move struct {
	Stamp
	Role   Role     `json:"role" enum:"owner,lead,installer,guest"`
	Act    walk.Act `json:"act"`
	Text   string   `json:"text,omitempty"`
	Photos []string `json:"photos,omitempty"`
}

// RoomSign is a signature under a room, or under the whole walk when it names none.
type RoomSign struct {
	Stamp
	SignOff
	RoomID string `json:"room_id,omitempty" format:"uuid"`
}

// ItemRemark is a remark as the item carries it, so that whoever works there sees it without
// the walk.
type ItemRemark struct {
	ID       string      `json:"id" format:"uuid"`
	WalkID   string      `json:"walk_id" format:"uuid"`
	About    walk.About  `json:"about"`
	Text     string      `json:"text,omitempty"`
	Spot     *Spot       `json:"spot,omitempty"`
	Photos   []string    `json:"photos,omitempty"`
	Marks    []Spot      `json:"marks,omitempty"`
	State    walk.State  `json:"state"`
	Stage    stage.Stage `json:"stage,omitempty"`
	PersonID string      `json:"assigned_to,omitempty"`
	Day      string      `json:"day,omitempty"`
}

// side is on which side of a walk a role stands.
func (r Role) side() walk.Side {
	switch {
	case r == Guest:
		return walk.Homeowner
	case r.Leads():
		return walk.Lead
	}
	return walk.Crew
}

// aboutWalk reports whether a kind of command is about a walkthrough.
func aboutWalk(k Kind) bool {
	switch k {
	case OpenWalkKind, ExtendWalkKind, CloseWalkKind, SayRemarkKind, MoveRemarkKind, SignOffKind:
		return true
	}
	return false
}

// allowedOnWalk says whether the role may give this kind at all; what may be done about one
// remark is the machine's to say. A lead may write down what the homeowner says to them, but
// nobody signs for another.
func allowedOnWalk(k Kind, by Role) (finding.Finding, bool) {
	crew := by.Leads() || by == Installer
	code := ""
	switch {
	case !crew && by != Guest:
		code = "not_on_crew"
	case k == SignOffKind && by != Guest:
		code = "homeowner_only"
	case k == SayRemarkKind && by == Installer, (k == OpenWalkKind || k == ExtendWalkKind || k == CloseWalkKind) && !by.Leads():
		code = "lead_only"
	}
	if code == "" {
		return finding.Finding{}, false
	}
	return finding.New(code, finding.Stop), true
}

// walkInPlace checks that the walk, the room and the item of the command are there.
func walkInPlace(s Scope, c Command) (finding.Finding, bool) {
	stop := func(code string) (finding.Finding, bool) { return finding.New(code, finding.Stop), true }
	switch {
	case c.WalkID == "":
		return stop("command_incomplete")
	case c.Kind == OpenWalkKind && s.Walk != nil:
		return stop("already_there")
	case c.Kind == OpenWalkKind:
		return finding.Finding{}, false
	case s.Walk == nil:
		return stop("walk_gone")
	case c.ItemID != "" && s.Item == nil:
		return stop("item_gone")
	case c.RoomID != "" && s.Room == nil:
		return stop("room_gone")
	case c.Kind == SayRemarkKind && s.Room == nil:
		return stop("command_incomplete")
	case s.Room != nil && !s.Walk.goesThrough(s.Room.ID):
		return stop("room_not_walked")
	}
	return finding.Finding{}, false
}

func (w *Walk) goesThrough(room string) bool {
	if len(w.Rooms) == 0 {
		return true
	}
	for _, id := range w.Rooms {
		if id == room {
			return true
		}
	}
	return false
}

// decideWalk judges a command about a walkthrough that is in place.
func decideWalk(s Scope, c Command, by Actor, now time.Time) []finding.Finding {
	if c.Kind == OpenWalkKind {
		if !c.OpenWalk.ExpiresAt.After(now) {
			return refuse("walk_ends_before_it_begins")
		}
		return nil
	}
	w := s.Walk
	if by.Role == Guest {
		switch {
		case w.GuestID != by.PersonID:
			return refuse("walk_gone")
		case w.Closed != nil || now.After(w.ExpiresAt):
			return refuse("walk_over")
		}
	}
	switch c.Kind {
	case ExtendWalkKind:
		switch {
		case w.Sealed != nil:
			return refuse("walk_sealed")
		case w.Closed != nil:
			return refuse("walk_over")
		case !c.ExtendWalk.ExpiresAt.After(now):
			return refuse("walk_ends_before_it_begins")
		case !c.ExtendWalk.ExpiresAt.After(w.ExpiresAt):
			return refuse("walk_lasts_longer")
		}
	case CloseWalkKind:
		if w.Closed != nil {
			return refuse("walk_over")
		}
	case SayRemarkKind:
		switch {
		case w.Sealed != nil:
			return refuse("walk_sealed")
		case w.Closed != nil:
			return refuse("walk_over")
		case c.SayRemark.About == walk.Other && strings.TrimSpace(c.SayRemark.Text) == "":
			return []finding.Finding{finding.New("remark_needs_words", finding.Stop).AsWanted()}
		}
		if bad := checkShown(s, c.SayRemark.Photos, by.Role); bad != nil {
			return bad
		}
		return checkMarks(*c.SayRemark)
	case MoveRemarkKind:
		return checkMove(s, *c.MoveRemark, by)
	case SignOffKind:
		return checkSignOff(w, c)
	}
	return nil
}

func checkMove(s Scope, m MoveRemark, by Actor) []finding.Finding {
	r := s.Walk.remark(m.RemarkID)
	if r == nil {
		return refuse("remark_gone")
	}
	if (s.Item == nil) != (r.ItemID == "") || s.Item != nil && s.Item.ID != r.ItemID {
		return refuse("command_incomplete")
	}
	if _, ok := walk.Next(r.State, m.Act, by.Role.side()); !ok {
		return []finding.Finding{finding.New("remark_moved_on", finding.Stop).Term("state", "remark_"+string(r.State))}
	}
	if m.Act.NeedsWords() && strings.TrimSpace(m.Text) == "" {
		return []finding.Finding{finding.New("remark_needs_words", finding.Stop).AsWanted()}
	}
	if bad := checkShown(s, m.Photos, by.Role); bad != nil {
		return bad
	}
	switch m.Act {
	case walk.Agree:
		if s.Item != nil && agreedStage(s.Item, r, m.Stage) == "" {
			return []finding.Finding{finding.New("remark_needs_stage", finding.Stop).AsWanted()}
		}
		if m.Stage != "" && (s.Item == nil || !passes(s.Item.StageList(), m.Stage)) {
			return []finding.Finding{finding.New("stage_not_passed", finding.Stop).Term("stage", string(m.Stage))}
		}
	case walk.Fix:
		if s.Item == nil || r.Stage == "" {
			break
		}
		if mark, done := s.Item.Stages[r.Stage]; !done || mark.Redone {
			return []finding.Finding{finding.New("fix_before_stage", finding.Stop).AsWanted().On(string(r.Stage)).Term("stage", "stage_"+string(r.Stage))}
		}
		if len(m.Photos) == 0 {
			return []finding.Finding{finding.New("fixed_without_photo", finding.Note).On(string(r.Stage))}
		}
	}
	return nil
}

func passes(list []stage.Stage, s stage.Stage) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// agreedStage is the stage agreed work begins at: the lead's word, else the one it has, else
// the one the trouble belongs to.
func agreedStage(it *Item, r *Remark, said stage.Stage) stage.Stage {
	switch {
	case said != "":
		return said
	case r.Stage != "":
		return r.Stage
	}
	return walk.StageOf(r.About, it.StageList())
}

// checkSignOff refuses a signature under another list than the one that stands: what was
// open by agreement must be what the signer saw. The whole is signed once.
func checkSignOff(w *Walk, c Command) []finding.Finding {
	if w.Sealed != nil || c.RoomID != "" && w.signed(c.RoomID) != nil {
		return refuse("signed_already")
	}
	open := w.OpenIn(c.RoomID)
	if len(open) != len(c.SignOff.Open) {
		return refuse("sign_list_changed")
	}
	for _, id := range open {
		if !contains(c.SignOff.Open, id) {
			return refuse("sign_list_changed")
		}
	}
	if !drawnPath(c.SignOff.Strokes) {
		return []finding.Finding{finding.New("signature_missing", finding.Stop).AsWanted()}
	}
	return nil
}

// drawnPath accepts what a finger draws: M and L with whole numbers up to 1000, and at least
// one line.
func drawnPath(s string) bool {
	lines, digits, value := 0, 0, 0
	for i := range len(s) {
		switch c := s[i]; {
		case c >= '0' && c <= '9':
			if digits++; digits > 4 {
				return false
			}
			if value = value*10 + int(c-'0'); value > 1000 {
				return false
			}
			continue
		case c == 'L':
			lines++
		case c != 'M' && c != ' ':
			return false
		}
		digits, value = 0, 0
	}
	return lines > 0 && strings.HasPrefix(s, "M")
}

func contains(ids []string, id string) bool {
	for _, x := range ids {
		if x == id {
			return true
		}
	}
	return false
}

func (w *Walk) remark(id string) *Remark {
	for i := range w.Remarks {
		if w.Remarks[i].CommandID == id {
			return &w.Remarks[i]
		}
	}
	return nil
}

func (w *Walk) signed(room string) *RoomSign {
	for i := range w.Signed {
		if w.Signed[i].RoomID == room {
			return &w.Signed[i]
		}
	}
	return nil
}

// OpenIn lists the remarks of a room, or of all rooms, that are not settled.
func (w *Walk) OpenIn(room string) []string {
	var out []string
	for i := range w.Remarks {
		if r := &w.Remarks[i]; !r.State.Settled() && (room == "" || r.RoomID == room) {
			out = append(out, r.CommandID)
		}
	}
	return out
}

// applyWalk folds an entry about a walkthrough into the walk and the item it is about.
func (s *Scope) applyWalk(e Entry) {
	c := e.Command
	stamp := Stamp{CommandID: c.ID, Seq: e.Seq, PersonID: e.PersonID, At: e.DidAt}
	if c.OpenWalk != nil {
		b := c.OpenWalk
		s.Walk = &Walk{ID: c.WalkID, Rooms: b.Rooms, GuestID: b.GuestID, Opened: stamp, ExpiresAt: b.ExpiresAt}
		return
	}
	w := s.Walk
	if w == nil {
		return
	}
	switch {
	case c.ExtendWalk != nil:
		if c.ExtendWalk.ExpiresAt.After(w.ExpiresAt) {
			w.ExpiresAt = c.ExtendWalk.ExpiresAt
		}
	case c.CloseWalk != nil:
		w.Closed, w.Reason = &stamp, c.CloseWalk.Reason
	case c.SayRemark != nil && s.Room != nil:
		w.Remarks = append(w.Remarks, Remark{Stamp: stamp, SayRemark: *c.SayRemark, RoomID: s.Room.ID, ItemID: c.ItemID, State: walk.Said})
		s.carry(&w.Remarks[len(w.Remarks)-1])
	case c.MoveRemark != nil:
		s.moveRemark(e, stamp)
	case c.SignOff != nil:
		w.Signed = append(w.Signed, RoomSign{Stamp: stamp, SignOff: *c.SignOff, RoomID: c.RoomID})
		if c.RoomID == "" {
			w.Sealed = &stamp
		}
	}
}

func (s *Scope) moveRemark(e Entry, stamp Stamp) {
	m := e.Command.MoveRemark
	r := s.Walk.remark(m.RemarkID)
	if r == nil {
		return
	}
	to, ok := walk.Next(r.State, m.Act, e.Role.side())
	if !ok {
		return
	}
	r.State = to
	r.Moves = append(r.Moves, Move{Stamp: stamp, Role: e.Role, Act: m.Act, Text: m.Text, Photos: m.Photos})
	if m.Act == walk.Agree {
		r.PersonID, r.Day = m.PersonID, m.Day
		if s.Item != nil {
			r.Stage = agreedStage(s.Item, r, m.Stage)
		}
	}
	if to == walk.Agreed && s.Item != nil {
		s.Item.reopenFor(r, m.Text, stamp)
	}
	s.carry(r)
}

// reopenFor reopens the stage of agreed work, if it was done; the log of both stays.
func (it *Item) reopenFor(r *Remark, words string, by Stamp) {
	if m, done := it.Stages[r.Stage]; !done || m.Redone {
		return
	}
	reason := words
	if reason == "" {
		reason = r.Text
	}
	it.reopen(r.Stage, reason, by)
}

// carry keeps the item's own copy of a remark.
func (s *Scope) carry(r *Remark) {
	it := s.Item
	if it == nil {
		return
	}
	copied := ItemRemark{ID: r.CommandID, WalkID: s.Walk.ID, About: r.About, Text: r.Text, Spot: r.Spot, Photos: r.Photos, Marks: r.Marks,
		State: r.State, Stage: r.Stage, PersonID: r.PersonID, Day: r.Day}
	for i := range it.Remarks {
		if it.Remarks[i].ID == copied.ID {
			it.Remarks[i] = copied
			return
		}
	}
	it.Remarks = append(it.Remarks, copied)
}

// badDay reports whether a day is neither empty nor written as 2026-11-30.
func badDay(day string) bool {
	if day == "" {
		return false
	}
	if len(day) != 10 || day[4] != '-' || day[7] != '-' {
		return true
	}
	for i := range len(day) {
		if i != 4 && i != 7 && (day[i] < '0' || day[i] > '9') {
			return true
		}
	}
	month, date := day[5:7], day[8:]
	if month < "01" || month > "12" || date < "01" {
		return true
	}
	return digits(date) > daysIn(digits(month), digits(day[:4]))
}

// digits reads a number known to be digits alone. strconv.Atoi would bring the quoting of what
// it refuses, which the phone has no other use for, and its tables.
func digits(s string) int {
	n := 0
	for i := range len(s) {
		n = 10*n + int(s[i]-'0')
	}
	return n
}

// daysIn is how long a month is in the Gregorian calendar.
func daysIn(month, year int) int {
	switch month {
	case 4, 6, 9, 11:
		return 30
	case 2:
		if year%4 == 0 && year%100 != 0 || year%400 == 0 {
			return 29
		}
		return 28
	}
	return 31
}

func (c Command) badWalkChoice(check func(field, value string, choices ...string)) {
	ids := func(list []string) {
		for _, id := range list {
			if !isUUID(id) {
				check("field_photo", id)
			}
		}
	}
	switch {
	case c.OpenWalk != nil:
		if !isUUID(c.OpenWalk.GuestID) {
			check("field_person", c.OpenWalk.GuestID)
		}
		for _, room := range c.OpenWalk.Rooms {
			if !isUUID(room) {
				check("field_room", room)
			}
		}
		if len(c.OpenWalk.Rooms) > mostRoomsWalked {
			check("field_room", strconv.Itoa(len(c.OpenWalk.Rooms)))
		}
	case c.SayRemark != nil:
		b := c.SayRemark
		if !b.About.Known() {
			check("field_about", string(b.About))
		}
		if p := b.Spot; p != nil && (p.X < 0 || p.X > 1000 || p.Y < 0 || p.Y > 1000 || p.On != "" && !isUUID(p.On)) {
			check("field_spot", p.On)
		}
		for _, p := range b.Marks {
			if p.X < 0 || p.X > spotScale || p.Y < 0 || p.Y > spotScale || !isUUID(p.On) {
				check("field_spot", p.On)
			}
		}
		if len(b.Marks) > mostPhotosOfARemark {
			check("field_spot", strconv.Itoa(len(b.Marks)))
		}
		if len(b.Photos) > mostPhotosOfARemark {
			check("field_photo", strconv.Itoa(len(b.Photos)))
		}
		ids(b.Photos)
	case c.MoveRemark != nil:
		b := c.MoveRemark
		known := false
		for _, a := range walk.Acts() {
			known = known || a == b.Act
		}
		switch {
		case !known:
			check("field_act", string(b.Act))
		case !isUUID(b.RemarkID):
			check("field_remark", b.RemarkID)
		case b.Stage != "" && !stage.Valid(b.Stage):
			check("field_stage", string(b.Stage))
		case b.PersonID != "" && !isUUID(b.PersonID):
			check("field_person", b.PersonID)
		case badDay(b.Day):
			check("field_day", b.Day)
		case len(b.Photos) > mostPhotosOfARemark:
			check("field_photo", strconv.Itoa(len(b.Photos)))
		}
		ids(b.Photos)
	case c.SignOff != nil && len(c.SignOff.Open) > mostOpenAtSignOff:
		check("field_remark", strconv.Itoa(len(c.SignOff.Open)))
	}
}

const (
	mostRoomsWalked     = 200
	mostPhotosOfARemark = 12
	mostOpenAtSignOff   = 500
)
