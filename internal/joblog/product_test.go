package joblog_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

func ptr[T any](v T) *T { return &v }

// product enters a sheet with one row at 20 °C for each of the phases and returns its id.
func (s *site) product(p finish.Product, minutes int64, phases ...finish.Phase) string {
	s.t.Helper()
	for _, phase := range phases {
		p.Times = append(p.Times, finish.SheetTime{Phase: phase, Celsius: 200, Minutes: minutes})
	}
	id := s.id()
	s.do(installer, joblog.Command{Kind: joblog.SetProductKind, SetProduct: &joblog.SetProduct{ProductID: id, Product: p}})
	return id
}

func warm(id string) joblog.Used {
	return joblog.Used{ProductID: id, Weather: finish.Weather{Celsius: ptr(finish.Tenths(200))}}
}

func caulked(width length.Length, used joblog.Used) joblog.Command {
	return joblog.Command{Kind: joblog.LogGapKind, LogGap: &joblog.LogGap{Used: used,
		Gap: finish.Gap{Edge: finish.SideEdge, Width: width, Closing: finish.Caulked, Passes: 2}}}
}

func coat(used joblog.Used) joblog.Command {
	return joblog.Command{Kind: joblog.LogCoatKind, LogCoat: &joblog.LogCoat{Used: used}}
}

func (s *site) found(code string) *finding.Finding {
	for _, f := range s.view().Findings {
		if f.Code == code {
			return &f
		}
	}
	return nil
}

// TestTheSheetOfWhatWasUsedDecides logs two beads: one of a quick caulk whose sheet the crew
// entered, one of a caulk without a sheet, which waits the house rule's four hours.
func TestTheSheetOfWhatWasUsedDecides(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	quick := s.product(finish.Product{Kind: finish.CaulkProduct, Name: "Quick bead", Class: finish.Class50}, 60, finish.CaulkSkin, finish.CaulkCure)
	s.do(installer, caulked(in(0, 1, 8), warm(quick)))

	s.now = day.Add(59 * time.Minute)
	f := s.found("caulk_wet")
	if f == nil {
		t.Fatalf("59 minutes after a bead that cures in 60, nothing waits: %s", words(s.view().Findings))
	}
	if want := day.Add(time.Hour); f.ClearsAt == nil || !f.ClearsAt.Equal(want) {
		t.Errorf("clears at %v, want %v by the sheet", f.ClearsAt, want)
	}
	if want := "Drying time from Quick bead: 60 minutes."; f.Basis != want {
		t.Errorf("basis %q, want %q", f.Basis, want)
	}
	s.refused(installer, coat(joblog.Used{}), "caulk_wet")
	s.now = day.Add(time.Hour)
	if f := s.found("caulk_wet"); f != nil {
		t.Errorf("cured by its sheet, and yet: %s", f.Sentence)
	}

	s.do(installer, joblog.Command{Kind: joblog.LogGapKind, LogGap: &joblog.LogGap{Gap: finish.Gap{Edge: finish.SideEdge, Width: in(0, 1, 8), Closing: finish.Caulked, Passes: 1, Sealant: &finish.Sealant{Class: finish.Class50}}}})
	s.now = s.now.Add(31 * time.Minute)
	f = s.found("caulk_not_cured")
	if f == nil || !f.ClearsAt.Equal(day.Add(5*time.Hour)) || f.Basis != "Drying time from the house rule: 240 minutes." {
		t.Errorf("a bead of no sheet: %+v, want the house rule's 240 minutes", f)
	}

	// A better reading of the sheet judges what was logged with it.
	s.now = day.Add(2 * time.Hour)
	s.do(installer, joblog.Command{Kind: joblog.SetProductKind, SetProduct: &joblog.SetProduct{ProductID: quick, Product: finish.Product{Kind: finish.CaulkProduct, Name: "Quick bead", Class: finish.Class50,
		Sheet: finish.Sheet{Times: []finish.SheetTime{{Phase: finish.CaulkCure, Celsius: 200, Minutes: 600}}}}}})
	if f := s.found("caulk_not_cured"); f == nil || !f.ClearsAt.Equal(day.Add(10*time.Hour)) {
		t.Errorf("with the sheet put right: %+v, want a wait until ten hours after the first bead", f)
	}
}

