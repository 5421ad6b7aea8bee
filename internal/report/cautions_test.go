package report

import (
	"reflect"
	"strings"
	"testing"

	"longpoint/internal/yard"
)

// Every sheet that is taken to the saw has the cautions on it; the yard's sheet has none.
func TestEverySheetForTheSawHasTheCautions(t *testing.T) {
	t.Parallel()
	v := yard.PlanView{Cautions: []string{"Guard in place."}, Stocks: []yard.StockView{{Label: "base", Proof: "No plan costs less: proven."}}}
	for i := range 60 {
		v.Stocks[0].Sticks = append(v.Stocks[0].Sticks, yard.StickView{Number: i + 1, Text: "8 ft", Length: 2_438_400_000, Pieces: []yard.PieceView{
			{Item: "Hall base", Label: "piece 1", Text: "90", Length: 2_286_000_000}, {Item: strings.Repeat("A long name ", 4), Label: "piece 2", Text: "4", At: 2_290_000_000, Length: 101_600_000}}})
	}
	s := &sawSheet{Page: NewPage(Head{Title: "Saw plan", Page: "Page", Wide: true, Cautions: v.Cautions}), words: yard.Words("en"), density: 1}
	s.sticks(v)
	sheets := s.pdf.PageNo()
	s.yard(v, "House")
	if _, err := s.Bytes(); err != nil {
		t.Fatal(err)
	}
	want := []int{}
	for n := range sheets {
		want = append(want, n+1)
	}
	if sheets < 3 || !reflect.DeepEqual(s.cautioned, want) {
		t.Errorf("%d sheets for the saw: got the cautions on %v, want all of them and no other", sheets, s.cautioned)
	}
}
