package joblog

import (
	"time"

	"longpoint/internal/derive"
	"longpoint/internal/drawing"
	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// Reader is for whom a view is made.
type Reader struct {
	Language string          // a catalog's language; English when unknown
	Words    finding.Catalog // the words themselves, where no catalog is linked in; else empty
	Style    length.Style    // unit and step of printed lengths
	Now      time.Time
}

// ItemView is everything a screen shows of one item, worked out and in words.
type ItemView struct {
	ID         string                 `json:"id" format:"uuid"`
	JobID      string                 `json:"job_id" format:"uuid"`
	RoomID     string                 `json:"room_id" format:"uuid"`
	RoomName   string                 `json:"room_name"`
	Level      Level                  `json:"level" enum:"basement,ground,upper"`
	Name       string                 `json:"name"`
	KindLabel  string                 `json:"kind_label"`
	AssignedTo string                 `json:"assigned_to,omitempty" doc:"On the item, else on its room"`
	ThroughSeq int64                  `json:"through_seq"`
	Unit       length.Unit            `json:"unit" enum:"in,mm" doc:"Unit lengths are printed in"`
	Spec       Spec                   `json:"spec"`
	Readings   []ReadingView          `json:"readings"`
	Cuts       []CutView              `json:"cuts"`
	Values     []ValueView            `json:"values"`
	Stages     []StageView            `json:"stages" doc:"From the floor up"`
	Next       *NextView              `json:"next,omitempty" doc:"What to do next and why; nothing when painted"`
	Lines      []LineView             `json:"lines,omitempty" doc:"Gaps and reveals to read once it hangs"`
	Checks     []CheckView            `json:"checks,omitempty"`
	Fasteners  []FastenerView         `json:"fasteners,omitempty"`
	Holes      []HoleView             `json:"holes,omitempty"`
	WallGaps   []WallGapView          `json:"wall_gaps,omitempty"`
	Coats      []CoatEntry            `json:"coats,omitempty"`
	Removed    *Removal               `json:"removed,omitempty" doc:"Taken off the job; nothing more is done here"`
	Remarks    []ItemRemarkView       `json:"remarks,omitempty" doc:"What the homeowner pointed out here"`
	CoatsNeed  int64                  `json:"coats_need"`
	Photos     []PhotoEntry           `json:"photos,omitempty" doc:"In the order they were logged"`
	Findings   []finding.Finding      `json:"findings,omitempty" doc:"All of them, stops first"`
	Cautions   []string               `json:"cautions,omitempty" doc:"Safety cautions that belong to the stage at hand"`
	Rules      []houserules.Effective `json:"rules" doc:"House rules in force here and where each came from"`
	Drawing    drawing.Drawing        `json:"drawing"`
	CutDrawing drawing.Drawing        `json:"cut_drawing"`
	Run        *RunView               `json:"run,omitempty" doc:"Of a wall run"`
}

// ReadingView is one reading as shown.
type ReadingView struct {
	Name     string         `json:"name"`
	Label    string         `json:"label"`
	State    ReadingState   `json:"state" enum:"missing,taken,disagree"`
	Required bool           `json:"required"`
	OfRoom   bool           `json:"of_room,omitempty" doc:"A reading of the room's walls: taken with the room's id and no item"`
	Signed   bool           `json:"signed"`
	Angle    bool           `json:"angle,omitempty" doc:"The value is thousandths of a degree, not nanometers"`
	Positive string         `json:"positive,omitempty" doc:"What a positive value of a signed reading means"`
	Negative string         `json:"negative,omitempty"`
	Value    *length.Length `json:"value,omitempty" doc:"The value that counts, nanometers"`
	Tape     *length.Tape   `json:"tape,omitempty" doc:"The same as a tape shows it"`
	Exact    string         `json:"exact,omitempty"`
	Takes    []TakeView     `json:"takes,omitempty"`
}

// TakeView is one take as shown.
type TakeView struct {
	Take
	Text   string `json:"text"`
	Counts bool   `json:"counts" doc:"The value that counts comes from this take"`
}

// CutView is one piece to cut as shown.
type CutView struct {
	trim.Cut
	Label   string      `json:"label"`
	Stage   stage.Stage `json:"stage" enum:"trimmed,cased"`
	Tape    length.Tape `json:"tape" doc:"Printed length, rounded the safe way"`
	Exact   string      `json:"exact"`
	Rip     string      `json:"rip,omitempty" doc:"Width it is ripped to, in words, rounded the safe way; of a taper both ends"`
	Explain Explanation `json:"explain"`
	Saw     []string    `json:"saw,omitempty" doc:"Saw setting of each end, in words"`
	Notes   []MarkView  `json:"mark_lines,omitempty" doc:"Marks in words and their lengths"`
	State   PieceState  `json:"state" enum:"to_cut,cut,off,stale"`
	Record  *PieceCut   `json:"record,omitempty" doc:"The piece as cut"`
	AsCut   string      `json:"as_cut,omitempty"`

	Drawing drawing.Drawing `json:"drawing" doc:"The piece lying on the saw"`
}

// MarkView is a mark on a piece in words.
type MarkView struct {
	Label   string      `json:"label"`
	Text    string      `json:"text"`
	Explain Explanation `json:"explain"`
}

// Explanation is a derivation in words.
type Explanation struct {
	Line  string        `json:"line" doc:"79 1/8 = 80 1/8 − 5/8 − 1/8 − 1/4"`
	Terms []TermView    `json:"terms"`
	How   string        `json:"how,omitempty" doc:"How the terms combine when they are not simply added"`
	Basis string        `json:"basis,omitempty"`
	Exact length.Length `json:"exact" doc:"Nanometers"`
}

// TermView is one term of a derivation in words.
type TermView struct {
	Label  string        `json:"label"`
	Text   string        `json:"text"`
	Value  length.Length `json:"value" doc:"Nanometers, signed as added"`
	Origin derive.Origin `json:"origin" enum:"reading,unit,rule,computed,geometry"`
	Source string        `json:"source" doc:"The origin in words"`
}

// ValueView is a computed value that is not itself a cut.
type ValueView struct {
	Name    string        `json:"name"`
	Label   string        `json:"label"`
	Value   length.Length `json:"value"`
	Text    string        `json:"text"`
	Explain Explanation   `json:"explain"`
}

// StageView is one stage as shown.
type StageView struct {
	Stage    stage.Stage       `json:"stage" enum:"measured,trimmed,hung,cased,nailed,filled,caulked,painted"`
	Label    string            `json:"label"`
	Status   stage.Status      `json:"status" enum:"open,ready,held,done,redone"`
	Findings []finding.Finding `json:"findings,omitempty"`
	Keys     []string          `json:"keys,omitempty" doc:"Key of each finding, to pass it by"`
	Done     *StageMark        `json:"done,omitempty"`
}

// NextView says what to do next and why.
type NextView struct {
	Stage    stage.Stage `json:"stage"`
	Sentence string      `json:"sentence"`
	About    string      `json:"about,omitempty" doc:"Reading, piece or line the sentence is about"`
}

// LineView is a gap or reveal to read along one line.
type LineView struct {
	Line   string        `json:"line"`
	Label  string        `json:"label"`
	Stage  stage.Stage   `json:"stage"`
	Target length.Length `json:"target"`
	Text   string        `json:"target_text"`
	Read   *GapRead      `json:"read,omitempty"`
}

// CheckView is a yes-or-no check.
type CheckView struct {
	Check  string       `json:"check"`
	Label  string       `json:"label"`
	Answer *CheckAnswer `json:"answer,omitempty"`
}

// FastenerView is logged fasteners in words.
type FastenerView struct {
	FastenerEntry
	Text string `json:"text"`
}

// HoleView is the holes of one kind of fastener and what may go into them.
type HoleView struct {
	Kind    finish.Kind     `json:"kind"`
	Count   int64           `json:"count"`
	Label   string          `json:"label"`
	Options []TreatOption   `json:"options" doc:"What may go in; a refused one says why"`
	Treated *TreatmentEntry `json:"treated,omitempty"`
	SandAt  *time.Time      `json:"sand_at,omitempty" doc:"When the filler is dry enough to sand"`
}

// TreatOption is one treatment offered for a kind of hole.
type TreatOption struct {
	With    finish.Treatment `json:"with" enum:"filler,caulk,putty,none"`
	Label   string           `json:"label"`
	Allowed bool             `json:"allowed"`
}

// WallGapView is a closed gap in words.
type WallGapView struct {
	WallGapEntry
	Text string           `json:"text"`
	Need *SealantNeedView `json:"need,omitempty" doc:"Of a caulked gap: the class of sealant the joint wants"`
}

// SealantNeedView is the class of sealant a joint wants and how it came about.
type SealantNeedView struct {
	finish.Required
	Text string `json:"text" doc:"The class, and what it was worked out from"`
}

// PoleView is an item's pole, small: what the board and a room's plan show.
type PoleView struct {
	ID         string      `json:"id" format:"uuid"`
	RoomID     string      `json:"room_id" format:"uuid"`
	Name       string      `json:"name"`
	KindLabel  string      `json:"kind_label"`
	AssignedTo string      `json:"assigned_to,omitempty"`
	ThroughSeq int64       `json:"through_seq"`
	Marks      []PoleMark  `json:"marks"`
	Next       stage.Stage `json:"next,omitempty"`
	NextLabel  string      `json:"next_label,omitempty"`
	Sentence   string      `json:"sentence,omitempty" doc:"What holds it, else what is next"`
	Held       bool        `json:"held"`
	ClearsAt   *time.Time  `json:"clears_at,omitempty" doc:"When waiting alone clears the hold"`
	Turn       int64       `json:"turn" doc:"Place in a day's work: the lower goes first, of alike the first on the board. Ready is 0, to be done again 1, going on 2, held until somebody settles it 3; what dries has the second it is dry"`
}

// PoleMark is one stage of a pole.
type PoleMark struct {
	Stage  stage.Stage  `json:"stage" enum:"measured,trimmed,hung,cased,nailed,filled,caulked,painted"`
	Label  string       `json:"label"`
	Status stage.Status `json:"status" enum:"open,ready,held,done,redone"`
}

// RoomView is a room with its items' poles.
type RoomView struct {
	Room
	LevelLabel string        `json:"level_label"`
	Items      []PoleView    `json:"items"`
	Plan       *RoomPlanView `json:"plan,omitempty" doc:"Once its walls are laid out"`
	Removed    []RemovedView `json:"removed,omitempty" doc:"Items taken off the job; they can be put back"`
	Next       *ItemNext     `json:"next,omitempty" doc:"What to do next here and why; nothing when all is painted"`

	Moisture *finish.Moisture `json:"moisture,omitempty" doc:"What wood swings between in the room's own air, percent moisture content"`
}

// ItemNext is the item of a room or job to turn to next.
type ItemNext struct {
	ItemID   string      `json:"item_id" format:"uuid"`
	Name     string      `json:"name"`
	Stage    stage.Stage `json:"stage"`
	Sentence string      `json:"sentence"`
}

// JobView is a job's board.
type JobView struct {
	Job
	Seq    int64      `json:"seq" doc:"Last log number the view includes"`
	Stages []PoleMark `json:"stages" doc:"Every stage and its label, for the board's heading; status is open"`
	Rooms  []RoomView `json:"rooms"`
	Next   *ItemNext  `json:"next,omitempty" doc:"What to do next on the job and why"`

	Moisture *finish.Moisture `json:"moisture,omitempty" doc:"What wood swings between in the job's air, percent moisture content"`
}