// TestFillerDriesByItsSheet sands by the product's time, and sees where the wait is from.
func TestFillerDriesByItsSheet(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.do(installer, joblog.Command{Kind: joblog.LogFastenersKind, LogFasteners: &joblog.LogFasteners{Fastener: finish.Fastener{Kind: finish.Brad18, Length: in(1, 1, 4), Count: 8, Where: finish.JambEdge}}})
	light := s.product(finish.Product{Kind: finish.FillerProduct, Name: "Light filler"}, 25, finish.FillerSand)
	s.do(installer, joblog.Command{Kind: joblog.TreatHolesKind, TreatHoles: &joblog.TreatHoles{Kind: finish.Brad18, With: finish.Filler, Used: warm(light)}})
	if got, want := s.view().Holes[0].SandAt, day.Add(25*time.Minute); got == nil || !got.Equal(want) {
		t.Errorf("sand at %v, want %v", got, want)
	}
	sand := joblog.Command{Kind: joblog.SandKind, Sand: &joblog.Sand{Kind: finish.Brad18}}
	s.now = day.Add(24 * time.Minute)
	s.refused(installer, sand, "filler_not_dry")
	s.now = day.Add(25 * time.Minute)
	s.do(installer, sand)
	s.now = day.Add(26 * time.Minute)
	s.do(installer, coat(joblog.Used{}))
}

// TestProductsAreWhatTheyAre refuses a product in the wrong place and a sheet that cannot be.
func TestProductsAreWhatTheyAre(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	paint := s.product(finish.Product{Kind: finish.PaintProduct, Name: "Gloss"}, 120, finish.Recoat)
	caulk := s.product(finish.Product{Kind: finish.CaulkProduct, Name: "Bead", Class: finish.Class25}, 120, finish.CaulkCure)
	glue := s.product(finish.Product{Kind: finish.AdhesiveProduct, Name: "Grip"}, 120, finish.CaulkCure)
	s.refused(installer, caulked(in(0, 1, 8), warm(paint)), "product_wrong_kind")
	s.refused(installer, caulked(in(0, 1, 8), warm(s.id())), "product_gone")
	s.refused(installer, coat(warm(caulk)), "product_wrong_kind")
	s.refused(installer, coat(joblog.Used{Weather: finish.Weather{Celsius: ptr(finish.Tenths(700))}}), "air_bad")
	open := joblog.Command{Kind: joblog.LogGapKind, LogGap: &joblog.LogGap{Used: joblog.Used{ProductID: caulk}, Gap: finish.Gap{Edge: finish.SideEdge, Closing: finish.Scribed}}}
	s.refused(installer, open, "product_not_used")
	set := func(p joblog.SetProduct) joblog.Command {
		return joblog.Command{Kind: joblog.SetProductKind, SetProduct: &p}
	}
	s.refused(installer, set(joblog.SetProduct{ProductID: paint, Product: finish.Product{Kind: finish.CaulkProduct, Name: "Gloss"}}), "product_wrong_kind")
	s.refused(installer, set(joblog.SetProduct{ProductID: "7", Product: finish.Product{Kind: finish.CaulkProduct, Name: "Gloss"}}), "choice_bad")
	s.refused(installer, set(joblog.SetProduct{ProductID: s.id(), Product: finish.Product{Kind: finish.CaulkProduct, Name: " "}}), "text_bad")
	s.refused(installer, set(joblog.SetProduct{ProductID: s.id(), Product: finish.Product{Kind: finish.CaulkProduct, Name: "Bead", Class: 7}}), "sealant_class_unknown")
	s.refused(installer, joblog.Command{Kind: joblog.SetProductKind, ItemID: s.item, SetProduct: &joblog.SetProduct{ProductID: s.id(), Product: finish.Product{Kind: finish.CaulkProduct, Name: "Bead"}}}, "command_incomplete")

	toe := joblog.Command{Kind: joblog.LogFastenersKind, LogFasteners: &joblog.LogFasteners{ProductID: glue,
		Fastener: finish.Fastener{Kind: finish.Finish16, Length: in(2, 0, 0), Count: 2, Where: finish.Toe}}}
	s.do(installer, toe)
	if f := s.found("toe_unglued"); f != nil {
		t.Errorf("glued with %s, and yet: %s", "Grip", f.Sentence)
	}
	toe.ID, toe.LogFasteners = "", &joblog.LogFasteners{Fastener: toe.LogFasteners.Fastener}
	s.do(installer, toe)
	if s.found("toe_unglued") == nil {
		t.Error("toe nails without adhesive passed")
	}

	for range 200 - len(s.state.Job.Products) {
		s.product(finish.Product{Kind: finish.PuttyProduct, Name: "Putty"}, 1)
	}
	s.refused(installer, set(joblog.SetProduct{ProductID: s.id(), Product: finish.Product{Kind: finish.PuttyProduct, Name: "One more"}}), "too_many_products")
	s.do(installer, set(joblog.SetProduct{ProductID: paint, Gone: true, Product: finish.Product{Kind: finish.PaintProduct, Name: "Gloss"}}))
	if p := s.state.Job.Products[0]; !p.Gone || p.Name != "Gloss" {
		t.Errorf("first product %+v, want Gloss, gone, in its place", p)
	}
}

