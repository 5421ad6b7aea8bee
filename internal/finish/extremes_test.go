package finish_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"

	"pgregory.net/rapid"
)

// wild draws numbers as a broken phone might send them: any 64 bits, mixed with plausible ones.
type wild struct{ t *rapid.T }

func (w wild) len() length.Length {
	return length.Length(rapid.OneOf(rapid.Int64(), rapid.Int64Range(-1, int64(length.Foot)),
		rapid.SampledFrom([]int64{math.MinInt64, math.MaxInt64, 0})).Draw(w.t, "length"))
}

func (w wild) lenPtr() *length.Length {
	if rapid.Bool().Draw(w.t, "nil") {
		return nil
	}
	return ptr(w.len())
}

func (w wild) float() float64 {
	bits := rapid.Custom(func(t *rapid.T) float64 { return math.Float64frombits(rapid.Uint64().Draw(t, "bits")) })
	return rapid.OneOf(bits, rapid.Float64Range(-50, 110), rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), math.Inf(-1), 0})).Draw(w.t, "float")
}

func (w wild) tenths() finish.Tenths { return finish.Tenths(w.int()) }

func (w wild) int() int64 {
	return rapid.OneOf(rapid.Int64(), rapid.Int64Range(-1, 20_000)).Draw(w.t, "int")
}

func (w wild) time() time.Time { return time.Unix(w.int(), 0) }

func (w wild) timePtr() *time.Time {
	if rapid.Bool().Draw(w.t, "nil") {
		return nil
	}
	return ptr(w.time())
}

func pick[T ~string](w wild, list []T) T {
	return rapid.SampledFrom(append(append([]T{}, list...), "", "x{y}")).Draw(w.t, "word")
}

func (w wild) rules() houserules.Rules {
	r := houserules.Defaults()
	if rapid.Bool().Draw(w.t, "wild rules") {
		r.NailIntoStud, r.JambNail, r.CaulkMost, r.ScribeMost = w.len(), w.len(), w.len(), w.len()
		r.FillerDry, r.CaulkSkin, r.CaulkCure, r.Recoat, r.Waste = w.int(), w.int(), w.int(), w.int(), w.int()
	}
	return r
}

func (w wild) sheet() finish.Sheet {
	s := finish.Sheet{Coldest: ptr(w.tenths())}
	for range rapid.IntRange(0, 3).Draw(w.t, "rows") {
		s.Times = append(s.Times, finish.SheetTime{Phase: pick(w, finish.Phases()), Celsius: w.tenths(), Humidity: ptr(w.tenths()), Minutes: w.int()})
	}
	return s
}

func (w wild) laid() finish.Laid {
	return finish.Laid{At: w.time(), Product: "x{y}", Sheet: w.sheet(), Weather: finish.Weather{Celsius: ptr(w.tenths()), Humidity: ptr(w.tenths())}}
}

func finite(t *rapid.T, what string, vs ...float64) {
	for _, v := range vs {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			t.Fatalf("%s has %v in it", what, v)
		}
	}
}

// Whatever comes in, nothing panics, nothing is NaN, no wait ends before it began, and every
// finding reads.
func TestExtremeInput(t *testing.T) {
	t.Parallel()
	rapid.Check(t, anyFinish)
}

func FuzzFinish(f *testing.F) {
	for i := range byte(6) { // long enough that every draw is fed from it
		text := make([]byte, 1<<14)
		rand.NewChaCha8([32]byte{i}).Read(text)
		f.Add(text)
	}
	f.Fuzz(rapid.MakeFuzz(anyFinish))
}

