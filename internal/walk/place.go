package walk

import "longpoint/internal/trim"

// Where is on which side of what else is there a thing stands, seen from inside the room.
type Where string

// The places: on the same wall beside one thing or between two, or on another wall as one faces the one thing. None is
// where nothing can be said.
const (
	Nowhere   Where = ""
	LeftOf    Where = "left_of"
	RightOf   Where = "right_of"
	Between   Where = "between"
	Opposite  Where = "opposite"
	LeftWall  Where = "left_wall"
	RightWall Where = "right_wall"
)

// Place is where an opening stands among the others of its room.
type Place struct {
	Where Where
	// Of are the things it is told by: two for Between, left and right.
	Of [2]string
}

// atAnAngle is the cosine of 45°: a wall is beside another or across from it by which it is nearer to.
const atAnAngle = 0.70710678

// PlaceOf says where the feature id stands among the openings named in there, from the room's walls as read from inside:
// beside its neighbor on the wall, else on which wall as one faces the way in, or the first other opening.
func PlaceOf(r trim.Room, fs []trim.Feature, id string, there func(id string) bool) Place {
	at := -1
	for i := range fs {
		if fs[i].ID == id && onWall(r, fs[i]) {
			at = i
		}
	}
	if at < 0 {
		return Place{}
	}
	left, right, told := -1, -1, -1
	for i, f := range fs {
		switch {
		case i == at || f.ID == "" || f.ID == id || !onWall(r, f) || !there(f.ID):
		case f.Wall != fs[at].Wall:
			if told < 0 || f.Main && !fs[told].Main {
				told = i
			}
		case f.Offset < fs[at].Offset:
			if left < 0 || f.Offset > fs[left].Offset {
				left = i
			}
		case f.Offset > fs[at].Offset:
			if right < 0 || f.Offset < fs[right].Offset {
				right = i
			}
		}
	}
	switch {
	case left >= 0 && right >= 0:
		return Place{Between, [2]string{fs[left].ID, fs[right].ID}}
	case left >= 0:
		return Place{RightOf, [2]string{fs[left].ID}}
	case right >= 0:
		return Place{LeftOf, [2]string{fs[right].ID}}
	case told < 0:
		return Place{}
	}
	return Place{across(r, fs[told].Wall, fs[at].Wall), [2]string{fs[told].ID}}.known()
}

func onWall(r trim.Room, f trim.Feature) bool {
	return f.Wall >= 1 && f.Wall <= len(r.Walls) && (f.Kind == trim.OpeningFeature || f.Kind == trim.WindowFeature)
}

// across is where wall b is as one faces wall a. The walls are walked to the right, so the next one is at one's right hand.
func across(r trim.Room, a, b int) Where {
	ds := r.Directions()
	from, to := ds[a-1], ds[b-1]
	along, turn := from[0]*to[0]+from[1]*to[1], from[0]*to[1]-from[1]*to[0]
	switch {
	case along < -atAnAngle:
		return Opposite
	case turn > atAnAngle:
		return RightWall
	case turn < -atAnAngle:
		return LeftWall
	}
	return Nowhere
}

// known is the place, or none where nothing can be said.
func (p Place) known() Place {
	if p.Where == Nowhere {
		return Place{}
	}
	return p
}
