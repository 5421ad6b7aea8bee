package finish_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"math"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
	"longpoint/internal/words/wordtest"
)

// everyFinding makes every finding the package has, at least once.
func everyFinding() []finding.Finding {
	var all []finding.Finding
	add := func(fs []finding.Finding) { all = append(all, fs...) }
	r := houserules.Defaults()
	nail := func(k finish.Kind, l length.Length, w finish.Where, with func(*finish.Context)) {
		c := casingContext()
		if with != nil {
			with(&c)
		}
		add(finish.CheckFastener(finish.Fastener{Kind: k, Length: l, Count: 1, Where: w}, c))
	}
	for _, k := range finish.Kinds() {
		for _, w := range finish.Places() {
			for _, l := range append(finish.StockLengths(k), 0, in(1, 7, 16), in(4, 0, 0)) {
				nail(k, l, w, nil)
				nail(k, l, w, func(c *finish.Context) {
					c.Material, c.Grade, c.WallLayers = "mdf", trim.Stain, ptr(in(1, 1, 4))
				})
				nail(k, l, w, func(c *finish.Context) { c.JambThickness = nil })
				nail(k, l, w, func(c *finish.Context) { c.Behind = ptr(in(0, 9, 16)) })
				nail(k, l, w, func(c *finish.Context) { c.Behind = ptr(-length.Inch) })
				nail(k, l, w, func(c *finish.Context) { c.CasingThickness, c.ShimSpace = ptr(-length.Inch), nil })
				nail(k, l, w, func(c *finish.Context) { c.CasingThickness = nil })
				nail(k, l, w, func(c *finish.Context) { c.WallLayers = nil })
			}
			add(finish.CheckNailing([]finish.Fastener{{Kind: k, Count: 1, Where: finish.Corner}}, []finish.Where{w}, stage.Nailed))
		}
		for _, t := range append(finish.TreatmentKinds(), "gum") {
			for _, g := range []trim.Grade{trim.Paint, trim.Stain, "raw"} {
				add(finish.CheckTreatment(k, t, g, false, false))
			}
		}
	}
	add(finish.CheckNailing(nil, nil, stage.Nailed))
	add(finish.CheckFastener(finish.Fastener{Kind: finish.Brad18, Where: finish.Stud}, casingContext()))
	add(finish.CheckFastener(finish.Fastener{Kind: "staple"}, casingContext()))
	add(finish.CheckFastener(finish.Fastener{Kind: finish.Brad18, Where: "roof"}, casingContext()))
	add(everyGapFinding(r))
	add(everySealantFinding())
	add(everyDryFinding(r))
	add(everyQuantityFinding(r))
	return all
}

func everyGapFinding(r houserules.Rules) (all []finding.Finding) {
	for _, g := range []trim.Grade{trim.Paint, trim.Stain, "raw"} {
		for _, v := range []finish.Visibility{"", finish.AllEdges, "x"} {
			for _, above := range []bool{false, true} {
				c := finish.GapContext{Grade: g, Visibility: v, SeenFromAbove: above, Rules: r}
				for _, e := range append(finish.Edges(), "roof") {
					for _, how := range append(finish.Closings(), "tape") {
						for _, w := range []length.Length{-1, 0, length.Eighth, in(0, 3, 8), length.Inch} {
							for _, passes := range []int{-1, 0, 1} {
								all = append(all, finish.CheckGap(finish.Gap{Edge: e, Closing: how, Width: w, Passes: passes}, c)...)
							}
						}
					}
				}
				all = append(all, finish.CheckGaps(nil, c)...)
				all = append(all, finish.CheckGaps([]finish.Gap{{Edge: finish.SideEdge}}, c)...)
			}
		}
	}
	return all
}