func anyFinish(t *rapid.T) {
	words := finding.In("en")
	grades := []trim.Grade{trim.Paint, trim.Stain}
	w := wild{t}
	r := w.rules()
	var all []finding.Finding
	f := finish.Fastener{Kind: pick(w, finish.Kinds()), Length: w.len(), Count: w.int(), Where: pick(w, finish.Places())}
	all = append(all, finish.CheckFastener(f, finish.Context{
		Stage: stage.Nailed, Grade: pick(w, grades), Material: pick(w, []string{"mdf", "wood"}), CasingThickness: w.lenPtr(),
		Behind: w.lenPtr(), WallLayers: w.lenPtr(), JambThickness: w.lenPtr(), ShimSpace: w.lenPtr(), Rules: r,
	})...)
	treated := finish.Treated{Kind: f.Kind, With: pick(w, finish.TreatmentKinds())}
	all = append(all, finish.MissingTreatments([]finish.Fastener{f}, []finish.Treated{treated}, pick(w, grades))...)

	g := finish.Gap{Edge: pick(w, finish.Edges()), Width: w.len(), Run: w.len(), Closing: pick(w, finish.Closings()), Passes: int(w.int())}
	gc := finish.GapContext{Grade: pick(w, grades), SeenFromAbove: true, Rules: r}
	all = append(all, finish.CheckGap(g, gc)...)
	all = append(all, finish.CheckGaps([]finish.Gap{g}, gc)...)

	j := finish.Joint{Width: w.len(), Member: w.len(), Species: "red_oak", Level: finish.Upper, Climate: &finish.Climate{
		Dry: finish.Air{Celsius: w.tenths(), Humidity: w.tenths()}, Damp: finish.Air{Celsius: w.tenths(), Humidity: w.tenths()},
	}}
	need, fs := finish.RequiredClass(j)
	finite(t, "the required class", need.Share)
	if need.Class == finish.NoClass && !finding.HasStop(fs) {
		t.Fatalf("no class and no stop for %+v", j)
	}
	if need.Moisture != nil {
		finite(t, "moisture", need.Moisture.Low, need.Moisture.High, need.Moisture.Change)
	}
	all = append(append(all, fs...), finish.CheckSealant(finish.Sealant{Class: finish.Class(w.int())}, need)...)

	beads := append(finish.BeadsOf(g, trim.Paint, r), finish.Bead{Section: pick(w, finish.Sections()), Width: w.len(), Depth: w.len(), Run: w.len()})
	caulk, fs := finish.Cartridges(beads, w.float(), r)
	all = append(all, fs...)
	filler, fs := finish.FillerFor([]finish.Hole{{Kind: f.Kind, Count: w.int()}}, w.len(), w.float(), r)
	all = append(all, fs...)
	finite(t, "a supply", caulk.CubicInches, caulk.FluidOunces, filler.CubicInches, filler.FluidOunces)
	if caulk.Packages < 0 || filler.Packages < 0 {
		t.Fatalf("less than nothing to buy: %+v, %+v", caulk, filler)
	}
	orders, fs := finish.NailOrders([]finish.Fastener{f, f}, []finish.Box{{Kind: f.Kind, Length: f.Length, Count: w.int()}}, r)
	all = append(all, fs...)
	for _, o := range orders {
		if o.Count < 2*f.Count || o.Boxes < 0 {
			t.Fatalf("order %+v for twice %+v", o, f)
		}
	}

	log := finish.DryLog{
		HolesOpen: true, Filled: []finish.Fill{{Laid: w.laid(), SandedAt: w.timePtr()}, {Laid: w.laid()}},
		Puttied: []finish.Laid{w.laid()}, Caulked: []finish.Laid{w.laid()}, Coated: []finish.Laid{w.laid(), w.laid()},
	}
	now := w.time()
	for _, f := range finish.CheckDry(now, pick(w, finish.Steps()), log, r) {
		if f.ClearsAt != nil && !f.ClearsAt.After(now) {
			t.Fatalf("%s clears at %v, not after now %v", f.Code, f.ClearsAt, now)
		}
		all = append(all, f)
	}
	all = append(all, finish.CheckLaid(stage.Painted, log.Coated)...)
	all = append(all, finish.CheckWeather(log.Coated[0].Weather)...)
	all = append(all, finish.CheckProduct(finish.Product{Kind: pick(w, finish.ProductKinds()), Sheet: w.sheet(), Class: finish.Class(w.int()), Latex: true})...)
	for _, f := range all {
		if s := words.Render(f, length.Style{}).Sentence; s == "" || s == f.Code {
			t.Fatalf("%s does not read: %q", f.Code, s)
		}
		for _, a := range f.Args {
			if a.Text == "-0" {
				t.Fatalf("%s prints -0 for %s", f.Code, a.Name)
			}
		}
	}
}
