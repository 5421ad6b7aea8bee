package httpapi_test

import (
	"bytes"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"

	"longpoint/internal/httpapi"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/stock"
	"longpoint/internal/trim"
	"longpoint/internal/yard"
)

func (c *client) stock(h house) httpapi.StockSheet {
	c.t.Helper()
	var s httpapi.StockSheet
	c.get(h.path("/stock")).want(http.StatusOK).into(&s)
	return s
}

func (c *client) plan(h house, ask yard.Ask) httpapi.StockSheet {
	c.t.Helper()
	var s httpapi.StockSheet
	c.post(h.path("/stock/plan"), ask).want(http.StatusOK).into(&s)
	return s
}

// From readings to sticks on the saw: the lead lists the yard and plans, the installer takes a
// stick and cuts, and everybody sees the same plan move.
func TestFromCutsToSticks(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	bo := b.as(b.ours.installer)
	if s := h.lead.stock(h); s.Plan != nil || len(s.Rack) != 0 {
		t.Errorf("before the first plan: got %+v", s)
	}
	h.lead.get(h.path("/stock/plan.csv")).refused(http.StatusNotFound, "not_found")
	if p := h.lead.plan(h, yard.Ask{}).Plan; p.Pieces != 0 || len(p.LeftOut) != 1 || p.LeftOut[0].Why != yard.NotMeasured {
		t.Errorf("before the readings: got %+v, want the door left out as not measured", p)
	}
	bo.send(h, append(h.chain(), joblog.Command{Kind: joblog.TickStageKind, ItemID: h.item, TickStage: &joblog.TickStage{Stage: stage.Measured}})...)

	casing := joblog.Stock{Kind: "casing", Width: length.In(2, 3, 4), Thickness: length.In(0, 3, 4), Grade: trim.Paint}
	list := httpapi.StockListSet{Lines: []yard.Line{{Stock: casing, Flat: true, Offers: []yard.Offer{
		{Length: 14 * length.Foot, Cents: 1800, Limit: yard.NoLimit}, {Length: 8 * length.Foot, Cents: 1000, Limit: yard.NoLimit}}}}}
	bo.do(http.MethodPut, "/api/v1/stock/list", encode(t, list), nil).refused(http.StatusForbidden, "forbidden")
	h.lead.do(http.MethodPut, "/api/v1/stock/list", encode(t, list), nil).want(http.StatusOK)
	bad := httpapi.StockListSet{Lines: []yard.Line{{Stock: casing, Offers: []yard.Offer{{Length: -1, Cents: 1, Limit: -1}}}}}
	h.lead.do(http.MethodPut, h.path("/stock/list"), encode(t, bad), nil).refused(http.StatusUnprocessableEntity, "invalid")

	s := h.lead.plan(h, yard.Ask{Nest: true})
	var casingPlan *yard.StockView
	for i := range s.Plan.Stocks {
		if s.Plan.Stocks[i].Stock == casing {
			casingPlan = &s.Plan.Stocks[i]
		}
	}
	// Two faces: heads of 36, legs of 79 5/8 and 79 3/4 (the worked chain). Two legs and a kerf take
	// 159 1/2, a head more 195 5/8: past 14 ft (168). So two 14 ft sticks for the legs, and the heads need 72 1/8, a stick of 8 ft: $46.
	if casingPlan == nil || !casingPlan.Optimal || casingPlan.Value != 4600 || len(casingPlan.Sticks) != 3 {
		t.Fatalf("casing: got %+v, want three sticks for $46.00, proven", casingPlan)
	}
	stick := casingPlan.Sticks[0]
	first := stick.Pieces[0]
	bo.send(h,
		joblog.Command{ID: stick.ID, Kind: joblog.TakeStickKind, TakeStick: &joblog.TakeStick{Stock: casing, Length: stick.Length}},
		joblog.Command{Kind: joblog.CutPiecesKind, ItemID: first.ItemID, CutPieces: &joblog.CutPieces{StickID: stick.ID,
			Pieces: []joblog.CutPiece{{Piece: first.Piece, Computed: first.Computed, AsCut: first.Computed}}}})
	seen := h.lead.stock(h).Plan
	if seen.ID != s.Plan.ID || seen.Cut != 1 || !seen.Stocks[0].Sticks[0].Taken && !seen.Stocks[len(seen.Stocks)-1].Sticks[0].Taken {
		t.Errorf("the lead's plan: got %s with %d cut; want %s with 1 and its stick on the saw", seen.ID, seen.Cut, s.Plan.ID)
	}
	for _, c := range bo.item(h).Cuts {
		if c.Piece == first.Piece && c.State != joblog.PieceCutOK {
			t.Errorf("the opening's own view has the piece as %s, want cut", c.State)
		}
	}
	bo.send(h, joblog.Command{Kind: joblog.ReturnOffcutKind, ReturnOffcut: &joblog.ReturnOffcut{Stock: casing, Length: 7 * length.Foot, Place: "hall", StickID: stick.ID}})
	again := bo.plan(h, yard.Ask{})
	if len(again.Rack) != 1 || again.Rack[0].Text != "84" || again.Rack[0].Place != "hall" {
		t.Errorf("rack: got %+v, want one of 84 in the hall", again.Rack)
	}
	used := false
	for _, sv := range again.Plan.Stocks {
		for _, k := range sv.Sticks {
			used = used || k.From == yard.Rack && k.OffcutID == again.Rack[0].ID
		}
	}
	if !used {
		t.Error("the offcut on the rack is not in the new plan")
	}
	table := h.lead.get(h.path("/stock/plan.csv")).want(http.StatusOK)
	if !strings.HasPrefix(table.header.Get("Content-Type"), "text/csv") || !bytes.Contains(table.body, []byte("Hall door")) {
		t.Errorf("CSV: got %s %.200s", table.header.Get("Content-Type"), table.body)
	}
	sheet := h.lead.get(h.path("/stock/plan.pdf")).want(http.StatusOK)
	if sheet.header.Get("Content-Type") != "application/pdf" || !bytes.HasPrefix(sheet.body, []byte("%PDF-")) {
		t.Errorf("PDF: got %s %.20q", sheet.header.Get("Content-Type"), sheet.body)
	}
	// Fewest sticks counts sticks.
	few := h.lead.plan(h, yard.Ask{Objective: stock.FewestSticks, Seconds: 1})
	for _, sv := range few.Plan.Stocks {
		if sv.Measure != yard.Count {
			t.Errorf("fewest sticks: %s is measured by %s", sv.Label, sv.Measure)
		}
	}
	// A job's own line takes the place of the company's.
	own := httpapi.StockListSet{Lines: []yard.Line{{Stock: casing, Offers: []yard.Offer{{Length: 16 * length.Foot, Cents: 900, Limit: yard.NoLimit}}}}}
	var sheetOf httpapi.StockSheet
	h.lead.do(http.MethodPut, h.path("/stock/list"), encode(t, own), nil).want(http.StatusOK).into(&sheetOf)
	for _, l := range sheetOf.List {
		if l.Stock == casing && (l.Origin != yard.OfJob || len(l.Offers) != 1) {
			t.Errorf("the casing's line: got %+v, want the job's own", l)
		}
	}
	// Strangers see nothing of it.
	far := b.as(b.strangers.lead)
	far.get(h.path("/stock")).refused(http.StatusNotFound, "not_found")
	far.post(h.path("/stock/plan"), yard.Ask{}).refused(http.StatusNotFound, "not_found")
	far.do(http.MethodPut, h.path("/stock/list"), encode(t, own), nil).refused(http.StatusNotFound, "not_found")
	var theirs httpapi.StockListSet
	far.get("/api/v1/stock/list").want(http.StatusOK).into(&theirs)
	if len(theirs.Lines) != 0 {
		t.Errorf("a stranger's list: got %+v, want nothing", theirs)
	}
}

