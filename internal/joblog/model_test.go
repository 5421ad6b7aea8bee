package joblog_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"sort"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"longpoint/internal/finish"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/stage"
)

// codePattern finds the codes this package gives: by finding.New, or by the short helpers
// refuse(code), stop(code) and a line's add(code), whose only argument is the code.
var codePattern = regexp.MustCompile(`(?:finding\.New\("([a-z_]+)",|(?:refuse|stop|add|about)\("([a-z_]+)"\))`)

func codesInSource(t *testing.T) []string {
	t.Helper()
	files, err := filepath.Glob("*.go")
	if err != nil || len(files) == 0 {
		t.Fatalf("no sources: %v", err)
	}
	seen := map[string]bool{}
	for _, k := range []string{"create_job", "add_room", "add_item", "set_item", "assign", "assign_back", "set_rules", "take_reading",
		"take_reading_tool", "choose_take", "read_gap", "answer_check", "log_fasteners", "treat_holes", "sand", "log_gap", "log_coat",
		"log_coat_product", "take_stick", "take_stick_rack", "return_offcut", "return_offcut_place", "miscut", "saw_part", "withdraw", "tick_stage", "reopen_stage", "pass_stop", "note", "remove_item", "restore_item"} {
		seen["log_"+k] = true
	}
	for _, f := range files {
		if strings.HasSuffix(f, "_test.go") {
			continue
		}
		src, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range codePattern.FindAllSubmatch(src, -1) {
			if code := string(m[1]) + string(m[2]); code != "check_" { // completed with a check's name
				seen[code] = true
			}
		}
	}
	for _, c := range []string{"stop_off", "plumb", "closes_on_stop", "no_see_through", "runs_free"} {
		seen["check_"+c+"_no"] = true
	}
	var out []string
	for c := range seen {
		out = append(out, c)
	}
	sort.Strings(out)
	return out
}

// TestStageModel drives random commands and holds the machine to what it promises: a tick
// goes through exactly when the earlier stages are done and nothing stands against it, a
// refused command changes nothing, and the log replays to the same item.
func TestStageModel(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		s := newSite(t)
		if rapid.Bool().Draw(rt, "measured and cut") {
			s.takeAll()
			s.cut(stage.Trimmed)
			s.cut(stage.Cased)
		}
		for range rapid.IntRange(1, 40).Draw(rt, "commands") {
			s.now = s.now.Add(time.Duration(rapid.IntRange(0, 300).Draw(rt, "minutes")) * time.Minute)
			c := drawCommand(rt, s)
			before := s.view()
			state, _ := json.Marshal(s.state)
			who := installer
			if c.Kind == joblog.PassStopKind {
				who = lead
			}
			d := s.give(who, c)
			if d.Refused {
				if after, _ := json.Marshal(s.state); string(after) != string(state) {
					rt.Fatalf("refused %s changed the job", c.Kind)
				}
				for _, f := range joblog.Words("en").RenderAll(d.Findings, style) {
					if !wholeSentence(f) {
						rt.Fatalf("%s says %q %q", f.Code, f.Sentence, f.Remedy)
					}
				}
			}
			if c.TickStage != nil {
				checkTickAgainstPole(rt, before, c.TickStage.Stage, d.Refused)
			}
		}
		again := joblog.NewState()
		for _, e := range s.log {
			again.Apply(e)
		}
		want, _ := json.Marshal(s.state)
		if got, _ := json.Marshal(again); string(got) != string(want) {
			rt.Fatalf("the log replays to another job:\n got %s\nwant %s", got, want)
		}
		for _, e := range s.log {
			if v := joblog.ViewEntry(e, joblog.Reader{Style: style}); strings.ContainsAny(v.Sentence, "{}_") || v.Sentence == "" {
				rt.Fatalf("entry %s reads %q", v.Kind, v.Sentence)
			}
		}
	})
}

