package yard_test

import (
	"testing"

	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
	"longpoint/internal/yard"
)

// A return is as long as its stock is thick: of 1/8 in lattice, half of what a 1/4 in blade
// takes. The plan gives it the blade's width of stick and says its length as it is.
func TestAPieceShorterThanTheKerf(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	room, item := newID(), newID()
	h.giveBy("ruth", joblog.Command{Kind: joblog.SetRulesKind, SetRules: &joblog.SetRules{Set: houserules.Set{"saw_kerf": int64(length.Quarter)}}})
	h.giveBy("ruth", joblog.Command{Kind: joblog.AddRoomKind, RoomID: room, AddRoom: &joblog.AddRoom{Name: "Nook", Level: "ground"}})
	h.giveBy("ruth", joblog.Command{Kind: joblog.SetWallsKind, RoomID: room, SetWalls: &joblog.SetWalls{
		Walls: trim.Room{Open: true, Starts: trim.EndReturn, Ends: trim.EndReturn, Walls: []trim.Wall{{}}}}})
	h.giveBy("ruth", joblog.Command{Kind: joblog.TakeReadingKind, RoomID: room, TakeReading: &joblog.TakeReading{Reading: "wall_1_length", Value: 3 * length.Foot, Tool: "tape"}})
	h.giveBy("ruth", joblog.Command{Kind: joblog.AddItemKind, RoomID: room, ItemID: item, AddItem: &joblog.AddItem{Name: "Nook lattice", Spec: joblog.Spec{
		Unit: trim.Unit{Kind: trim.WallRun, Grade: trim.Paint},
		Run:  &joblog.RunSpec{Profile: trim.Profile{Kind: trim.ChairRail, Height: 2 * length.Inch, Thickness: length.Eighth, Mount: 32 * length.Inch}}}}})
	h.giveBy("ruth", joblog.Command{Kind: joblog.TickStageKind, ItemID: item, TickStage: &joblog.TickStage{Stage: stage.Measured}})
	p := h.plan(yard.Ask{Items: []string{item}}, yard.List{}) // checked: no piece lies nearer to the next than a kerf
	if len(p.Stocks) != 1 || p.Stocks[0].Refused != "" || p.Stocks[0].Kerf != length.Quarter || !p.Stocks[0].Optimal {
		t.Fatalf("%+v, want one stock planned with a kerf of 1/4", p.Stocks)
	}
	returns := 0
	for _, c := range p.Stocks[0].Pieces {
		if c.Length == length.Eighth {
			returns++
		}
	}
	if returns != 2 || len(p.Stocks[0].Sticks) != 1 {
		t.Errorf("%d returns of 1/8 in %d sticks, want 2 in one", returns, len(p.Stocks[0].Sticks))
	}
}