func everySealantFinding() (all []finding.Finding) {
	for _, dry := range []finish.Air{{Celsius: 210, Humidity: 50}, {Celsius: 2100, Humidity: 50}} {
		c := &finish.Climate{Dry: dry, Damp: finish.Air{Celsius: 210, Humidity: 900}}
		for _, w := range []length.Length{0, length.SixtyFourth} {
			for _, m := range []length.Length{-1, 10 * length.Inch} {
				_, fs := finish.RequiredClass(finish.Joint{Width: w, Member: m, Species: "red_oak", Climate: c})
				all = append(all, fs...)
			}
		}
		_, fs := finish.RequiredClass(finish.Joint{Width: 1, Member: 1, Species: "plank", Climate: c})
		all = append(all, fs...)
	}
	for _, j := range []finish.Joint{{}, {Grain: "rift"}} {
		_, fs := finish.RequiredClass(j)
		all = append(all, fs...)
	}
	for _, s := range []finish.Sealant{{}, {Class: 1}, {Class: finish.Class12}} {
		all = append(all, finish.CheckSealant(s, finish.Required{Class: finish.Class50})...)
	}
	return all
}

// everySheet gives every phase a row at 20 C and half damp air.
func everySheet() finish.Sheet {
	s := finish.Sheet{Coldest: ptr(finish.Tenths(100))}
	for _, p := range finish.Phases() {
		s.Times = append(s.Times, finish.SheetTime{Phase: p, Celsius: 200, Humidity: ptr(finish.Tenths(500)), Minutes: 60})
	}
	return s
}

func everyDryFinding(r houserules.Rules) (all []finding.Finding) {
	for _, step := range append(finish.Steps(), "varnish") {
		for _, at := range []*time.Time{nil, ago(-5), ago(1), ago(100), ago(9999)} {
			for _, sanded := range []*time.Time{nil, ago(0), ago(99)} {
				log := finish.DryLog{HolesOpen: true, Caulked: laid(101)}
				if at != nil {
					put := finish.Laid{Entry: "x", At: *at, Product: "Quick", Sheet: everySheet(), Weather: finish.Weather{Celsius: ptr(finish.Tenths(10)), Humidity: ptr(finish.Tenths(500))}}
					damp := put
					damp.Celsius, damp.Humidity = ptr(finish.Tenths(200)), ptr(finish.Tenths(900))
					log.Coated, log.Puttied = []finish.Laid{put}, []finish.Laid{put}
					log.Filled = []finish.Fill{{Laid: put, SandedAt: sanded}, {Laid: damp, SandedAt: sanded}}
					all = append(all, finish.CheckLaid(stage.Painted, log.Coated)...)
				}
				all = append(all, finish.CheckDry(noon, step, log, r)...)
				log.Caulked, log.Filled = log.Coated, nil
				if at != nil {
					log.Coated = []finish.Laid{log.Coated[0]}
					log.Coated[0].Weather = finish.Weather{Celsius: ptr(finish.Tenths(200)), Humidity: ptr(finish.Tenths(900))}
				}
				all = append(all, finish.CheckDry(noon, step, log, r)...)
			}
		}
	}
	for _, p := range append(finish.Phases(), "glue") {
		all = append(all, finish.CheckSheet(finish.Sheet{Times: []finish.SheetTime{{Phase: p}}})...)
	}
	for _, k := range append(finish.ProductKinds(), "glue") {
		all = append(all, finish.CheckProduct(finish.Product{Kind: k, Sheet: everySheet(), Class: finish.Class25})...)
	}
	all = append(all, finish.CheckWeather(finish.Weather{Celsius: ptr(finish.Tenths(990)), Humidity: ptr(finish.Tenths(-10))})...)
	return append(all, finish.CheckSheet(finish.Sheet{Times: make([]finish.SheetTime, 200)})...)
}

func everyQuantityFinding(r houserules.Rules) (all []finding.Finding) {
	wasteful := r
	wasteful.Waste = -1
	_, bead := finish.Cartridges([]finish.Bead{{}}, 10, r)
	_, pack := finish.Cartridges(nil, math.Inf(1), r)
	_, waste := finish.Cartridges(nil, 10, wasteful)
	_, holes := finish.FillerFor([]finish.Hole{{}}, 0, 10, r)
	_, box := finish.NailOrders([]finish.Fastener{{Kind: finish.Brad18, Where: finish.Stud, Count: 1}}, []finish.Box{{Kind: finish.Brad18}}, r)
	for _, fs := range [][]finding.Finding{bead, pack, waste, holes, box} {
		all = append(all, fs...)
	}
	return all
}

