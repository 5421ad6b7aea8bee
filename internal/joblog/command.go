// Package joblog is the job's log: what a person may do (Command), what the rules make of
// it (Decide), what a job is after it (Apply), and how it reads (View). It is pure; time,
// people and storage come from outside.
package joblog

import (
	"time"

	"longpoint/internal/finish"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// CommandVersion is the version of the commands this rule book writes. Older versions stay
// accepted: a phone that was away for a month still delivers its work.
const CommandVersion = 1

// Role is what a person may do on a job.
type Role string

// The roles of a crew.
const (
	Owner     Role = "owner"
	Lead      Role = "lead"
	Installer Role = "installer"
)

// Leads reports whether the role plans, assigns and passes stops.
func (r Role) Leads() bool { return r == Owner || r == Lead }

// Kind names what a command does.
type Kind string

// The kinds of command. Each has the body field of its own name in Command.
const (
	CreateJobKind    Kind = "create_job"
	AddRoomKind      Kind = "add_room"
	AddItemKind      Kind = "add_item"
	SetItemKind      Kind = "set_item"
	AssignKind       Kind = "assign"
	SetRulesKind     Kind = "set_rules"
	SetWallsKind     Kind = "set_walls"
	TakeReadingKind  Kind = "take_reading"
	ChooseTakeKind   Kind = "choose_take"
	CutPiecesKind    Kind = "cut_pieces"
	ReadGapKind      Kind = "read_gap"
	AnswerCheckKind  Kind = "answer_check"
	LogFastenersKind Kind = "log_fasteners"
	TreatHolesKind   Kind = "treat_holes"
	SandKind         Kind = "sand"
	LogGapKind       Kind = "log_gap"
	LogCoatKind      Kind = "log_coat"
	WithdrawKind     Kind = "withdraw"
	TickStageKind    Kind = "tick_stage"
	ReopenStageKind  Kind = "reopen_stage"
	PassStopKind     Kind = "pass_stop"
	NoteKind         Kind = "note"
	RemoveItemKind   Kind = "remove_item"
	RestoreItemKind  Kind = "restore_item"
	TakeStickKind    Kind = "take_stick"
	ReturnOffcutKind Kind = "return_offcut"
	MiscutKind       Kind = "miscut"
	SawPartKind      Kind = "saw_part"
	AddPhotoKind     Kind = "add_photo"
	SetProductKind   Kind = "set_product"
	SetClimateKind   Kind = "set_climate"
)

// Command is one thing a person did, made and numbered on their device. Exactly the body
// that its Kind names is set.
type Command struct {
	_       [0]func() // not to be compared: the function that does is weight on the phone
	ID      string    `json:"id" format:"uuid" doc:"UUIDv7 made by the device; sending it twice does nothing twice"`
	Version int       `json:"v" minimum:"1" doc:"Command version"`
	Kind    Kind      `json:"kind" enum:"create_job,add_room,add_item,set_item,assign,set_rules,set_walls,take_reading,choose_take,cut_pieces,read_gap,answer_check,log_fasteners,treat_holes,sand,log_gap,log_coat,withdraw,tick_stage,reopen_stage,pass_stop,note,remove_item,restore_item,open_walk,extend_walk,close_walk,say_remark,move_remark,sign_off,take_stick,return_offcut,miscut,saw_part,add_photo,set_product,set_climate"`
	JobID   string    `json:"job_id" format:"uuid"`
	RoomID  string    `json:"room_id,omitempty" format:"uuid" doc:"The room it is about, for add_room, add_item and set_walls, and for assign, set_rules, set_climate and readings of a room"`
	ItemID  string    `json:"item_id,omitempty" format:"uuid" doc:"The item it is about"`
	WalkID  string    `json:"walk_id,omitempty" format:"uuid" doc:"The walkthrough it is about"`
	At      time.Time `json:"at" doc:"When it was done, by the device's clock"`
	Device  string    `json:"device,omitempty" maxLength:"80" doc:"The device's own name for itself"`

	CreateJob    *CreateJob    `json:"create_job,omitempty"`
	AddRoom      *AddRoom      `json:"add_room,omitempty"`
	AddItem      *AddItem      `json:"add_item,omitempty"`
	SetItem      *SetItem      `json:"set_item,omitempty"`
	Assign       *Assign       `json:"assign,omitempty"`
	SetRules     *SetRules     `json:"set_rules,omitempty"`
	SetWalls     *SetWalls     `json:"set_walls,omitempty"`
	TakeReading  *TakeReading  `json:"take_reading,omitempty"`
	ChooseTake   *ChooseTake   `json:"choose_take,omitempty"`
	CutPieces    *CutPieces    `json:"cut_pieces,omitempty"`
	ReadGap      *ReadGap      `json:"read_gap,omitempty"`
	AnswerCheck  *AnswerCheck  `json:"answer_check,omitempty"`
	LogFasteners *LogFasteners `json:"log_fasteners,omitempty"`
	TreatHoles   *TreatHoles   `json:"treat_holes,omitempty"`
	Sand         *Sand         `json:"sand,omitempty"`
	LogGap       *LogGap       `json:"log_gap,omitempty"`
	LogCoat      *LogCoat      `json:"log_coat,omitempty"`
	Withdraw     *Withdraw     `json:"withdraw,omitempty"`
	TickStage    *TickStage    `json:"tick_stage,omitempty"`
	ReopenStage  *ReopenStage  `json:"reopen_stage,omitempty"`
	PassStop     *PassStop     `json:"pass_stop,omitempty"`
	Note         *Note         `json:"note,omitempty"`
	RemoveItem   *RemoveItem   `json:"remove_item,omitempty"`
	RestoreItem  *RestoreItem  `json:"restore_item,omitempty"`
	OpenWalk     *OpenWalk     `json:"open_walk,omitempty"`
	ExtendWalk   *ExtendWalk   `json:"extend_walk,omitempty"`
	CloseWalk    *CloseWalk    `json:"close_walk,omitempty"`
	SayRemark    *SayRemark    `json:"say_remark,omitempty"`
	MoveRemark   *MoveRemark   `json:"move_remark,omitempty"`
	SignOff      *SignOff      `json:"sign_off,omitempty"`
	TakeStick    *TakeStick    `json:"take_stick,omitempty"`
	ReturnOffcut *ReturnOffcut `json:"return_offcut,omitempty"`
	Miscut       *Miscut       `json:"miscut,omitempty"`
	SawPart      *SawPart      `json:"saw_part,omitempty"`
	AddPhoto     *AddPhoto     `json:"add_photo,omitempty"`
	SetProduct   *SetProduct   `json:"set_product,omitempty"`
	SetClimate   *SetClimate   `json:"set_climate,omitempty"`
}

// CreateJob opens a job. The job's id is the command's JobID.
type CreateJob struct {
	Name      string      `json:"name" minLength:"1" maxLength:"120"`
	Address   string      `json:"address,omitempty" maxLength:"200"`
	Unit      length.Unit `json:"unit" enum:"in,mm"`
	HouseYear int         `json:"house_year,omitempty" minimum:"1600" maximum:"2200" doc:"Year built; before 1978 brings the lead-paint caution"`
}

// Level is the storey a room is on; it stands in for a climate where none is known.
type Level = finish.Level

// AddRoom adds a room; its id is the command's RoomID.
type AddRoom struct {
	Name  string `json:"name" minLength:"1" maxLength:"80"`
	Level Level  `json:"level" enum:"basement,ground,upper"`
}

// AddItem adds an opening to the room RoomID; its id is the command's ItemID.
type AddItem struct {
	Name string `json:"name" minLength:"1" maxLength:"80"`
	Spec
}

// SetItem changes what is to go into an opening. Cuts made for the old specification
// become stale by the same rule as a changed reading.
type SetItem struct {
	Name string `json:"name" minLength:"1" maxLength:"80"`
	Spec
}

// Spec is what is to be built at an item.
type Spec struct {
	Unit          trim.Unit    `json:"unit"`
	Run           *RunSpec     `json:"run,omitempty" doc:"For a wall run, whose unit has kind run and a grade only"`
	CasingA       *trim.Casing `json:"casing_a,omitempty"`
	CasingB       *trim.Casing `json:"casing_b,omitempty"`
	SeenFromAbove bool         `json:"seen_from_above,omitempty" doc:"Top edges show from stairs or a landing: the top bead is needed"`
	Prefinished   bool         `json:"prefinished,omitempty" doc:"Casing comes painted: one coat of touching up"`
}

// Assign gives an item, or a whole room when ItemID is empty, to a person; an empty person
// takes it back.
type Assign struct {
	PersonID string `json:"person_id,omitempty" format:"uuid"`
}

// SetRules replaces the overrides of the item, else the room, else the job.
type SetRules struct {
	Set houserules.Set `json:"set"`
}

// TakeReading records one take of one reading. Nothing ever overwrites it.
type TakeReading struct {
	Reading string        `json:"reading" maxLength:"40"`
	Value   length.Length `json:"value" doc:"Nanometers; signed for leans and the floor"`
	Tool    string        `json:"tool,omitempty" enum:"tape,laser,gauge" doc:"What it was read with"`
}

// ChooseTake settles takes that disagree.
type ChooseTake struct {
	Reading string `json:"reading" maxLength:"40"`
	TakeID  string `json:"take_id" format:"uuid"`
}

// CutPieces records pieces as cut. Computed is the value the person had before their eyes,
// so a cut made to an old number is known for what it is.
type CutPieces struct {
	Pieces  []CutPiece `json:"pieces" minItems:"1" maxItems:"40"`
	StickID string     `json:"stick_id,omitempty" format:"uuid" doc:"The stick on the saw they came from, where one is known"`
}

// CutPiece is one piece as cut.
type CutPiece struct {
	Piece    string        `json:"piece" maxLength:"60"`
	Computed length.Length `json:"computed" doc:"The computed value it was cut to, nanometers"`
	AsCut    length.Length `json:"as_cut" doc:"What the tape says of the cut piece, nanometers"`
}

// ReadGap records the gap or reveal along one line of an installed unit: its narrowest and
// its widest. Lines: hinge, head, strike for the slab; casing_a and casing_b for a reveal.
type ReadGap struct {
	Line   string        `json:"line" enum:"hinge,head,strike,casing_a,casing_b"`
	Narrow length.Length `json:"narrow"`
	Wide   length.Length `json:"wide"`
}

// AnswerCheck answers one of an installer's yes-or-no checks.
type AnswerCheck struct {
	Check string `json:"check" enum:"stop_off,plumb,closes_on_stop,no_see_through,runs_free"`
	Yes   bool   `json:"yes"`
}

// LogFasteners records nails or screws driven.
type LogFasteners struct {
	Fastener  finish.Fastener `json:"fastener"`
	ProductID string          `json:"product_id,omitempty" format:"uuid" doc:"The job's adhesive it was glued with"`
}

// TreatHoles records what went into the holes of one kind of fastener.
type TreatHoles struct {
	Kind finish.Kind      `json:"kind" doc:"The fastener that left the holes"`
	With finish.Treatment `json:"with"`
	Used
}

// Sand records that the filled holes of one kind of fastener were sanded flush.
type Sand struct {
	Kind finish.Kind `json:"kind"`
}

// LogGap records a gap between trim and wall, or between members, and how it was closed.
type LogGap struct {
	Gap finish.Gap `json:"gap"`
	Used
}

// LogCoat records a finish coat.
type LogCoat struct {
	Product string `json:"product,omitempty" maxLength:"80"`
	Used
}

// Withdraw takes back a logged fastener, treatment, gap, coat or reading by the id of the
// command that logged it. The log keeps both.
type Withdraw struct {
	CommandID string `json:"command_id" format:"uuid"`
	Reason    string `json:"reason" minLength:"1" maxLength:"400"`
}

// TickStage says a stage is done.
type TickStage struct {
	Stage stage.Stage `json:"stage" enum:"measured,trimmed,hung,cased,nailed,filled,caulked,painted"`
}

// ReopenStage opens a done stage again.
type ReopenStage struct {
	Stage  stage.Stage `json:"stage" enum:"measured,trimmed,hung,cased,nailed,filled,caulked,painted"`
	Reason string      `json:"reason" minLength:"1" maxLength:"400"`
}

// PassStop lets a stage go on in spite of one stop, named by its finding's key.
type PassStop struct {
	Key    string `json:"key" maxLength:"400"`
	Reason string `json:"reason" minLength:"1" maxLength:"400"`
}

// Note is free text on an item.
type Note struct {
	Text string `json:"text" minLength:"1" maxLength:"1000"`
}
