package finish_test

import (
	"testing"

	"longpoint/internal/finish"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// One opening's finish: four nail entries, two treatments, four gaps, one joint by
// climate, the wait for paint.
func BenchmarkOpening(b *testing.B) {
	r := houserules.Defaults()
	c := casingContext()
	nails := []finish.Fastener{
		{Kind: finish.Brad18, Length: in(1, 1, 4), Count: 20, Where: finish.JambEdge},
		{Kind: finish.Finish16, Length: in(2, 0, 0), Count: 18, Where: finish.Stud},
		{Kind: finish.Finish15, Length: in(2, 0, 0), Count: 12, Where: finish.HiddenUnderStop},
		{Kind: finish.Pin23, Length: in(1, 0, 0), Count: 4, Where: finish.Corner},
	}
	treated := []finish.Treated{{Kind: finish.Pin23, With: finish.Caulk}, {Kind: finish.Brad18, With: finish.Caulk}, {Kind: finish.Finish16, With: finish.Caulk}}
	gap := finish.Gap{Edge: finish.SideEdge, Width: in(0, 3, 16), Run: 7 * length.Foot, Closing: finish.Caulked, Passes: 1}
	gc := finish.GapContext{Grade: trim.Paint, Rules: r}
	joint := finish.Joint{Width: in(0, 1, 4), Member: 5 * length.Inch, Species: "red_oak", Climate: &finish.Climate{
		Dry: finish.Air{Celsius: 210, Humidity: 300}, Damp: finish.Air{Celsius: 230, Humidity: 600}}}
	log := finish.DryLog{Filled: byFillerSheet(10, 180), Caulked: laid(20)}
	found := 0
	b.ReportAllocs()
	for b.Loop() {
		found = 0
		for _, f := range nails {
			found += len(finish.CheckFastener(f, c))
		}
		found += len(finish.MissingTreatments(nails, treated, trim.Paint))
		for range 4 {
			found += len(finish.CheckGap(gap, gc))
		}
		_, fs := finish.RequiredClass(joint)
		found += len(fs) + len(finish.CheckDry(noon, finish.FirstCoat, log, r))
	}
	if found == 0 {
		b.Fatal("a flawed opening gave no findings")
	}
}
