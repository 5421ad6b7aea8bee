// Package yard makes a job's computed cuts into what to buy and how to saw it: it gathers the
// pieces that are measured and not yet cut, matches them with the sticks to be had, on the
// rack and on the saw, has internal/stock plan them, and shows the plan as marked sticks, an
// order for the yard and the supplies that go with it. It is pure like the rule book, but it
// is not in the phone's copy of it: the solver runs on the server.
package yard

import (
	"time"

	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/stock"
)

// Limits of one plan.
const (
	MostPieces  = 5000
	MostLines   = 200
	MostOffers  = 12
	MostCents   = 100_000_00
	MostSeconds = 12 // with what else a request does, under the server's limit
)

// NoPrice as an Offer's Cents means the price is not known.
const NoPrice = -1

// NoLimit as an Offer's Limit means as many as wanted.
const NoLimit = -1

// Offer is one length of stick the yard sells.
type Offer struct {
	Length length.Length `json:"length" doc:"Nanometers"`
	Cents  int64         `json:"cents" minimum:"-1" doc:"Price of one stick in cents; -1 where it is not known"`
	Limit  int           `json:"limit" minimum:"-1" maximum:"100000" doc:"How many can be had; -1 for as many as wanted"`
}

// Line is one kind of stock and the sticks of it that can be had.
type Line struct {
	Stock  joblog.Stock `json:"stock"`
	Flat   bool         `json:"flat,omitempty" doc:"Square stock, alike from either face and edge: a piece may be turned over"`
	Offers []Offer      `json:"offers" maxItems:"12"`
}

// List is what the yard has, of the company or of one job.
type List struct {
	Lines []Line `json:"lines" maxItems:"200"`
}

// Ask is what a plan is to be of.
type Ask struct {
	Rooms     []string        `json:"rooms,omitempty" maxItems:"500" doc:"Only these rooms"`
	Items     []string        `json:"items,omitempty" maxItems:"2000" doc:"Only these openings and runs"`
	Nest      bool            `json:"nest,omitempty" doc:"Let mitered ends share their waste"`
	Objective stock.Objective `json:"objective,omitempty" enum:"cost,fewest_sticks" doc:"What is made as small as it can be; cost when left out"`
	Seconds   int             `json:"seconds,omitempty" minimum:"0" maximum:"12" doc:"Time to plan in, at most; 3 when left out"`
}

// Plan is a plan as it was made. It is kept beside the log, not in it: it is worked out, and
// what was done of it is logged.
type Plan struct {
	ID       string      `json:"id"`
	Ask      Ask         `json:"ask"`
	MadeAt   time.Time   `json:"made_at"`
	MadeBy   string      `json:"made_by"`
	Seq      int64       `json:"seq"` // last log number it was made from
	RuleBook string      `json:"rule_book"`
	Stocks   []StockPlan `json:"stocks"`
	LeftOut  []LeftOut   `json:"left_out,omitempty"`
}

// LeftOut is a piece, or all of an item, that is not planned and why.
type LeftOut struct {
	ItemID string        `json:"item_id"`
	Piece  string        `json:"piece,omitempty"`
	Why    Why           `json:"why"`
	Length length.Length `json:"length,omitempty"`
	Most   length.Length `json:"most,omitempty"`
}

// Why says why something is left out of a plan.
type Why string

// The reasons.
const (
	NotMeasured Why = "not_measured"
	Held        Why = "held"
	TooLong     Why = "too_long"
	NoStuds     Why = "no_studs"
	NoSplit     Why = "no_split"
)

