package demo

import (
	"image/color"
	"time"

	"longpoint/internal/account"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/walk"
)

// Homeowner is whose house it is. They do not sign in: a link is all they have.
var Homeowner = Person{Name: "Ada Brandt", SignIn: "ada", Role: joblog.Guest}

// walkLasts is how long the invented walkthrough stays open.
const walkLasts = 60 * 24 * time.Hour

// walkthrough is open, with two remarks at the back hall door: one waits for Ruth's answer, and
// one of Ruth's waits for the homeowner's.
func (s *script) walkthrough(mud, dining, door string) {
	if s.people[Homeowner.SignIn] == "" {
		return // a story of the crew alone
	}
	id := s.newID()
	s.give("ruth", joblog.Command{Kind: joblog.OpenWalkKind, WalkID: id, OpenWalk: &joblog.OpenWalk{Rooms: []string{mud, dining}, GuestID: s.people[Homeowner.SignIn],
		ExpiresAt: s.at.Add(walkLasts)}})
	ada := func(c joblog.Command) joblog.Decision {
		c.WalkID, c.RoomID, c.ItemID = id, mud, door
		return s.give(Homeowner.SignIn, c)
	}
	shown := s.shot("nail hole", "")
	ada(joblog.Command{Kind: joblog.AddPhotoKind, AddPhoto: shown})
	s.steps[len(s.steps)-1].Photo = pictures()["nail hole"].data
	ada(joblog.Command{Kind: joblog.SayRemarkKind, SayRemark: &joblog.SayRemark{About: walk.NailHole, Text: "By the light switch, at the height of my eyes.",
		Spot: &joblog.Spot{X: 715, Y: 350}, Photos: []string{shown.PhotoID}, Marks: []joblog.Spot{{On: shown.PhotoID, X: 430, Y: 520}}}})
	rubs := ada(joblog.Command{Kind: joblog.SayRemarkKind, SayRemark: &joblog.SayRemark{About: walk.Rubs, Spot: &joblog.Spot{X: 660, Y: 110}}}).Entries[0].Command.ID
	s.give("ruth", joblog.Command{Kind: joblog.MoveRemarkKind, WalkID: id, ItemID: door,
		MoveRemark: &joblog.MoveRemark{RemarkID: rubs, Act: walk.Ask, Text: "Does it rub all day, or only when it has rained?"}})
}

// Walk is the invented job's own walkthrough, its first; empty when it has none.
func Walk(st *joblog.State) string {
	if ids := joblog.WalkIDs(st); len(ids) > 0 {
		return ids[len(ids)-1]
	}
	return ""
}

// guest is the homeowner as a person of the company.
func guest(company string) account.Person {
	return account.Person{ID: newID(), CompanyID: company, Name: Homeowner.Name, Role: joblog.Guest, Language: "en", Unit: length.Inches}
}

// nailHole is a leg of casing with a hole that the filler has sunk in.
func nailHole() *scene {
	s := newScene(1200, 1600, wall)
	s.box(trimmed, 260, 0, 560, 1600)
	s.box(color.RGBA{0xdd, 0xd9, 0xcd, 0xff}, 260, 0, 34, 1600)
	s.box(shaded, 790, 0, 30, 1600)
	s.area(color.RGBA{0xdb, 0xd6, 0xc8, 0xff}, at{488, 806}, at{516, 790}, at{546, 806}, at{552, 838}, at{528, 862}, at{498, 854}, at{484, 832})
	s.area(dark, at{506, 818}, at{520, 812}, at{532, 822}, at{530, 838}, at{516, 844}, at{504, 834})
	s.box(color.RGBA{0xf4, 0xf2, 0xec, 0xff}, 930, 620, 200, 330) // the light switch
	s.box(shaded, 1004, 720, 52, 130)
	return s
}
