package drawing

import (
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// RoomScene is everything a room's plan is drawn from. Walls alone make a plain plan; with
// Readings it can be taped on, with Items they stand where they are, with Run the run lies
// along the walls. A length not read yet is drawn as what would close the room.
type RoomScene struct {
	Scene    // Name, Rules, Term and Print; Readings of the walls and stretches; a run's Cuts and Pieces
	Walls    trim.Room
	Features []trim.Feature
	Items    []PlanItem
	Run      *trim.RunCuts // nil where no run is drawn
	Profile  trim.Profile  // of the run
}

// PlanItem is an opening or a run as it stands on a plan, to be touched.
type PlanItem struct {
	Key     string   // its id
	Name    string   // its own name
	Says    string   // what a person hears of it after its name
	Feature string   // id of the feature it is; one that is on no wall stands in the middle of the room
	Pole    []string // status of each of its stages, from the floor up
}

// mostWalls is what a plan draws; trim refuses more.
const mostWalls = trim.MostWalls

// laidOut is the room with what cannot be drawn left out: corners that cannot be told are
// square, lengths that were not read or cannot be are guessed.
type laidOut struct {
	room    trim.Room
	guessed []bool // by wall
	known   bool   // nothing is guessed
	plan    *trim.Plan
}

func (s *RoomScene) layOut() (laidOut, bool) {
	n := len(s.Walls.Walls)
	if n == 0 || n > mostWalls {
		return laidOut{}, false
	}
	out := laidOut{room: trim.Room{Open: s.Walls.Open || n < 3}, guessed: make([]bool, n), known: true}
	out.room.Walls = make([]trim.Wall, n)
	for i, w := range s.Walls.Walls {
		kept := trim.Wall{Length: w.Length, Turn: w.Turn, Angle: w.Angle}
		if _, ok := kept.Corner(); !ok {
			kept.Turn, kept.Angle = "", 0
		}
		if w.Length < trim.LeastWall || w.Length > trim.MostWall {
			kept.Length, out.guessed[i], out.known = 0, true, false
		}
		out.room.Walls[i] = kept
	}
	if !out.known {
		out.guess()
	}
	out.plan, _ = trim.PlanRoom(out.room, s.Rules)
	return out, out.plan != nil && len(out.plan.Walked) == n+1
}

// guess gives every wall not read the length that, with the others, closes the room and
// changes least against a usual one.
func (o *laidOut) guess() {
	usual, known := 10*length.Foot, length.Length(0)
	count := length.Length(0)
	for i, w := range o.room.Walls {
		if !o.guessed[i] {
			known += w.Length
			count++
		}
	}
	if count > 0 {
		usual = max(known/count, 2*length.Foot)
	}
	turnsOut := func(i int) bool {
		c, _ := o.room.Walls[(i+len(o.room.Walls))%len(o.room.Walls)].Corner()
		return c > 180*trim.Degree
	}
	for i := range o.room.Walls {
		if !o.guessed[i] {
			continue
		}
		o.room.Walls[i].Length = usual
		switch before, after := turnsOut(i-1), turnsOut(i); {
		case before != after: // the side of a chimney breast, a jog
			o.room.Walls[i].Length = usual / 5
		case before:
			o.room.Walls[i].Length = usual / 2
		}
	}
	if o.room.Open {
		return
	}
	heads := o.room.Directions()
	// Three rounds, since a wall that would come out short is held at a sixth of the usual.
	for range 3 {
		var ex, ey, xx, xy, yy float64
		for i, w := range o.room.Walls {
			u := heads[i]
			ex += float64(w.Length) * u[0]
			ey += float64(w.Length) * u[1]
			if o.guessed[i] {
				xx, xy, yy = xx+u[0]*u[0], xy+u[0]*u[1], yy+u[1]*u[1]
			}
		}
		// The least change: Uᵀ (U Uᵀ)⁻¹ e; a little on the diagonal bears walls that are all parallel.
		xx, yy = xx+1e-6, yy+1e-6
		det := xx*yy - xy*xy
		a, b := (yy*ex-xy*ey)/det, (xx*ey-xy*ex)/det
		for i := range o.room.Walls {
			if !o.guessed[i] {
				continue
			}
			w := &o.room.Walls[i]
			l := float64(w.Length) - a*heads[i][0] - b*heads[i][1]
			w.Length = length.Length(max(float64(usual)/6, min(l, float64(trim.MostWall))))
		}
	}
}
