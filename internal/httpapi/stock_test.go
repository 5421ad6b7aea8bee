package httpapi_test

import (
	"bytes"
	"net/http"
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