// TestClimateDecidesTheClass gives the casing's wood and the air of both seasons. Outside
// values: Wood Handbook table 4-2 at 70 °F, 30 % → 6.2 % and 60 % → 11.0 %; table 13-5, red
// oak tangential 0.00369. 2 3/4 in × 0.00369 × 4.8 = 0.0487 in, 19 % of a 1/4 in joint, which
// ASTM C920's ±25 takes; without a climate an upper floor would want 50.
func TestClimateDecidesTheClass(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	spec := chainSpec()
	spec.CasingA.Species, spec.CasingB.Species = "red_oak", "red_oak"
	s.do(lead, joblog.Command{Kind: joblog.SetItemKind, SetItem: &joblog.SetItem{Name: "Closet door", Spec: spec}})
	s.state.Rooms[s.room].Level = finish.Upper
	bead := s.product(finish.Product{Kind: finish.CaulkProduct, Name: "Bead 25", Class: finish.Class25}, 60, finish.CaulkCure)
	s.refused(installer, caulked(in(0, 1, 4), warm("018f0000-0000-7000-8000-0000000099ff")), "product_gone")
	s.do(installer, caulked(in(0, 1, 4), warm(bead)))
	if f := s.found("sealant_class_low"); f == nil || !strings.Contains(f.Sentence, "±50") {
		t.Fatalf("class 25 on an upper floor without a climate: %s", words(s.view().Findings))
	}
	if got, want := s.view().WallGaps[0].Need.Text, "Wants a caulk of class 50: upper floor, no climate known."; got != want {
		t.Errorf("need %q, want %q", got, want)
	}

	climate := &finish.Climate{Dry: finish.Air{Celsius: 211, Humidity: 300}, Damp: finish.Air{Celsius: 211, Humidity: 600}}
	s.refused(installer, joblog.Command{Kind: joblog.SetClimateKind, SetClimate: &joblog.SetClimate{Climate: climate}}, "lead_only")
	s.do(lead, joblog.Command{Kind: joblog.SetClimateKind, SetClimate: &joblog.SetClimate{Climate: climate}})
	if f := s.found("sealant_class_low"); f != nil {
		t.Errorf("with the climate known: %s", f.Sentence)
	}
	need := s.view().WallGaps[0].Need
	if need.Class != finish.Class25 || need.From != "climate" || need.Share < 19 || need.Share > 20 {
		t.Errorf("need %+v, want class 25 at 19 to 20 %% of the joint", need)
	}
	if want := "Wants a caulk of class 25: 2 3/4 of red oak moves 3/64 in a joint of 1/4, 19 % of it, as its moisture goes from 6.2 to 11.0 % (the climate set for the job)."; need.Text != want {
		t.Errorf("need says %q, want %q", need.Text, want)
	}

	// The room's own air counts before the job's.
	wide := &finish.Climate{Dry: finish.Air{Celsius: 211, Humidity: 200}, Damp: finish.Air{Celsius: 211, Humidity: 750}}
	s.do(lead, joblog.Command{Kind: joblog.SetClimateKind, RoomID: s.room, SetClimate: &joblog.SetClimate{Climate: wide}})
	if f := s.found("sealant_class_low"); f == nil || !strings.Contains(s.view().WallGaps[0].Need.Text, "the climate set for this room") {
		t.Errorf("a room that swings from 20 to 75 %%: %v, %s", f, s.view().WallGaps[0].Need.Text)
	}
	s.do(lead, joblog.Command{Kind: joblog.SetClimateKind, RoomID: s.room, SetClimate: &joblog.SetClimate{}})
	if f := s.found("sealant_class_low"); f != nil {
		t.Errorf("the room's air taken back, the job's counts: %s", f.Sentence)
	}

	// One face of unknown wood: nothing can be worked out, and the floor decides.
	spec.CasingB.Species = ""
	s.do(lead, joblog.Command{Kind: joblog.SetItemKind, SetItem: &joblog.SetItem{Name: "Closet door", Spec: spec}})
	if s.found("sealant_class_low") == nil {
		t.Error("a casing of unknown wood was taken for one that moves little")
	}
	hot := joblog.SetClimate{Climate: &finish.Climate{Dry: finish.Air{Celsius: 2110, Humidity: 300}, Damp: climate.Damp}}
	s.refused(lead, joblog.Command{Kind: joblog.SetClimateKind, SetClimate: &hot}, "climate_implausible")
	spec.CasingA.Species = "plank"
	s.refused(lead, joblog.Command{Kind: joblog.SetItemKind, SetItem: &joblog.SetItem{Name: "Closet door", Spec: spec}}, "choice_bad")
}

