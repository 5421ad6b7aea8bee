package joblog_test

import (
	"testing"

	"longpoint/internal/finding"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// labeled has the worked chain's door with a label on its slab, supplied that high, its
// pieces cut as computed.
func labeled(t *testing.T, supplied length.Length) *site {
	t.Helper()
	s := newSite(t)
	s.set(func(sp *joblog.Spec) {
		sp.Unit.Core, sp.Unit.FireLabel, sp.Unit.SlabHeight = trim.FireRated, "20 min", supplied
	})
	s.takeAll()
	s.tick(stage.Measured)
	s.cut(stage.Trimmed)
	return s
}

// args are a finding's lengths by name.
func args(f *finding.Finding) map[string]length.Length {
	out := map[string]length.Length{}
	for _, a := range f.Args {
		if a.Length != nil {
			out[a.Name] = *a.Length
		}
	}
	return out
}

// TestALabelIsJudgedByTheSlabAsCut saws more off a labeled slab than was computed. At most
// 3/4 may come off, and at most 3/4 be clear under it: the house rules' defaults.
func TestALabelIsJudgedByTheSlabAsCut(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name               string
		supplied, short    length.Length // short of the computed 79 1/8
		trimmed, clearance length.Length // as said; zero for nothing
	}{
		{"as computed, 3/4 off", in(79, 7, 8), 0, 0, 0},
		{"longer than computed", in(79, 7, 8), -in(0, 1, 16), 0, 0},
		{"a hair over 3/4", in(79, 7, 8), 1, in(0, 3, 4) + 1, 0},
		{"within the saw's tolerance, 13/16 off", in(79, 7, 8), in(0, 1, 16), in(0, 13, 16), 0},
		{"1 1/4 off, 7/8 clear", in(79, 7, 8), in(0, 1, 2), in(1, 1, 4), in(0, 7, 8)},
		{"supplied shorter, 3/4 clear over the low side", in(79, 1, 2), in(0, 3, 8), 0, 0},
		{"supplied shorter, a hair over 3/4 clear", in(79, 1, 2), in(0, 3, 8) + 1, in(0, 3, 4) + 1, in(0, 3, 4) + 1},
		{"computed over the limit, cut worse", in(80, 0, 0), in(0, 1, 16), in(0, 15, 16), 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			s := labeled(t, tt.supplied)
			s.do(installer, s.cutTo("slab", -tt.short))
			for code, want := range map[string]length.Length{"fire_trim": tt.trimmed, "fire_bottom": tt.clearance} {
				n := 0
				for _, f := range s.view().Findings {
					if f.Code == code {
						n++
					}
				}
				f := s.found(code)
				switch {
				case want == 0 && f != nil:
					t.Errorf("%s says %s", code, f.Sentence)
				case want == 0:
				case n != 1 || f.Severity != finding.Stop || !f.Safety || f.Stage != string(stage.Trimmed):
					t.Errorf("%d of %s, want one safety stop at trimmed: %+v", n, code, f)
				default:
					name := "trim"
					if code == "fire_bottom" {
						name = "clearance"
					}
					if got := args(f)[name]; got != want {
						t.Errorf("%s says %s of %s, want %s", code, name, got.Exact("in"), want.Exact("in"))
					}
				}
			}
			want := stage.Ready
			if tt.trimmed+tt.clearance > 0 || tt.short > in(0, 1, 16) {
				want = stage.Held
			}
			s.wantStatus(stage.Trimmed, want)
		})
	}
}

// TestALabelsPassCoversNoWorseCut: what a lead passed for one cut holds again for a worse.
func TestALabelsPassCoversNoWorseCut(t *testing.T) {
	t.Parallel()
	s := labeled(t, in(79, 7, 8))
	s.do(installer, s.cutTo("slab", -in(0, 1, 16)))
	pass := s.passing("fire_trim")
	s.refused(installer, pass, "lead_only")
	s.do(lead, pass)
	s.wantStatus(stage.Trimmed, stage.Ready)
	s.tick(stage.Trimmed)
	s.do(installer, s.cutTo("slab", -in(0, 1, 16)-1))
	s.wantStatus(stage.Trimmed, stage.Held)
}

// TestASlabWithoutALabelHasTheSawsTolerance: 1/16 more off a solid slab is nothing to say.
func TestASlabWithoutALabelHasTheSawsTolerance(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.takeAll()
	s.tick(stage.Measured)
	s.cut(stage.Trimmed)
	s.do(installer, s.cutTo("slab", -in(0, 1, 16)))
	s.wantStatus(stage.Trimmed, stage.Ready)
}
