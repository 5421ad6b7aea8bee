package stage_test

import (
	"strings"
	"testing"

	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

func list(ss []stage.Stage) string {
	out := make([]string, len(ss))
	for i, s := range ss {
		out[i] = string(s)
	}
	return strings.Join(out, " ")
}

// TestStagesOfEveryKind is the trade's table (common practice): measured → trimmed → hung →
// cased → nailed → filled → caulked → painted, and who skips what.
func TestStagesOfEveryKind(t *testing.T) {
	t.Parallel()
	const (
		hinged = "measured trimmed hung cased nailed filled caulked painted"
		frame  = "measured trimmed cased nailed filled caulked painted"
		window = "measured cased nailed filled caulked painted"
		run    = "measured trimmed nailed filled caulked painted"
	)
	for kind, want := range map[trim.Kind]string{
		trim.Door: hinged, trim.Pair: hinged, trim.Pocket: hinged, trim.Bifold: hinged, trim.Bypass: hinged,
		trim.CasedOpening: frame, trim.Window: window, trim.WallRun: run,
	} {
		w := stage.Work{Kind: kind, Grade: trim.Paint, Cased: kind != trim.WallRun, Jambs: kind != trim.WallRun}
		if got := list(stage.For(w)); got != want {
			t.Errorf("%s passes %s, want %s", kind, got, want)
		}
		w.Grade = trim.Stain
		if got, want := list(stage.For(w)), strings.Replace(want, "caulked ", "", 1); got != want {
			t.Errorf("%s in stain grade passes %s, want %s", kind, got, want)
		}
	}
	for name, tc := range map[string]struct {
		w    stage.Work
		want string
	}{
		"a door without casing":            {stage.Work{Kind: trim.Door, Grade: trim.Paint, Jambs: true}, "measured trimmed hung nailed filled caulked painted"},
		"a bifold where the board returns": {stage.Work{Kind: trim.Bifold, Grade: trim.Paint}, "measured trimmed hung painted"},
		"the same with casing":             {stage.Work{Kind: trim.Bifold, Grade: trim.Paint, Cased: true}, hinged},
		"a window with nothing round it":   {stage.Work{Kind: trim.Window, Grade: trim.Paint, Jambs: true}, "measured painted"},
	} {
		if got := list(stage.For(tc.w)); got != tc.want {
			t.Errorf("%s passes %s, want %s", name, got, tc.want)
		}
	}
}

func TestAfter(t *testing.T) {
	t.Parallel()
	if got := list(stage.After(stage.All(), stage.Filled)); got != "caulked painted" {
		t.Errorf("after filled: %s", got)
	}
	if got := stage.After(stage.ForRun(trim.Paint), stage.Hung); got != nil {
		t.Errorf("after a stage that is not passed: %s", list(got))
	}
}