// What cannot be planned is a sentence at the door too, never a wait or a mistake of ours.
func TestWhatCannotBePlannedIsSaidAtTheDoor(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Lintel Street")
	b.as(b.ours.installer).send(h, append(h.chain(), joblog.Command{Kind: joblog.TickStageKind, ItemID: h.item, TickStage: &joblog.TickStage{Stage: stage.Measured}})...)
	casing := joblog.Stock{Kind: "casing", Width: length.In(2, 3, 4), Thickness: length.In(0, 3, 4), Grade: trim.Paint}
	casingOf := func(offer yard.Offer) yard.StockView {
		list := httpapi.StockListSet{Lines: []yard.Line{{Stock: casing, Offers: []yard.Offer{offer}}}}
		h.lead.do(http.MethodPut, h.path("/stock/list"), encode(t, list), nil).want(http.StatusOK)
		plan := h.lead.plan(h, yard.Ask{}).Plan
		for _, sv := range plan.Stocks {
			if sv.Stock == casing {
				return sv
			}
		}
		t.Fatalf("no casing in %+v", plan.Stocks)
		return yard.StockView{}
	}
	// Legs are one piece (79 5/8 and 79 3/4, the worked chain): no stick of 6 ft holds them, the heads of 36 it does.
	sv := casingOf(yard.Offer{Length: 6 * length.Foot, Cents: 900, Limit: yard.NoLimit})
	if long := tooLong(h.lead.stock(h).Plan); long != 4 || len(sv.Sticks) == 0 {
		t.Errorf("sticks of 6 ft: %d pieces too long and %d sticks, want 4 legs left out and the heads cut", long, len(sv.Sticks))
	}
	if sv = casingOf(yard.Offer{Length: 14 * length.Foot, Cents: 900, Limit: 0}); sv.Refused != "There is no stick to cut from." {
		t.Errorf("none to be had: %q", sv.Refused)
	}
	if sv = casingOf(yard.Offer{Length: 8 * length.Foot, Cents: 900, Limit: 2}); !strings.Contains(sv.Refused, "cannot give all the pieces") {
		t.Errorf("two sticks for four legs: %q", sv.Refused)
	}
	if sv = casingOf(yard.Offer{Length: 14 * length.Foot, Cents: yard.NoPrice, Limit: yard.NoLimit}); sv.Measure != yard.Bought || !strings.Contains(sv.Proof, "Prices are missing") {
		t.Errorf("no price: measured by %s, says %q", sv.Measure, sv.Proof)
	}

	// Twenty-six runs along two hundred walls are more than is planned at once.
	room := newID()
	walls := make([]trim.Wall, trim.MostWalls)
	readings := make([]joblog.Command, trim.MostWalls)
	for i := range walls { // steps, so that none crosses another
		walls[i].Turn = []trim.Turn{trim.Inside, trim.Outside}[i%2]
		readings[i] = joblog.Command{Kind: joblog.TakeReadingKind, RoomID: room, TakeReading: &joblog.TakeReading{
			Reading: fmt.Sprintf("wall_%d_length", i+1), Value: 3 * length.Foot, Tool: "laser"}}
	}
	sent := h.lead.send(h, joblog.Command{Kind: joblog.AddRoomKind, RoomID: room, AddRoom: &joblog.AddRoom{Name: "Stair hall", Level: "ground"}},
		joblog.Command{Kind: joblog.SetWallsKind, RoomID: room, SetWalls: &joblog.SetWalls{Walls: trim.Room{Open: true, Walls: walls}}})
	outcomes := append(sent.Outcomes, h.lead.send(h, readings...).Outcomes...)
	var runs []joblog.Command
	for i := range 26 {
		item := newID()
		runs = append(runs, joblog.Command{Kind: joblog.AddItemKind, RoomID: room, ItemID: item, AddItem: &joblog.AddItem{Name: fmt.Sprintf("Run %d", i), Spec: joblog.Spec{
			Unit: trim.Unit{Kind: trim.WallRun, Grade: trim.Paint}, Run: &joblog.RunSpec{Profile: trim.Profile{Kind: trim.Base, Height: 5 * length.Inch, Thickness: length.Half}}}}},
			joblog.Command{Kind: joblog.TickStageKind, ItemID: item, TickStage: &joblog.TickStage{Stage: stage.Measured}})
	}
	// A few at a time: each is worked out along all the walls, and the service ends a batch that takes long.
	for few := range slices.Chunk(runs, 4) {
		outcomes = append(outcomes, h.lead.send(h, few...).Outcomes...)
	}
	for _, o := range outcomes {
		if !o.Applied {
			t.Fatalf("refused: %+v", o.Findings)
		}
	}
	h.lead.post(h.path("/stock/plan"), yard.Ask{}).refused(http.StatusRequestEntityTooLarge, "too_large")
	if p := h.lead.plan(h, yard.Ask{Items: []string{h.item}}).Plan; len(p.Stocks) == 0 {
		t.Error("one opening of that job is not planned")
	}
}

func tooLong(p *yard.PlanView) int {
	n := 0
	for _, l := range p.LeftOut {
		if l.Why == yard.TooLong {
			n++
		}
	}
	return n
}