// StockPlan is the plan for one kind of stock. Refused is set, and nothing planned, where it cannot be.
type StockPlan struct {
	Stock      joblog.Stock    `json:"stock"`
	Flat       bool            `json:"flat,omitempty"`
	Kerf       length.Length   `json:"kerf"`
	Trim       length.Length   `json:"trim"`
	Listed     bool            `json:"listed"` // the yard's list has it; else common lengths were taken
	Pieces     []Piece         `json:"pieces"`
	Sticks     []Stick         `json:"sticks"`
	Measure    Measure         `json:"measure"`     // what Value and the bound count
	Value      int64           `json:"value"`       // of the sticks used, in the measure's unit
	LowerBound int64           `json:"lower_bound"` // proven: no plan is below
	Optimal    bool            `json:"optimal"`
	Nested     bool            `json:"nested"`
	Straight   int64           `json:"straight"`        // value of the plan without nesting
	Shared     length.Length   `json:"shared"`          // stick saved by nesting
	Waste      length.Length   `json:"waste"`           // lost for good
	Splits     bool            `json:"splits"`          // runs were split by a bounded search
	SplitsBest bool            `json:"splits_best"`     // and no other choice of splits does better
	Ended      bool            `json:"ended,omitempty"` // the time ended the search
	Refused    string          `json:"refused,omitempty"`
	Sentence   string          `json:"sentence,omitempty"` // of the refusal
	Millis     int64           `json:"millis"`
	Objective  stock.Objective `json:"objective"`
}

// Measure is what a plan's value counts.
type Measure string

// The measures. Length is taken where a price is missing: the least length bought.
const (
	Cents  Measure = "cents"
	Bought Measure = "length"
	Count  Measure = "sticks"
)

// Edge is the side of a stick that a long point is on, as it lies on the saw.
type Edge string

// The edges: near is the person's side, far the fence's.
const (
	Neither Edge = ""
	Near    Edge = "near"
	Far     Edge = "far"
)

// End is how one end of a piece is cut.
type End struct {
	Joint string        `json:"joint"`
	Miter float64       `json:"miter,omitempty"`
	Bevel float64       `json:"bevel,omitempty"`
	Long  Edge          `json:"long,omitempty"` // the edge with the long point, where it is known
	Back  length.Length `json:"back,omitempty"` // how far the other edge stands back from what reaches farthest
	Over  length.Length `json:"over,omitempty"` // how far the face reaches past the long point that is marked
}

// Piece is one piece wanted, as it lies on the saw before it is turned.
type Piece struct {
	ItemID   string          `json:"item_id"`
	Piece    string          `json:"piece"`
	Part     int             `json:"part,omitempty"` // of a run joined by scarfs, from the left
	Parts    int             `json:"parts,omitempty"`
	Joints   []length.Length `json:"joints,omitempty"` // where the run's scarfs are centered, from its left end
	Length   length.Length   `json:"length"`           // from long point to long point
	Computed length.Length   `json:"computed"`         // of the whole piece
	Copies   int             `json:"copies"`
	Rounding length.Rounding `json:"rounding"`
	Left     End             `json:"left"`
	Right    End             `json:"right"`
	Rip      length.Length   `json:"rip,omitempty"` // ripped to this width
	OnePiece bool            `json:"one_piece,omitempty"`
	Again    bool            `json:"again,omitempty"` // it was cut before, too short
}

// span is the length of stick the piece takes: its marked length and what reaches past the marks.
func (c *Piece) span() length.Length { return c.Length + c.Left.Over + c.Right.Over }

// Source is where a stick comes from.
type Source string

// The sources.
const (
	Buy  Source = "buy"
	Rack Source = "rack"
	Saw  Source = "saw" // taken before, pieces may be cut from it already
)

// Stick is one stick with its pieces from the left.
type Stick struct {
	ID        string         `json:"id"` // the id its take_stick command is to have, or has
	From      Source         `json:"from"`
	OffcutID  string         `json:"offcut_id,omitempty"`
	Place     string         `json:"place,omitempty"`
	Length    length.Length  `json:"length"`
	Cents     int64          `json:"cents"`          // -1 where not known
	Used      length.Length  `json:"used,omitempty"` // from the left end, cut before or lost
	Pieces    []stock.Placed `json:"pieces"`
	Remainder length.Length  `json:"remainder"`
	Kept      bool           `json:"kept,omitempty"`
}
