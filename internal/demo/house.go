package demo

import (
	"time"

	"longpoint/internal/finish"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// house is 41 Larkspur Lane: two storeys, floors that fall toward the river, four rooms
// under trim.
func (s *script) house() {
	s.job = s.newID()
	s.give("ruth", joblog.Command{Kind: joblog.CreateJobKind, CreateJob: &joblog.CreateJob{
		Name: "41 Larkspur Lane", Address: "41 Larkspur Lane", Unit: length.Inches, HouseYear: 1931}})
	mud := s.room("Mudroom", finish.Ground)
	dining := s.room("Dining room", finish.Ground)
	landing := s.room("Upstairs landing", finish.Upper)
	north := s.room("North bedroom", finish.Upper)
	s.assign(mud, "tess")
	s.assign(dining, "tess")
	s.assign(landing, "marco")
	s.assign(north, "marco")
	s.sheets()

	s.backHall(mud)
	backHall := s.item
	s.garage(mud)
	s.kitchenOpening(dining)
	s.pantry(dining)
	s.gardenWindow(dining)
	s.atticStair(landing)
	s.linenCloset(landing)
	s.bedroom(north)
	s.closetPair(north)
	s.runs(mud, dining, landing, north)
	s.rack()
	s.walkthrough(mud, dining, backHall)
}

// sheets are what the lead wrote down before anyone came: what two products say of themselves,
// all of it invented, and the house's air over the year, as in a heated house with warm summers.
func (s *script) sheets() {
	cold := finish.Tenths(50)
	enter := func(p finish.Product, times ...finish.SheetTime) string {
		id := s.newID()
		p.Sheet = finish.Sheet{Times: times, Coldest: &cold}
		s.give("ruth", joblog.Command{Kind: joblog.SetProductKind, SetProduct: &joblog.SetProduct{ProductID: id, Product: p}})
		return id
	}
	middling, damp := finish.Tenths(500), finish.Tenths(800)
	s.filler = enter(finish.Product{Kind: finish.FillerProduct, Name: "Shop filler"},
		finish.SheetTime{Phase: finish.FillerDry, Celsius: 211, Minutes: 60},
		finish.SheetTime{Phase: finish.FillerSand, Celsius: 211, Minutes: 120},
		finish.SheetTime{Phase: finish.FillerSand, Celsius: 100, Minutes: 240})
	s.caulk = enter(finish.Product{Kind: finish.CaulkProduct, Name: "Painter's 50", Class: finish.Class50},
		finish.SheetTime{Phase: finish.CaulkSkin, Celsius: 211, Minutes: 30},
		finish.SheetTime{Phase: finish.CaulkCure, Celsius: 211, Humidity: &middling, Minutes: 240},
		finish.SheetTime{Phase: finish.CaulkCure, Celsius: 211, Humidity: &damp, Minutes: 720})
	s.give("ruth", joblog.Command{Kind: joblog.SetClimateKind, SetClimate: &joblog.SetClimate{Climate: &finish.Climate{
		Dry: finish.Air{Celsius: 211, Humidity: 300}, Damp: finish.Air{Celsius: 239, Humidity: 600}}}})
}

// used is a product of the house in a heated room.
func used(product string) joblog.Used {
	warm, middling := finish.Tenths(211), finish.Tenths(500)
	return joblog.Used{ProductID: product, Weather: finish.Weather{Celsius: &warm, Humidity: &middling}}
}

// backHall is done, to paint.
func (s *script) backHall(room string) {
	s.item = s.opening(room, "Back hall door", door(28, trim.Hollow, square))
	s.tape("tess", reads{{"width_bottom", "30 1/16"}, {"width_middle", "30"}, {"width_top", "30"}, {"height_hinge", "81 3/8"},
		{"height_strike", "81 7/16"}, {"floor_strike_up", "-1/16"}, {"lean_hinge", "0"}, {"wall_build_up", "4 9/16"}})
	s.tick("tess", stage.Measured)
	s.cut("tess", stage.Trimmed, nil)
	s.tick("tess", stage.Trimmed)
	s.evenGaps("tess", stage.Hung)
	s.checks("tess")
	s.tick("tess", stage.Hung)
	s.cut("tess", stage.Cased, nil)
	s.evenGaps("tess", stage.Cased)
	s.tick("tess", stage.Cased)
	s.nail("tess", finish.Brad18, length.In(1, 1, 4), 28, finish.JambEdge)
	s.nail("tess", finish.Finish15, length.In(2, 1, 2), 28, finish.Stud)
	s.tick("tess", stage.Nailed)
	s.treat("tess", finish.Finish15, finish.Filler)
	s.treat("tess", finish.Brad18, finish.Filler)
	s.wait(3 * time.Hour)
	s.sand("tess", finish.Finish15)
	s.sand("tess", finish.Brad18)
	s.tick("tess", stage.Filled)
	s.bead("tess", finish.SideEdge, length.In(0, 1, 16))
	s.tick("tess", stage.Caulked)
	s.wait(15 * time.Hour)
	s.coat("tess")
	s.wait(5 * time.Hour)
	s.coat("tess")
	s.wait(5 * time.Hour)
	s.tick("tess", stage.Painted)
}

// garage is a fire-rated door whose slab would need more off its foot than the label allows.
func (s *script) garage(room string) {
	sp := door(32, trim.FireRated, square)
	sp.Unit.FireLabel, sp.Unit.SlabThickness, sp.Unit.Exit = "20 min", length.In(1, 3, 4), true
	s.item = s.opening(room, "Garage door", sp)
	s.tape("tess", reads{{"width_bottom", "34 1/8"}, {"width_middle", "34 1/8"}, {"width_top", "34 1/16"}, {"height_hinge", "80 7/8"},
		{"height_strike", "80 3/4"}, {"floor_strike_up", "1/8"}, {"lean_hinge", "1/16"}, {"wall_build_up", "4 9/16"}, {"floor_to_come", "5/8"}})
	s.tick("tess", stage.Measured)
	s.note("tess", "Tile still to come, 5/8 with the mortar. Label is on the hinge edge.")
	s.shoot("tess", "", "fire label", "The label, hinge edge, below the middle hinge.", true)
}

// kitchenOpening has casing up and waits for its nails.
func (s *script) kitchenOpening(room string) {
	u := trim.Unit{Kind: trim.CasedOpening, Grade: trim.Paint, JambThickness: length.In(0, 3, 4), JambWidth: length.In(4, 9, 16),
		HeadThickness: length.In(0, 3, 4), HingeOn: "left"}
	s.item = s.opening(room, "Kitchen opening", joblog.Spec{Unit: u, CasingA: square(), CasingB: square()})
	s.tape("tess", reads{{"width_bottom", "48 1/4"}, {"width_middle", "48 1/4"}, {"width_top", "48 3/8"}, {"height_hinge", "83"},
		{"height_strike", "83 1/4"}, {"floor_strike_up", "-1/4"}, {"lean_hinge", "-1/16"}, {"wall_build_up", "4 9/16"}})
	s.tick("tess", stage.Measured)
	s.cut("tess", stage.Trimmed, nil)
	s.tick("tess", stage.Trimmed)
	s.cut("tess", stage.Cased, nil)
	s.evenGaps("tess", stage.Cased)
	s.tick("tess", stage.Cased)
}

// pantry hangs with an uneven strike gap.
func (s *script) pantry(room string) {
	s.item = s.opening(room, "Pantry door", door(24, trim.StileAndRail, mitered))
	s.tape("tess", reads{{"width_bottom", "26"}, {"width_middle", "25 15/16"}, {"width_top", "25 7/8"}, {"height_hinge", "81 3/4"},
		{"height_strike", "81 5/8"}, {"floor_strike_up", "1/8"}, {"lean_hinge", "1/16"}, {"lean_strike", "1/16"}, {"wall_build_up", "4 5/8"},
		{"diagonal_rise", "85 3/4"}, {"diagonal_fall", "85 11/16"}})
	s.tick("tess", stage.Measured)
	s.cut("tess", stage.Trimmed, nil)
	s.tick("tess", stage.Trimmed)
	s.gap("tess", "hinge", length.In(0, 1, 8), length.In(0, 1, 8))
	s.gap("tess", "head", length.In(0, 1, 8), length.In(0, 5, 32))
	s.gap("tess", "strike", length.In(0, 1, 8), length.In(0, 1, 4))
	s.shoot("tess", "", "strike gap", "1/8 at the head, 1/4 at the foot.", true)
}

// gardenWindow is measured and ready to tick.
func (s *script) gardenWindow(room string) {
	u := trim.Unit{Kind: trim.Window, Grade: trim.Paint, SlabWidth: length.In(36, 0, 0), SlabHeight: length.In(48, 0, 0), Surround: trim.PictureFrame}
	s.item = s.opening(room, "Garden window", joblog.Spec{Unit: u, CasingA: mitered()})
	s.tape("tess", reads{{"width_top", "36 1/16"}, {"width_bottom", "36"}, {"height_hinge", "48 1/16"}, {"height_strike", "48"}})
}

// atticStair shows from above, was nailed with 16 gauge, and someone tried caulk in the holes.
func (s *script) atticStair(room string) {
	sp := door(26, trim.Solid, square)
	sp.SeenFromAbove = true
	s.item = s.opening(room, "Attic stair door", sp)
	s.tape("marco", reads{{"width_bottom", "28"}, {"width_middle", "28 1/16"}, {"width_top", "28"}, {"height_hinge", "81 1/2"},
		{"height_strike", "81 1/2"}, {"floor_strike_up", "0"}, {"lean_hinge", "0"}, {"wall_build_up", "4 9/16"}})
	s.tick("marco", stage.Measured)
	s.cut("marco", stage.Trimmed, nil)
	s.tick("marco", stage.Trimmed)
	s.evenGaps("marco", stage.Hung)
	s.checks("marco")
	s.tick("marco", stage.Hung)
	s.cut("marco", stage.Cased, nil)
	s.evenGaps("marco", stage.Cased)
	s.tick("marco", stage.Cased)
	s.nail("marco", finish.Brad18, length.In(1, 1, 4), 26, finish.JambEdge)
	s.nail("marco", finish.Finish16, length.In(2, 1, 2), 26, finish.Stud)
	s.tick("marco", stage.Nailed)
	s.treat("marco", finish.Finish16, finish.Caulk)
	s.treat("marco", finish.Brad18, finish.Caulk)
	s.treat("marco", finish.Finish16, finish.Filler)
	s.shoot("marco", "", "stair", "The joint at the head shows from the stair.", true)
}

// linenCloset is still to be measured: the next thing on Marco's day.
func (s *script) linenCloset(room string) {
	sp := door(28, trim.Hollow, square)
	sp.Unit.SlabThickness = length.In(1, 3, 4)
	sp.Unit.LegLength = length.In(81, 0, 0)
	s.item = s.opening(room, "Linen closet door", sp)
}

// bedroom was cut, then the carpet turned out thicker: its pieces are stale.
func (s *script) bedroom(room string) {
	s.item = s.opening(room, "North bedroom door", door(30, trim.Solid, mitered))
	s.tape("marco", reads{{"width_bottom", "32 1/8"}, {"width_middle", "32"}, {"width_top", "31 15/16"}, {"height_hinge", "81 3/4"},
		{"height_strike", "81 7/8"}, {"floor_strike_up", "-1/8"}, {"lean_hinge", "1/8"}, {"wall_build_up", "4 11/16"}, {"floor_to_come", "1/2"}})
	s.tick("marco", stage.Measured)
	s.cut("marco", stage.Trimmed, map[string]length.Length{"leg_strike": -length.ThirtySecond})
	s.tick("marco", stage.Trimmed)
	d := s.on("marco", joblog.Command{Kind: joblog.TakeReadingKind, TakeReading: &joblog.TakeReading{Reading: "floor_to_come", Value: length.In(0, 3, 4), Tool: "tape"}})
	s.on("marco", joblog.Command{Kind: joblog.ChooseTakeKind, ChooseTake: &joblog.ChooseTake{Reading: "floor_to_come", TakeID: d.Entries[0].Command.ID}})
	s.note("marco", "Carpet and pad came in thicker than the sample: 3/4.")
	s.shoot("marco", "", "carpet", "Pad and carpet at the door.", false) // still on his phone
}

// closetPair has two takes of one width that disagree.
func (s *script) closetPair(room string) {
	sp := door(24, trim.Hollow, mitered)
	sp.Unit.Kind = trim.Pair
	s.item = s.opening(room, "Closet pair", sp)
	s.tape("marco", reads{{"width_bottom", "50 1/4"}, {"width_middle", "50 3/16"}, {"width_top", "50 1/8"}, {"width_top", "50 3/8"}, {"height_hinge", "81 3/4"}})
}
