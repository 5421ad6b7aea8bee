package model

import (
	"time"

	"longpoint/internal/joblog"
	"longpoint/internal/walk"
)

// walkthrough is what the crew does about one: a lead opens it, writes down what the homeowner says, agrees or says why not; whoever
// does the work says that it is done. The homeowner's own page and its signature have no outbox of a phone's and are played elsewhere.
func (p *phone) walkthrough(item string) {
	var open []*joblog.Walk
	for _, id := range sortedKeys(p.local.Walks) {
		if w := p.local.Walks[id]; w.Closed == nil {
			open = append(open, w)
		}
	}
	if len(open) == 0 {
		p.do(joblog.Command{Kind: joblog.OpenWalkKind, WalkID: p.w.newID(p.rng), OpenWalk: &joblog.OpenWalk{GuestID: p.w.guest,
			ExpiresAt: p.w.clock.now().Add(90 * 24 * time.Hour).Truncate(time.Second)}})
		return
	}
	w := open[p.rng.IntN(len(open))]
	if len(w.Remarks) > 4 && p.rng.IntN(8) == 0 {
		p.do(joblog.Command{Kind: joblog.CloseWalkKind, WalkID: w.ID, CloseWalk: &joblog.CloseWalk{Reason: "Everything is said."}})
		return
	}
	if len(w.Remarks) < 3 || p.rng.IntN(5) == 0 {
		abouts := []walk.About{walk.NailHole, walk.Paint, walk.Rubs, walk.Other}
		p.do(joblog.Command{Kind: joblog.SayRemarkKind, WalkID: w.ID, ItemID: item, RoomID: p.local.Items[item].RoomID,
			SayRemark: &joblog.SayRemark{About: abouts[p.rng.IntN(len(abouts))], Text: "By the light switch."}})
		return
	}
	r := w.Remarks[p.rng.IntN(len(w.Remarks))]
	acts := []walk.Act{walk.Ask, walk.Agree, walk.Agree, walk.Decline, walk.Fix}
	if r.State == walk.Agreed {
		acts = []walk.Act{walk.Fix, walk.Fix, walk.Decline}
	}
	p.do(joblog.Command{Kind: joblog.MoveRemarkKind, WalkID: w.ID, ItemID: r.ItemID, RoomID: r.RoomID,
		MoveRemark: &joblog.MoveRemark{RemarkID: r.CommandID, Act: acts[p.rng.IntN(len(acts))], Text: "Seen together."}})
}