// TestVisibilityIsTheJobs wants every edge once the job says so, and says who said it.
func TestVisibilityIsTheJobs(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.do(installer, joblog.Command{Kind: joblog.LogGapKind, LogGap: &joblog.LogGap{Gap: finish.Gap{Edge: finish.SideEdge, Width: in(0, 1, 16), Closing: finish.LeftUnclosed}}})
	if f := s.found("bead_missing"); f != nil {
		t.Fatalf("an open side edge, as built in: %s", f.Sentence)
	}
	all := houserules.Set{"visibility": 1}
	s.state.Job.Rules = all
	f := s.found("bead_missing")
	if f == nil || f.Basis != "House rule for which edges want a bead: the job's." {
		t.Errorf("an open side edge where every edge is wanted: %+v", f)
	}
	if s.found("edge_not_logged") == nil {
		t.Error("nothing is logged along the top, and nobody asks")
	}
	s.state.Rooms[s.room].Rules = houserules.Set{"visibility": 0}
	if f := s.found("bead_missing"); f != nil {
		t.Errorf("in a room that goes without: %s", f.Sentence)
	}
	s.do(lead, joblog.Command{Kind: joblog.SetRulesKind, SetRules: &joblog.SetRules{Set: all}})
	if f := s.found("bead_missing"); f == nil || !strings.Contains(f.Basis, "this item's own") {
		t.Errorf("on the item itself: %+v", f)
	}
	s.refused(lead, joblog.Command{Kind: joblog.SetRulesKind, SetRules: &joblog.SetRules{Set: houserules.Set{"visibility": 2}}}, "rule_out_of_range")
}

// TestBaseHasNoSides: a run along the walls is not asked for a bead along its side.
func TestBaseHasNoSides(t *testing.T) {
	t.Parallel()
	gaps := []finish.Gap{{Edge: finish.TopEdge, Closing: finish.Caulked, Passes: 1}}
	c := finish.GapContext{Grade: trim.Paint, Visibility: finish.AllEdges}
	if fs := finish.CheckGaps(gaps, c); len(fs) > 0 {
		t.Errorf("base: %s", words(fs))
	}
	c.Sides = true
	if fs := finish.CheckGaps(gaps, c); len(fs) != 1 || fs[0].Code != "edge_not_logged" || fs[0].About != "side" {
		t.Errorf("casing: %s, want its side asked for", words(fs))
	}
}

// TestTheJobShowsWhatWoodSwingsBetween checks the moisture in the view of a job against the Wood
// Handbook (FPL-GTR-190), table 4-2, at 70 °F (21.1 °C): 6.2 % at 30 % humidity, 7.7 at 40,
// 9.2 at 50, 11.0 at 60, 13.1 at 70, 16.0 at 80. The equation is within 0.1 of the table.
func TestTheJobShowsWhatWoodSwingsBetween(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	board := func() joblog.JobView { return joblog.ViewJob(s.state, nil, joblog.Reader{Now: s.now}) }
	air := func(humidity finish.Tenths) finish.Air { return finish.Air{Celsius: 211, Humidity: humidity} }
	set := func(room string, c *finish.Climate) {
		s.do(lead, joblog.Command{Kind: joblog.SetClimateKind, RoomID: room, SetClimate: &joblog.SetClimate{Climate: c}})
	}
	near := func(name string, got *finish.Moisture, low, high float64) {
		t.Helper()
		if got == nil {
			t.Fatalf("%s: no moisture, want %.1f to %.1f %%", name, low, high)
		}
		if math.Abs(got.Low-low) > 0.1 || math.Abs(got.High-high) > 0.1 || got.Change != got.High-got.Low {
			t.Errorf("%s: %.2f to %.2f %%, %.2f in all; the table has %.1f to %.1f %%", name, got.Low, got.High, got.Change, low, high)
		}
	}
	if v := board(); v.Moisture != nil || v.Rooms[0].Moisture != nil {
		t.Errorf("no climate is set, and yet %+v and %+v", v.Moisture, v.Rooms[0].Moisture)
	}
	set("", &finish.Climate{Dry: air(300), Damp: air(600)})
	near("the job's air", board().Moisture, 6.2, 11.0)
	if m := board().Rooms[0].Moisture; m != nil {
		t.Errorf("the room has no air of its own, and yet %+v", m)
	}
	set(s.room, &finish.Climate{Dry: air(500), Damp: air(400)})
	near("a room whose driest was called damp", board().Rooms[0].Moisture, 7.7, 9.2)
	set(s.room, &finish.Climate{Dry: air(700), Damp: air(800)})
	near("a room beyond what the coefficients hold for", board().Rooms[0].Moisture, 13.1, 16.0)
	near("the job's air, the room's set beside it", board().Moisture, 6.2, 11.0)
	set("", nil)
	if m := board().Moisture; m != nil {
		t.Errorf("the job's air was taken back, and yet %+v", m)
	}
}