func TestEveryFindingReads(t *testing.T) {
	t.Parallel()
	words := finding.In("en")
	seen := map[string]bool{}
	for _, f := range everyFinding() {
		seen[f.Code] = true
		if _, ok := words.Findings[f.Code]; !ok {
			t.Errorf("%s has no words", f.Code)
			continue
		}
		for _, a := range f.Args {
			if _, ok := words.Terms[a.Term]; a.Term != "" && !ok {
				t.Errorf("%s: term %q has no word", f.Code, a.Term)
			}
		}
		for _, unit := range []length.Unit{length.Inches, length.Millimeters} {
			got := words.Render(f, length.Style{Unit: unit})
			for part, s := range map[string]string{"sentence": got.Sentence, "remedy": got.Remedy, "basis": got.Basis} {
				if s == "" || strings.ContainsAny(s, "{}") || !strings.HasSuffix(s, ".") {
					t.Errorf("%s: %s %q is empty, unfilled or unfinished", f.Code, part, s)
				}
			}
		}
	}
	all := everyFinding()
	provoke := map[string]wordtest.Provoke{}
	for code := range seen {
		provoke[code] = func() []finding.Finding { return all }
	}
	wordtest.Provoked(t, "testdata/findings.txt", []string{"finish"}, provoke)
}

// Every word in lower case in the source is a code or a term, so both have English.
func TestEveryKeyInTheSourceHasWords(t *testing.T) {
	t.Parallel()
	words := finding.In("en")
	key := regexp.MustCompile(`^[a-z][a-z0-9]*(_[a-z0-9]+)*$`)
	sources, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	args := argNames()
	keys := 0
	for _, source := range sources {
		if strings.HasSuffix(source, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), source, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.ImportSpec:
				return false
			case *ast.BasicLit:
				s, err := strconv.Unquote(n.Value)
				if n.Kind != token.STRING || err != nil || !key.MatchString(s) || args[s] {
					return true
				}
				keys++
				if _, code := words.Findings[s]; code {
					return true
				}
				_, term := words.Terms[s]
				_, edge := words.Terms["edge_"+s] // an edge is said with its preposition
				if !term && !edge {
					t.Errorf("%q is neither a finding nor a term of the catalog", s)
				}
			}
			return true
		})
	}
	if keys < 100 {
		t.Errorf("only %d keys found in the source: the search is broken", keys)
	}
}

// argNames are the names sentences use in braces, which are not terms themselves.
func argNames() map[string]bool {
	names := map[string]bool{}
	for _, f := range everyFinding() {
		for _, a := range f.Args {
			names[a.Name] = true
		}
	}
	return names
}

func TestListedValuesHaveTerms(t *testing.T) {
	t.Parallel()
	terms := finding.In("en").Terms
	var keys []string
	for _, k := range finish.Kinds() {
		keys = append(keys, string(k), "holes_"+string(k))
	}
	for _, w := range finish.Places() {
		keys = append(keys, string(w))
	}
	for _, x := range finish.TreatmentKinds() {
		keys = append(keys, string(x))
	}
	for _, e := range finish.Edges() {
		keys = append(keys, "edge_"+string(e))
	}
	for _, c := range finish.Closings() {
		keys = append(keys, "closing_"+string(c))
	}
	for _, p := range finish.Phases() {
		keys = append(keys, string(p))
	}
	for _, s := range finish.Steps() {
		keys = append(keys, string(s))
	}
	for _, s := range finish.Sections() {
		keys = append(keys, string(s))
	}
	for _, s := range finish.AllSpecies() {
		keys = append(keys, s.Key, s.Basis)
	}
	r := houserules.Defaults()
	move, _ := finish.MemberMovement(length.Inch, 0.003, 4)
	keys = append(keys, move.Formula, move.Basis, finish.NeedLength(1, 1, r).Basis, finish.NeedThroughJamb(1, 1, r).Basis)
	for _, term := range append(append(finish.NeedLength(1, 1, r).Terms, finish.NeedThroughJamb(1, 1, r).Terms...), move.Terms...) {
		keys = append(keys, term.Name)
	}
	for _, k := range keys {
		if terms[k] == "" {
			t.Errorf("term %q has no word", k)
		}
	}
}
