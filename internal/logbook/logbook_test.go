package logbook_test

import (
	"testing"

	"longpoint/internal/finding"
	"longpoint/internal/joblog"
	"longpoint/internal/logbook"
	"longpoint/internal/stage"
)

func TestStageOfAnEntry(t *testing.T) {
	t.Parallel()
	key := finding.New("as_cut_off", finding.Stop).On("trimmed").At("head")
	for _, c := range []struct {
		command joblog.Command
		want    stage.Stage
	}{
		{joblog.Command{Kind: joblog.TakeReadingKind, TakeReading: &joblog.TakeReading{}}, stage.Measured},
		{joblog.Command{Kind: joblog.CutPiecesKind, CutPieces: &joblog.CutPieces{}}, stage.Trimmed},
		{joblog.Command{Kind: joblog.ReadGapKind, ReadGap: &joblog.ReadGap{Line: "head"}}, stage.Hung},
		{joblog.Command{Kind: joblog.ReadGapKind, ReadGap: &joblog.ReadGap{Line: "casing_b"}}, stage.Cased},
		{joblog.Command{Kind: joblog.SandKind, Sand: &joblog.Sand{}}, stage.Filled},
		{joblog.Command{Kind: joblog.TickStageKind, TickStage: &joblog.TickStage{Stage: stage.Caulked}}, stage.Caulked},
		{joblog.Command{Kind: joblog.ReopenStageKind, ReopenStage: &joblog.ReopenStage{Stage: stage.Hung}}, stage.Hung},
		{joblog.Command{Kind: joblog.PassStopKind, PassStop: &joblog.PassStop{Key: key.Key()}}, stage.Trimmed},
		{joblog.Command{Kind: joblog.PassStopKind, PassStop: &joblog.PassStop{Key: "odd"}}, ""},
		{joblog.Command{Kind: joblog.NoteKind, Note: &joblog.Note{}}, ""},
	} {
		if got := logbook.StageOf(c.command); got != c.want {
			t.Errorf("%s: got %q, want %q", c.command.Kind, got, c.want)
		}
	}
}

func TestAnAssignmentSaysToWhom(t *testing.T) {
	t.Parallel()
	given := joblog.Entry{Command: joblog.Command{Kind: joblog.AssignKind, Assign: &joblog.Assign{PersonID: "marco"}}}
	names := logbook.Names{"marco": "Marco Delgado"}
	for language, want := range map[string]string{"en": "Assigned to Marco Delgado.", "es": "Asignado a Marco Delgado."} {
		if got := logbook.View(given, names, joblog.Reader{Language: language}).Sentence; got != want {
			t.Errorf("%s: got %q, want %q", language, got, want)
		}
	}
	if got := logbook.View(given, nil, joblog.Reader{Language: "en"}).Sentence; got != "Assigned." {
		t.Errorf("to somebody without a name here: got %q", got)
	}
}