// checkTickAgainstPole compares what a tick did with what the pole showed before it.
func checkTickAgainstPole(rt *rapid.T, before joblog.ItemView, st stage.Stage, refused bool) {
	earlier := true
	for _, v := range before.Stages {
		if v.Stage != st {
			earlier = earlier && v.Status == stage.Done
			continue
		}
		free := true
		for _, f := range v.Findings {
			free = free && !f.Holds()
		}
		if may := earlier && free && v.Status != stage.Done; may == refused {
			rt.Fatalf("tick of %s refused is %v with pole %+v", st, refused, before.Stages)
		}
		return
	}
	if !refused {
		rt.Fatalf("tick of %s, which the item does not pass, went through", st)
	}
}

func drawCommand(rt *rapid.T, s *site) joblog.Command {
	stages := rapid.SampledFrom(stage.All())
	kinds := rapid.SampledFrom([]finish.Kind{finish.Brad18, finish.Finish16, finish.HandFinish})
	sixteenths := rapid.Int64Range(0, 12)
	switch rapid.IntRange(0, 11).Draw(rt, "kind") {
	case 0, 1, 2:
		return s.tickCommand(stages.Draw(rt, "stage"))
	case 3:
		return joblog.Command{Kind: joblog.ReopenStageKind, ReopenStage: &joblog.ReopenStage{Stage: stages.Draw(rt, "stage"), Reason: "again"}}
	case 4:
		r := chainReadings()
		names := make([]string, 0, len(r))
		for n := range r {
			names = append(names, n)
		}
		sort.Strings(names)
		n := rapid.SampledFrom(names).Draw(rt, "reading")
		return joblog.Command{Kind: joblog.TakeReadingKind, TakeReading: &joblog.TakeReading{Reading: n,
			Value: r[n] + length.Length(rapid.Int64Range(-3, 3).Draw(rt, "off"))*length.Sixteenth}}
	case 5:
		n := length.Length(sixteenths.Draw(rt, "narrow")) * length.Sixteenth
		return joblog.Command{Kind: joblog.ReadGapKind, ReadGap: &joblog.ReadGap{
			Line:   rapid.SampledFrom([]string{"hinge", "head", "strike", "casing_a", "casing_b"}).Draw(rt, "line"),
			Narrow: n, Wide: n + length.Length(rapid.Int64Range(0, 2).Draw(rt, "wider"))*length.Sixteenth}}
	case 6:
		return joblog.Command{Kind: joblog.AnswerCheckKind, AnswerCheck: &joblog.AnswerCheck{
			Check: rapid.SampledFrom([]string{"stop_off", "plumb", "closes_on_stop", "no_see_through"}).Draw(rt, "check"),
			Yes:   rapid.Float64().Draw(rt, "yes") < 0.8}}
	case 7:
		return joblog.Command{Kind: joblog.LogFastenersKind, LogFasteners: &joblog.LogFasteners{Fastener: finish.Fastener{
			Kind: kinds.Draw(rt, "fastener"), Length: length.Length(rapid.Int64Range(4, 12).Draw(rt, "quarters")) * length.Quarter,
			Count: rapid.Int64Range(0, 30).Draw(rt, "count"), Where: rapid.SampledFrom(finish.Places()).Draw(rt, "where")}}}
	case 8:
		return s.treat(kinds.Draw(rt, "fastener"), rapid.SampledFrom(finish.TreatmentKinds()).Draw(rt, "with"))
	case 9:
		return joblog.Command{Kind: joblog.SandKind, Sand: &joblog.Sand{Kind: kinds.Draw(rt, "fastener")}}
	case 10:
		return joblog.Command{Kind: joblog.LogCoatKind, LogCoat: &joblog.LogCoat{}}
	}
	keys := []string{"nothing"}
	for _, v := range s.view().Stages {
		keys = append(keys, v.Keys...)
	}
	return joblog.Command{Kind: joblog.PassStopKind, PassStop: &joblog.PassStop{Key: rapid.SampledFrom(keys).Draw(rt, "key"), Reason: "seen on site"}}
}

// BenchmarkViewItem is one full view of one measured opening.
func BenchmarkViewItem(b *testing.B) {
	t := &testing.T{}
	x := newSite(t)
	x.takeAll()
	scope := x.state.Scope(nil, joblog.Command{ItemID: x.item})
	r := joblog.Reader{Style: style, Now: x.now}
	b.ReportAllocs()
	for b.Loop() {
		joblog.ViewItem(scope, r)
	}
}
