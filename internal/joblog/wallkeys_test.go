package joblog_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// layWalls lays the room out with walls by name; was as a command of an app that says which is
// which, none as one of an app that does not.
func (s *site) layWalls(names []string, open bool, was []int) {
	s.t.Helper()
	walls := trim.Room{Open: open}
	for _, name := range names {
		walls.Walls = append(walls.Walls, trim.Wall{ID: name})
	}
	s.onRoom(joblog.Command{Kind: joblog.SetWallsKind, SetWalls: &joblog.SetWalls{Walls: walls, Was: was}})
}

func (s *site) run(name string, along []int, choices []trim.CornerChoice) string {
	s.t.Helper()
	sp := baseSpec()
	sp.Run.Along, sp.Run.Corners.Choices = along, choices
	id := s.id()
	s.do(lead, joblog.Command{Kind: joblog.AddItemKind, RoomID: s.room, ItemID: id, AddItem: &joblog.AddItem{Name: name, Spec: sp}})
	return id
}

// TestChoicesStayWithTheirWalls puts walls in, takes walls out and begins the walk at another
// wall, as people do: what a run chose for the corner of two walls is found at those two walls
// as long as they meet there, the walls it goes along are the same walls, and what is gone is
// said. The model knows walls by their names alone.
func TestChoicesStayWithTheirWalls(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		s := newSite(t)
		made := 0
		name := func() string { made++; return fmt.Sprintf("wall %d", made) }
		var walls []string
		for range rapid.IntRange(3, 8).Draw(rt, "walls") {
			walls = append(walls, name())
		}
		open := rapid.Bool().Draw(rt, "open")
		s.layWalls(walls, open, nil)
		type pair [2]string
		corners, along := map[pair]trim.Hand{}, []string{}
		choose := func() (numbers []int, choices []trim.CornerChoice) {
			clear(corners)
			along = along[:0]
			for i := range walls {
				if rapid.Bool().Draw(rt, "goes along") {
					numbers, along = append(numbers, i+1), append(along, walls[i])
				}
				if (!open || i < len(walls)-1) && rapid.Bool().Draw(rt, "chosen") {
					hand := rapid.SampledFrom([]trim.Hand{trim.LeftPiece, trim.RightPiece}).Draw(rt, "first")
					choices = append(choices, trim.CornerChoice{After: i + 1, First: hand})
					corners[pair{walls[i], walls[(i+1)%len(walls)]}] = hand
				}
			}
			return numbers, choices
		}
		s.item = s.run("Base", nil, nil)
		set := func() {
			numbers, choices := choose()
			sp := baseSpec()
			sp.Run.Along, sp.Run.Corners.Choices = numbers, choices
			s.do(lead, joblog.Command{Kind: joblog.SetItemKind, SetItem: &joblog.SetItem{Name: "Base", Spec: sp}})
		}
		set()
		for range rapid.IntRange(1, 5).Draw(rt, "changes") {
			was, next := []int{}, slices.Clone(walls)
			switch what := rapid.IntRange(0, 3).Draw(rt, "what"); {
			case what == 0 && len(walls) > 3:
				at := rapid.IntRange(0, len(walls)-1).Draw(rt, "out")
				next = slices.Delete(next, at, at+1)
			case what == 1:
				next = slices.Insert(next, rapid.IntRange(0, len(walls)).Draw(rt, "in"), name())
			case what == 2:
				by := rapid.IntRange(0, len(walls)-1).Draw(rt, "begins at")
				next = append(slices.Clone(walls[by:]), walls[:by]...)
			}
			for _, w := range next {
				was = append(was, slices.Index(walls, w)+1)
			}
			walls = next
			s.layWalls(walls, open, was)
			if rapid.IntRange(0, 4).Draw(rt, "set anew") == 0 {
				set()
			}
		}

		v := s.view()
		var wantAlong []string
		for _, w := range along {
			if slices.Contains(walls, w) {
				wantAlong = append(wantAlong, w)
			}
		}
		var gotAlong []string
		for _, n := range v.Spec.Run.Along {
			gotAlong = append(gotAlong, walls[n-1])
		}
		slices.Sort(wantAlong)
		slices.Sort(gotAlong)
		if !slices.Equal(gotAlong, wantAlong) {
			rt.Errorf("goes along %v of %v, want %v", gotAlong, walls, wantAlong)
		}
		gone := len(corners)
		for _, c := range v.Spec.Run.Corners.Choices {
			at := pair{walls[c.After-1], walls[c.After%len(walls)]}
			if open && c.After == len(walls) {
				rt.Errorf("a choice for the end of an open walk of %v", walls)
			}
			if hand, ok := corners[at]; !ok || hand != c.First {
				rt.Errorf("%s first at %v, where %q was chosen (%v)", c.First, at, hand, corners)
			}
			gone--
		}
		for at := range corners {
			i := slices.Index(walls, at[0])
			meet := i >= 0 && walls[(i+1)%len(walls)] == at[1] && (!open || i < len(walls)-1)
			if meet && !slices.ContainsFunc(v.Spec.Run.Corners.Choices, func(c trim.CornerChoice) bool { return c.After == i+1 }) {
				rt.Errorf("%v meet in %v and their choice is lost", at, walls)
			}
		}
		for code, want := range map[string]bool{
			"corner_choice_gone": gone > 0,
			"run_wall_gone":      len(wantAlong) < len(along) && len(wantAlong) > 0,
			"run_walls_gone":     len(along) > 0 && len(wantAlong) == 0,
		} {
			if got := s.found(code) != nil; got != want {
				rt.Errorf("%s is said %t, want %t: along %v of %v, corners %v", code, got, want, along, walls, corners)
			}
		}
		again := joblog.NewState()
		for _, e := range s.log {
			again.Apply(e)
		}
		got, _ := json.Marshal(again)
		if want, _ := json.Marshal(s.state); string(got) != string(want) {
			rt.Errorf("the log folds to another job:\n got %s\nwant %s", got, want)
		}
	})
}

