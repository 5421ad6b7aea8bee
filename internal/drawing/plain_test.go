package drawing_test

import (
	"testing"

	"longpoint/internal/drawing"
)

// TestPlainLeavesNumbersOut: nothing that measures stays, everything else keeps its shape, and the
// sheet holds all of it.
func TestPlainLeavesNumbersOut(t *testing.T) {
	t.Parallel()
	d := drawing.Drawing{Title: "Closet door", Width: 30000, Height: 40000, Exaggerated: 6, Shapes: []drawing.Shape{
		{Kind: "polygon", Role: "slab", Points: []drawing.Point{{5000, 6000}, {12000, 6000}, {12000, 26000}, {5000, 26000}}},
		{Kind: "dim", Role: "dim", Key: "height_hinge", Text: "80 3/8", Points: []drawing.Point{{1000, 0}, {1000, 39000}}},
		{Kind: "polygon", Role: "stud", Points: []drawing.Point{{100, 0}, {400, 0}, {400, 27000}, {100, 27000}}},
		{Kind: "polyline", Role: "floor", Points: []drawing.Point{{4000, 26000}, {13000, 26200}}},
		{Kind: "polygon", Role: "slab", Points: []drawing.Point{{5000, 30000}, {6000, 30000}, {6000, 31000}}}, // of the section
		{Kind: "polyline", Role: "plumb", Points: []drawing.Point{{0, 0}, {0, 40000}}},
		{Kind: "spot", Role: "item", Key: "a", Text: "Door", Marks: []string{"done"}, Points: []drawing.Point{{13000, 6000}}},
	}}
	got := drawing.Plain(d)
	if len(got.Shapes) != 3 || got.Title != d.Title || got.Exaggerated != 6 {
		t.Fatalf("got %+v, want the slab, the floor and the spot", got)
	}
	slab := got.Shapes[0].Points
	if w, h := slab[2][0]-slab[0][0], slab[2][1]-slab[0][1]; w != 7000 || h != 20000 {
		t.Errorf("the slab is drawn %d × %d, want 7000 × 20000 as before", w, h)
	}
	if got.Width != 9000+600 || got.Height != 20200+600 {
		t.Errorf("the sheet is %d × %d, want 9600 × 20800: what stays, and 300 about it", got.Width, got.Height)
	}
	if spot := got.Shapes[2]; spot.Kind != "spot" || spot.Text != "Door" || spot.Key != "a" {
		t.Errorf("the spot is %+v, want it to keep its name and key", spot)
	}
	for _, s := range got.Shapes {
		for _, p := range s.Points {
			if p[0] < 0 || p[1] < 0 || p[0] > got.Width || p[1] > got.Height {
				t.Errorf("%s at %v lies off the sheet", s.Role, p)
			}
		}
	}
	if d.Shapes[0].Points[0] != (drawing.Point{5000, 6000}) {
		t.Error("the drawing it was made from has moved")
	}
	if empty := drawing.Plain(drawing.Drawing{Title: "Nothing"}); empty.Shapes == nil || len(empty.Shapes) != 0 {
		t.Errorf("nothing: got %+v, want an empty list", empty)
	}
}
