package joblog

import (
	"time"

	"longpoint/internal/finish"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
	"longpoint/internal/stage"
)

// Entry is one line of a job's log: a command the rules let through, who did it and when.
type Entry struct {
	_        [0]func() // not to be compared: the function that does is weight on the phone
	Seq      int64     `json:"seq" doc:"Number in the job: 1, 2, 3 … with no holes"`
	Command  Command   `json:"command"`
	PersonID string    `json:"person_id" format:"uuid"`
	Role     Role      `json:"role" enum:"owner,lead,installer,guest"`
	DidAt    time.Time `json:"did_at" doc:"When it was done, corrected for the device's clock, UTC"`
	LoggedAt time.Time `json:"logged_at" doc:"When the server took it, UTC"`
	RuleBook string    `json:"rule_book" doc:"Version of the rules that decided"`
}

// Job is a job as its log has made it, without its rooms and items.
type Job struct {
	ID        string         `json:"id" format:"uuid"`
	Name      string         `json:"name"`
	Address   string         `json:"address,omitempty"`
	Unit      length.Unit    `json:"unit" enum:"in,mm"`
	HouseYear int            `json:"house_year,omitempty"`
	Rules     houserules.Set `json:"rules,omitempty"`
	Sticks    []Stick        `json:"sticks,omitempty" doc:"Sticks on the saw"`
	Rack      []Offcut       `json:"rack,omitempty" doc:"Offcuts put by"`
	Products  []Product      `json:"products,omitempty" doc:"Products whose sheets the crew entered, in the order of first entering"`

	Climate *finish.Climate `json:"climate,omitempty" doc:"Air of the finished rooms over the seasons, where a room has none of its own"`
}

// Room is a room of a job.
type Room struct {
	ID         string         `json:"id" format:"uuid"`
	Name       string         `json:"name"`
	Level      Level          `json:"level" enum:"basement,ground,upper"`
	AddedSeq   int64          `json:"added_seq" doc:"Log number that added it; rooms stand in this order"`
	AssignedTo string         `json:"assigned_to,omitempty" format:"uuid"`
	Rules      houserules.Set `json:"rules,omitempty"`
	Layout     *Layout        `json:"layout,omitempty" doc:"Its walls, once laid out"`
	Photos     []PhotoEntry   `json:"photos,omitempty" doc:"Photos of the room itself"`

	Climate *finish.Climate `json:"climate,omitempty" doc:"Air of the finished room over the seasons; the job's where there is none"`
}

// Item is an opening or a wall run as its log has made it.
type Item struct {
	ID       string `json:"id" format:"uuid"`
	RoomID   string `json:"room_id" format:"uuid"`
	Name     string `json:"name"`
	AddedSeq int64  `json:"added_seq"`
	Spec
	OnWalls    []int                     `json:"on_walls,omitempty" doc:"Keys of the room's walls by the numbers the run was specified with, where they are not those numbers"`
	AssignedTo string                    `json:"assigned_to,omitempty" format:"uuid" doc:"Set on the item itself; else the room's"`
	Rules      houserules.Set            `json:"rules,omitempty"`
	Takes      []Take                    `json:"takes,omitempty"`
	Chosen     map[string]Choice         `json:"chosen,omitempty" doc:"Take chosen, by reading"`
	Pieces     []PieceCut                `json:"pieces,omitempty" doc:"Latest as-cut record of each piece"`
	Sawn       []Sawn                    `json:"sawn,omitempty" doc:"What cuts took of sticks on the saw, and parts of scarfed pieces"`
	Gaps       []GapRead                 `json:"gaps,omitempty" doc:"Latest narrow and wide of each line"`
	Checks     []CheckAnswer             `json:"checks,omitempty"`
	Fasteners  []FastenerEntry           `json:"fasteners,omitempty"`
	Treatments []TreatmentEntry          `json:"treatments,omitempty"`
	Sandings   []SandEntry               `json:"sandings,omitempty"`
	WallGaps   []WallGapEntry            `json:"wall_gaps,omitempty"`
	Coats      []CoatEntry               `json:"coats,omitempty"`
	Stages     map[stage.Stage]StageMark `json:"stages,omitempty"`
	Passes     []Pass                    `json:"passes,omitempty"`
	Removed    *Removal                  `json:"removed,omitempty" doc:"Taken off the job; its log stays"`
	Remarks    []ItemRemark              `json:"remarks,omitempty" doc:"What the homeowner pointed out here"`
	Photos     []PhotoEntry              `json:"photos,omitempty"`
	ThroughSeq int64                     `json:"through_seq" doc:"Last log number that touched it"`
}

