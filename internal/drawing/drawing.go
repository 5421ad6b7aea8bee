// Package drawing turns readings and cuts into drawings: a display list that the phone, the
// print and the PDF all show, so that every picture of an opening is the same picture.
package drawing

// Drawing is a display list. Its unit is a tenth of a millimeter; x runs right, y down.
// Pieces are to scale. Gaps, and with them leans and slopes, are drawn Exaggerated times
// their size and the framing stands off by that much, since a true 1/8 in cannot be seen.
type Drawing struct {
	Title       string  `json:"title" doc:"What it shows, for a person who hears it"`
	Width       int     `json:"width" doc:"Tenths of a millimeter"`
	Height      int     `json:"height" doc:"Tenths of a millimeter"`
	Exaggerated int     `json:"exaggerated,omitempty" doc:"How many times their size gaps, leans and slopes are drawn; zero when true"`
	Shapes      []Shape `json:"shapes"`
}

// Point is x, y in tenths of a millimeter.
type Point [2]int

// Shape is one thing to draw.
type Shape struct {
	Kind     string   `json:"kind" enum:"polygon,polyline,dim,label,angle,spot"`
	Role     string   `json:"role" doc:"What it shows: stud, header, floor, jamb, head, slab, stop (and other hidden edges), casing, gap, wall, hatch (end grain), plumb, level, mark, label, dim; on a plan glass, built_in, register, box, closing (how far a walk fails to close) and item"`
	Points   []Point  `json:"points"`
	Key      string   `json:"key,omitempty" doc:"Reading, piece, corner or item it belongs to; such a shape can be touched"`
	Text     string   `json:"text,omitempty" doc:"Value of a dimension, or a short name of the reading while it is missing"`
	Name     string   `json:"name,omitempty" doc:"Plain name, for a person who hears it"`
	State    string   `json:"state,omitempty" enum:"taken,missing,next,disagree,computed,stale"`
	Offset   int      `json:"offset,omitempty" doc:"Distance of a dimension line from its points, positive to the left of their direction"`
	Along    int      `json:"along,omitempty" doc:"Where on its line a dimension's text best stands, percent from the first point; the middle when left out"`
	Anchor   string   `json:"anchor,omitempty" enum:"start,middle,end"`
	Marks    []string `json:"marks,omitempty" doc:"Of a spot, one item's place on a plan: the status of its stages from the floor up, its pole"`
	Optional bool     `json:"optional,omitempty" doc:"A reading the cuts do without and nobody took; it may be hidden"`
}
