// Package demo is an invented house with a crew in it, for people who want to see Longpoint
// at work and for the tests that walk through it.
package demo

import (
	"crypto/sha256"
	"encoding/hex"
	"strconv"
	"time"

	"longpoint/internal/finish"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// Person is one of the invented crew.
type Person struct {
	Name   string
	SignIn string
	Role   joblog.Role
}

// Company is the invented company, and Passphrase what all of its people sign in with.
const (
	Company    = "Calloway & Daughter Finish Carpentry"
	Passphrase = "chalk line plumb bob"
)

// Crew lists the invented crew: one lead, two installers.
func Crew() []Person {
	return []Person{
		{Name: "Ruth Calloway", SignIn: "ruth", Role: joblog.Lead},
		{Name: "Marco Delgado", SignIn: "marco", Role: joblog.Installer},
		{Name: "Tess Okafor", SignIn: "tess", Role: joblog.Installer},
	}
}

// Step is one command of the scenario: who gives it, and when.
type Step struct {
	By      string // sign-in
	At      time.Time
	Command joblog.Command
	Photo   []byte // what the phone then sends, for a photo that arrives
}

// Scenario is three days in a two-storey house of four rooms, nine openings and six wall
// runs, some held for a reason. It ends at or before now. people maps sign-ins to person ids; newID makes
// the ids of commands, rooms and items.
func Scenario(now time.Time, people map[string]string, newID func() string) []Step {
	s := &script{people: people, newID: newID, state: joblog.NewState(), at: now.Add(-50 * time.Hour).Truncate(time.Minute)}
	s.house()
	return s.steps
}

// script writes steps and applies them as it goes, since what is cut depends on what was
// measured.
type script struct {
	people map[string]string
	newID  func() string
	state  *joblog.State
	at     time.Time
	steps  []Step
	job    string
	item   string
	filler string // the products whose sheets the lead wrote down
	caulk  string
}

func (s *script) give(by string, c joblog.Command) joblog.Decision {
	s.at = s.at.Add(time.Minute)
	c.ID, c.Version, c.JobID, c.At, c.Device = s.newID(), joblog.CommandVersion, s.job, s.at, by+"'s phone"
	s.steps = append(s.steps, Step{By: by, At: s.at, Command: c})
	role := joblog.Installer
	switch by {
	case "ruth":
		role = joblog.Lead
	case Homeowner.SignIn:
		role = joblog.Guest
	}
	d := joblog.Decide(s.state.Scope(nil, c), c, joblog.Actor{PersonID: s.people[by], Role: role}, s.at, s.at)
	for _, e := range d.Entries {
		e.Seq = s.state.Seq + 1
		s.state.Apply(e)
	}
	return d
}

func (s *script) wait(d time.Duration) { s.at = s.at.Add(d) }

func (s *script) room(name string, level joblog.Level) string {
	id := s.newID()
	s.give("ruth", joblog.Command{Kind: joblog.AddRoomKind, RoomID: id, AddRoom: &joblog.AddRoom{Name: name, Level: level}})
	return id
}

func (s *script) assign(room, to string) {
	s.give("ruth", joblog.Command{Kind: joblog.AssignKind, RoomID: room, Assign: &joblog.Assign{PersonID: s.people[to]}})
}

func (s *script) opening(room, name string, sp joblog.Spec) string {
	id := s.newID()
	s.give("ruth", joblog.Command{Kind: joblog.AddItemKind, RoomID: room, ItemID: id, AddItem: &joblog.AddItem{Name: name, Spec: sp}})
	return id
}

func (s *script) on(by string, c joblog.Command) joblog.Decision {
	c.ItemID = s.item
	return s.give(by, c)
}

// reads is readings in the order they are taken; the text is what the tape said.
type reads [][2]string

func (s *script) tape(by string, rs reads) {
	for _, r := range rs {
		v, err := length.ParseSigned(r[1], length.Inches)
		if err != nil {
			panic("demo reading " + strconv.Quote(r[1]) + ": " + err.Error()) // a slip in this file, caught by its test
		}
		s.on(by, joblog.Command{Kind: joblog.TakeReadingKind, TakeReading: &joblog.TakeReading{Reading: r[0], Value: v, Tool: "tape"}})
	}
}

// shot is the entry of one of the invented photos.
func (s *script) shot(name, caption string) *joblog.AddPhoto {
	p := pictures()[name]
	sum := sha256.Sum256(p.data)
	return &joblog.AddPhoto{PhotoID: s.newID(), SHA256: hex.EncodeToString(sum[:]), Bytes: int64(len(p.data)), Width: int64(p.w), Height: int64(p.h), Caption: caption}
}

// shoot takes one of the invented photos of the item, or of a room where one is named.
func (s *script) shoot(by, room, name, caption string, arrives bool) {
	c := joblog.Command{Kind: joblog.AddPhotoKind, RoomID: room, AddPhoto: s.shot(name, caption)}
	if room == "" {
		c.ItemID = s.item
	}
	s.give(by, c)
	if arrives {
		s.steps[len(s.steps)-1].Photo = pictures()[name].data
	}
}

func (s *script) tick(by string, st stage.Stage) {
	s.on(by, joblog.Command{Kind: joblog.TickStageKind, TickStage: &joblog.TickStage{Stage: st}})
}

func (s *script) view() joblog.ItemView {
	return joblog.ViewItem(s.state.Scope(nil, joblog.Command{ItemID: s.item}), joblog.Reader{Style: length.Style{Unit: length.Inches}, Now: s.at})
}

// cut cuts every piece of a stage; off says how far one piece missed its line.
func (s *script) cut(by string, st stage.Stage, off map[string]length.Length) {
	var ps []joblog.CutPiece
	for _, c := range s.view().Cuts {
		if c.Stage == st {
			ps = append(ps, joblog.CutPiece{Piece: c.Piece, Computed: c.Value.Length, AsCut: c.Value.Length + off[c.Piece]})
		}
	}
	s.on(by, joblog.Command{Kind: joblog.CutPiecesKind, CutPieces: &joblog.CutPieces{Pieces: ps}})
}

func (s *script) gap(by, line string, narrow, wide length.Length) {
	s.on(by, joblog.Command{Kind: joblog.ReadGapKind, ReadGap: &joblog.ReadGap{Line: line, Narrow: narrow, Wide: wide}})
}

func (s *script) evenGaps(by string, of stage.Stage) {
	for _, l := range s.view().Lines {
		if l.Stage == of {
			s.gap(by, l.Line, l.Target, l.Target)
		}
	}
}

func (s *script) checks(by string) {
	for _, c := range s.view().Checks {
		s.on(by, joblog.Command{Kind: joblog.AnswerCheckKind, AnswerCheck: &joblog.AnswerCheck{Check: c.Check, Yes: true}})
	}
}

func (s *script) nail(by string, k finish.Kind, l length.Length, n int64, where finish.Where) {
	s.on(by, joblog.Command{Kind: joblog.LogFastenersKind, LogFasteners: &joblog.LogFasteners{
		Fastener: finish.Fastener{Kind: k, Length: l, Count: n, Where: where}}})
}

func (s *script) treat(by string, k finish.Kind, with finish.Treatment) {
	t := joblog.TreatHoles{Kind: k, With: with}
	if with == finish.Filler {
		t.Used = used(s.filler)
	}
	s.on(by, joblog.Command{Kind: joblog.TreatHolesKind, TreatHoles: &t})
}

func (s *script) sand(by string, k finish.Kind) {
	s.on(by, joblog.Command{Kind: joblog.SandKind, Sand: &joblog.Sand{Kind: k}})
}

func (s *script) bead(by string, e finish.Edge, width length.Length) {
	s.on(by, joblog.Command{Kind: joblog.LogGapKind, LogGap: &joblog.LogGap{Used: used(s.caulk),
		Gap: finish.Gap{Edge: e, Width: width, Closing: finish.Caulked, Passes: 1}}})
}

func (s *script) coat(by string) {
	s.on(by, joblog.Command{Kind: joblog.LogCoatKind, LogCoat: &joblog.LogCoat{Product: "satin enamel"}})
}

func (s *script) note(by, text string) {
	s.on(by, joblog.Command{Kind: joblog.NoteKind, Note: &joblog.Note{Text: text}})
}

// The crew's two casings.
func square() *trim.Casing {
	return &trim.Casing{Style: trim.ButtHead, Profile: "1x3 square stock", Material: "wood", Width: length.In(2, 3, 4), Thickness: length.In(0, 3, 4), Overhang: length.In(1, 0, 0)}
}

func mitered() *trim.Casing {
	return &trim.Casing{Style: trim.Mitered, Profile: "colonial 2 1/4", Material: "mdf", Width: length.In(2, 1, 4), Thickness: length.In(0, 9, 16)}
}

func door(width int64, core trim.Core, casing func() *trim.Casing) joblog.Spec {
	u := trim.UnitForDoor(length.In(width, 0, 0), length.In(80, 0, 0), length.In(1, 3, 8))
	u.Core, u.LegLength = core, length.In(81, 1, 2)
	return joblog.Spec{Unit: u, CasingA: casing(), CasingB: casing()}
}