// Stamp says who did a thing, when, and by which command and log number.
type Stamp struct {
	CommandID string    `json:"command_id" format:"uuid"`
	Seq       int64     `json:"seq"`
	PersonID  string    `json:"person_id" format:"uuid"`
	At        time.Time `json:"at"`
}

// Take is one take of one reading; its id is the id of its command.
type Take struct {
	Stamp
	Reading string        `json:"reading"`
	Value   length.Length `json:"value"`
	Tool    string        `json:"tool,omitempty"`
}

// Choice settles takes that disagree, until a later take disagrees with it.
type Choice struct {
	TakeID string `json:"take_id" format:"uuid"`
	Seq    int64  `json:"seq"`
}

// PieceCut is a piece as cut, with the computed value, the takes and the rules it came from.
type PieceCut struct {
	Stamp
	CutPiece
	Takes    []string `json:"takes,omitempty" doc:"Ids of the takes the computed value came from"`
	RuleBook string   `json:"rule_book"`
}

// GapRead is the gap along one line of an installed unit.
type GapRead struct {
	Stamp
	ReadGap
}

// CheckAnswer is the latest answer to a check.
type CheckAnswer struct {
	Stamp
	AnswerCheck
}

// FastenerEntry is fasteners driven.
type FastenerEntry struct {
	Stamp
	finish.Fastener
	ProductID string `json:"product_id,omitempty" format:"uuid" doc:"Adhesive it was glued with"`
}

// TreatmentEntry is what went into the holes of one kind of fastener.
type TreatmentEntry struct {
	Stamp
	TreatHoles
	SandedAt       *time.Time `json:"sanded_at,omitempty" doc:"When such holes were last sanded since"`
	AfterFirstCoat bool       `json:"after_first_coat,omitempty" doc:"A coat went on before it: putty belongs over the first"`
}

// SandEntry is the filled holes of one kind of fastener sanded.
type SandEntry struct {
	Stamp
	Sand
}

// WallGapEntry is a gap along trim and how it was closed.
type WallGapEntry struct {
	Stamp
	finish.Gap
	Used
}

// CoatEntry is one finish coat.
type CoatEntry struct {
	Stamp
	LogCoat
}

// StageMark is a stage that has been done at least once.
type StageMark struct {
	Stamp
	Redone bool   `json:"redone,omitempty" doc:"Reopened since, by itself or with a stage it rests on"`
	Reason string `json:"reason,omitempty" doc:"Why it was reopened"`

	Reopened *Stamp      `json:"reopened,omitempty" doc:"Who reopened it, and when"`
	For      stage.Stage `json:"for,omitempty" enum:"measured,trimmed,hung,cased,nailed,filled,caulked,painted" doc:"The stage that was reopened: itself, or one it rests on"`
}

// Pass is a stop passed by a lead.
type Pass struct {
	Stamp
	PassStop
}

// Scope is what one decision needs: the job, the room and item it is about, and the
// company's house rules. Room and Item are nil where a command is not about one.
type Scope struct {
	Company houserules.Set
	Job     *Job
	Room    *Room
	Item    *Item
	Walk    *Walk
}

// Layers returns the house-rule layers that bear on the scope, outermost first.
func (s Scope) Layers() []houserules.Layer {
	out := []houserules.Layer{{Origin: houserules.Company, Set: s.Company}}
	if s.Job != nil {
		out = append(out, houserules.Layer{Origin: houserules.Job, Set: s.Job.Rules})
	}
	if s.Room != nil {
		out = append(out, houserules.Layer{Origin: houserules.Room, Set: s.Room.Rules})
	}
	if s.Item != nil {
		out = append(out, houserules.Layer{Origin: houserules.Item, Set: s.Item.Rules})
	}
	return out
}

// Rules returns the effective house rules of the scope.
func (s Scope) Rules() houserules.Rules {
	r, _ := houserules.Resolve(s.Layers()...)
	return r
}
