package joblog_test

import (
	"testing"
	"time"

	"longpoint/internal/finish"
	"longpoint/internal/joblog"
	"longpoint/internal/trim"
)

// A run in a room whose walls nobody laid out says so, and shows no piece.
func TestARunWithoutWallsAsksForThem(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.item = s.id()
	s.do(lead, joblog.Command{Kind: joblog.AddItemKind, RoomID: s.room, ItemID: s.item, AddItem: &joblog.AddItem{Name: "Hall base", Spec: joblog.Spec{
		Unit: trim.Unit{Kind: trim.WallRun, Grade: trim.Paint}, Run: &joblog.RunSpec{Profile: trim.Profile{Kind: trim.Base, Height: in(5, 1, 4), Thickness: in(0, 9, 16)}}}}})
	f := s.found("walls_not_laid_out")
	if f == nil || !f.Wanted || f.Stage != "measured" {
		t.Errorf("%+v, want the walls asked for", f)
	}
	if cuts := s.view().Cuts; len(cuts) != 0 {
		t.Errorf("pieces of no walls: %+v", cuts)
	}
}

// A run that is to go along a wall its room has not is held; none has such a number at all.
func TestARunAlongAWallThatIsNotThere(t *testing.T) {
	t.Parallel()
	s, _, _ := newRoomSite(t)
	spec := joblog.Spec{Unit: trim.Unit{Kind: trim.WallRun, Grade: trim.Paint},
		Run: &joblog.RunSpec{Profile: trim.Profile{Kind: trim.Base, Height: in(5, 1, 4), Thickness: in(0, 9, 16)}, Along: []int{0}}}
	s.refused(lead, joblog.Command{Kind: joblog.AddItemKind, RoomID: s.room, ItemID: s.id(), AddItem: &joblog.AddItem{Name: "Rail", Spec: spec}}, "run_wall_unknown")
	spec.Run.Along = []int{2, 7}
	s.item = s.id()
	s.do(lead, joblog.Command{Kind: joblog.AddItemKind, RoomID: s.room, ItemID: s.item, AddItem: &joblog.AddItem{Name: "Rail", Spec: spec}})
	if f := s.found("run_wall_unknown"); f == nil || f.Stage != "measured" {
		t.Errorf("%+v, want wall 7 of 4 to hold", f)
	}
}

// In air damper than any row of its sheet a bead waits the longer of sheet and house rule, and
// the person is told to look.
func TestDamperThanTheSheet(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	id := s.product(finish.Product{Kind: finish.CaulkProduct, Name: "Quick bead", Class: finish.Class50}, 60, finish.CaulkSkin)
	half := finish.Tenths(500)
	s.do(installer, joblog.Command{Kind: joblog.SetProductKind, SetProduct: &joblog.SetProduct{ProductID: id, Product: finish.Product{
		Kind: finish.CaulkProduct, Name: "Quick bead", Class: finish.Class50,
		Sheet: finish.Sheet{Times: []finish.SheetTime{{Phase: finish.CaulkCure, Celsius: 200, Humidity: &half, Minutes: 60}, {Phase: finish.CaulkSkin, Celsius: 200, Minutes: 20}}}}}})
	used := warm(id)
	used.Humidity = ptr(finish.Tenths(800))
	s.do(installer, caulked(in(0, 1, 8), used))
	s.now = s.now.Add(90 * time.Minute)
	if s.found("damper_than_sheet") == nil {
		t.Error("80 % where the sheet goes to 50: want it said")
	}
	if f := s.found("caulk_not_cured"); f == nil || f.Basis != "Drying time from Quick bead: 240 minutes." {
		t.Errorf("%+v, want the house rule's 240 minutes, which are longer", f)
	}
}