// TestAnAppThatDoesNotSayWhichWallIsWhich: its commands mean what they always did. Every wall
// keeps its number, and the choices theirs.
func TestAnAppThatDoesNotSayWhichWallIsWhich(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.layWalls([]string{"a", "b", "c", "d"}, false, nil)
	s.item = s.run("Base", []int{2, 3}, []trim.CornerChoice{{After: 2, Inside: trim.InsideMiter}})
	s.layWalls([]string{"a", "new", "b", "c", "d"}, false, nil)
	s.layWalls([]string{"a", "new", "b", "c"}, false, nil)
	run := s.view().Spec.Run
	if !slices.Equal(run.Along, []int{2, 3}) || run.Corners.Choices[0].After != 2 {
		t.Errorf("along %v, corner after %d; want 2 and 3, and 2", run.Along, run.Corners.Choices[0].After)
	}
	if r := s.state.Rooms[s.room]; r.Layout.Keys != nil || s.state.Items[s.item].OnWalls != nil {
		t.Errorf("the room keeps %+v, the run %v; an old log folds to neither", r.Layout.Keys, s.state.Items[s.item].OnWalls)
	}
}

// TestAWallPutInMovesTheCorner: base on the back wall and the one right of it, the corner between
// them mitered. A wall put in before them leaves the pieces and the joint where they were.
func TestAWallPutInMovesTheCorner(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.layWalls([]string{"door", "right", "back", "left"}, false, nil)
	s.item = s.run("Rail", []int{2, 3}, []trim.CornerChoice{{After: 2, Inside: trim.InsideMiter}})
	lengths := func(ls ...length.Length) {
		for i, l := range ls {
			s.wall(i+1, l)
		}
	}
	// A niche of two walls and a jog between door and right.
	s.layWalls([]string{"door", "jog", "step", "right", "back", "left"}, false, []int{1, 0, 0, 2, 3, 4})
	lengths(in(96, 0, 0), in(24, 0, 0), in(48, 0, 0), in(96, 0, 0), in(144, 0, 0), in(120, 0, 0))
	v := s.view()
	if !slices.Equal(v.Spec.Run.Along, []int{4, 5}) || len(v.Spec.Run.Corners.Choices) != 1 || v.Spec.Run.Corners.Choices[0].After != 4 {
		t.Fatalf("along %v, corners %+v; want walls 4 and 5 and the corner after 4", v.Spec.Run.Along, v.Spec.Run.Corners.Choices)
	}
	at := slices.IndexFunc(v.Run.Corners, func(c joblog.RunCornerView) bool { return c.After == 4 })
	if at < 0 || v.Run.Corners[at].Left != "inside miter" || v.Run.Corners[at].Right != "inside miter" {
		t.Errorf("the corners are %+v, want that of right and back mitered", v.Run.Corners)
	}
	// Taking the back wall out parts the corner and leaves one wall to go along.
	s.layWalls([]string{"door", "jog", "step", "right", "left"}, false, []int{1, 2, 3, 4, 6})
	f := s.found("corner_choice_gone")
	if f == nil || f.Stage != "trimmed" || f.Sentence != "A corner was to be made another way, between walls that no longer meet." {
		t.Errorf("%+v, want it said that the corner is gone", f)
	}
	if s.found("run_wall_gone") == nil || !slices.Equal(s.view().Spec.Run.Along, []int{4}) {
		t.Errorf("along %v, want wall 4 and that one is gone", s.view().Spec.Run.Along)
	}
	// Set anew as it is shown, nothing is said any more.
	s.do(lead, joblog.Command{Kind: joblog.SetItemKind, SetItem: &joblog.SetItem{Name: "Rail", Spec: s.view().Spec}})
	if s.found("corner_choice_gone") != nil || s.found("run_wall_gone") != nil {
		t.Error("it is still said after the run was set anew")
	}
}

// TestALayoutThatNamesAWallTwice is refused; one that names a wall the room does not have is
// another's work that came first, and the wall is taken for new.
func TestALayoutThatNamesAWallTwice(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.layWalls([]string{"a", "b", "c", "d"}, false, nil)
	for _, was := range [][]int{{1, 1, 2, 3}, {1, 2, 3}, {-1, 2, 3, 4}} {
		fs := raw(s, joblog.Command{Kind: joblog.SetWallsKind, RoomID: s.room, SetWalls: &joblog.SetWalls{Walls: trim.Room{Walls: make([]trim.Wall, 4)}, Was: was}})
		if len(fs) == 0 || fs[0].Code != "command_incomplete" {
			t.Errorf("%v: %+v, want it refused", was, fs)
		}
	}
	s.item = s.run("Base", []int{1}, nil)
	s.layWalls([]string{"a", "b", "c", "d"}, false, []int{9, 2, 3, 4})
	if s.found("run_walls_gone") == nil {
		t.Error("the only wall it went along is another's, and nothing is said")
	}
	if cuts := s.view().Cuts; len(cuts) != 0 {
		t.Errorf("pieces along no wall: %+v", cuts)
	}
}
