package httpapi

import (
	"context"
	"net/http"
	"slices"
	"time"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/joblog"
	"longpoint/internal/logbook"
)

// LostPhone is a phone somebody was signed out on because it was lost, and what came from it since.
type LostPhone struct {
	ID       string     `json:"id" format:"uuid"`
	PersonID string     `json:"person_id" format:"uuid"`
	Device   string     `json:"device" doc:"What the device calls itself; may be empty"`
	LostAt   time.Time  `json:"lost_at"`
	LostBy   string     `json:"lost_by" format:"uuid"`
	Back     bool       `json:"back,omitempty" doc:"It is back; what still waits came before that"`
	Held     []HeldLine `json:"held" doc:"What waits for a lead's word, in the order it came"`
}

// HeldLine is an entry that waits, in words.
type HeldLine struct {
	CommandID string      `json:"command_id" format:"uuid"`
	Kind      joblog.Kind `json:"kind"`
	Job       string      `json:"job,omitempty" doc:"The job's name, where there is such a job"`
	Room      string      `json:"room,omitempty"`
	Item      string      `json:"item,omitempty"`
	DidAt     time.Time   `json:"did_at"`
	HeldAt    time.Time   `json:"held_at"`
	Sentence  string      `json:"sentence"`
}

// LostPhoneList is the phones that are not back, or of which something waits.
type LostPhoneList struct {
	Phones []LostPhone `json:"phones" doc:"The last lost first"`
}

// Settle says what becomes of what waits.
type Settle struct {
	Take     bool     `json:"take" doc:"Into the log, as done by its author at its time; else it goes back to its author as refused"`
	Commands []string `json:"commands" minItems:"1" maxItems:"500" doc:"Which, in the order they are taken up"`
}

// Settled is what came of it.
type Settled struct {
	LostPhoneList
	Outcomes []joblog.Outcome `json:"outcomes" doc:"One for each that was taken up: the rules may still refuse it"`
	Stopped  string           `json:"stopped,omitempty" doc:"Why the rest was not settled: it waits still, as the phones' lists show"`
}

// LostPhonePath names a lost phone.
type LostPhonePath struct {
	Phone string `path:"phone" format:"uuid" doc:"The lost phone's id"`
}

type (
	lostPhonesInput  struct{ ReaderParams }
	lostPhonesOutput struct{ Body LostPhoneList }
	settleInput      struct {
		LostPhonePath
		ReaderParams
		Body Settle
	}
	settledOutput struct{ Body Settled }
)

// fromLostPhone is what may be sent from a phone signed out as lost beside what anyone may
// send; reading is free, for whoever reads has proved who they are. ask-upload reads too, but by
// HEAD: a phone asks so before each part of a photo, and only of photos of its own person's.
var fromLostPhone = []string{"send-commands", "ask-upload", "send-part", "set-settings"}

func (s *Server) checkLostPhone(ctx context.Context, method, operation string) error {
	if method == http.MethodGet || slices.Contains(fromLostPhone, operation) || account.OnLostPhone(ctx, s.cfg.Sessions) == "" {
		return nil
	}
	return fault.New(fault.Forbidden, "This phone was signed out as lost. Do that on another, or have a lead say that it is back.")
}

func (s *Server) registerLostPhones() {
	lose := operation("lose-phone", http.MethodPost, "/people/{person}/sessions/{session}/lost", "Sign a person out on a device that is lost")
	lose.Description = "Their own, or a lead's for whom they manage. What the device sends when it comes back waits for a lead's word."
	add(s, lose, func(ctx context.Context, in *sessionPath) (*struct{}, error) {
		v, err := s.viewer(ctx)
		if err != nil {
			return nil, err
		}
		return nil, s.cfg.Store.LosePhone(ctx, v, in.Person, in.Session)
	})
	list := operation("list-lost-phones", http.MethodGet, "/lost-phones", "Lost phones and what they sent that waits for a lead's word")
	list.Description = "Leads only."
	add(s, list, func(ctx context.Context, in *lostPhonesInput) (*lostPhonesOutput, error) {
		phones, err := s.lostPhones(ctx, in.ReaderParams)
		return &lostPhonesOutput{Body: phones}, err
	})
	settle := operation("settle-held", http.MethodPost, "/lost-phones/{phone}/settle", "Take up what waits, or send it back to its author")
	settle.Description = "Leads only, for whom they manage. What has been settled meanwhile is passed over."
	settle.MaxBodyBytes = 64 << 10
	add(s, settle, s.settleHeld)
	back := operation("phone-is-back", http.MethodDelete, "/lost-phones/{phone}", "Say that a lost phone is back")
	back.Description = "Leads only, for whom they manage, and not while something of it waits. What it sends from then on is taken as anyone's."
	add(s, back, func(ctx context.Context, in *LostPhonePath) (*struct{}, error) {
		v, err := s.viewer(ctx)
		if err != nil {
			return nil, err
		}
		return nil, s.cfg.Store.PhoneBack(ctx, v, in.Phone)
	})
}

func (s *Server) lostPhones(ctx context.Context, q ReaderParams) (LostPhoneList, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return LostPhoneList{}, err
	}
	phones, err := s.cfg.Store.LostPhones(ctx, v)
	if err != nil {
		return LostPhoneList{}, err
	}
	names, err := s.names(ctx, v)
	if err != nil {
		return LostPhoneList{}, err
	}
	r := s.reader(ctx, q)
	out := LostPhoneList{Phones: make([]LostPhone, len(phones))}
	for i, p := range phones {
		line := LostPhone{ID: p.ID, PersonID: p.PersonID, Device: p.DeviceName, LostAt: p.LostAt.UTC(), LostBy: p.LostBy, Back: p.Back,
			Held: make([]HeldLine, len(p.Held))}
		for k, h := range p.Held {
			said := logbook.View(joblog.Entry{Command: h.Command}, names, r)
			line.Held[k] = HeldLine{CommandID: h.Command.ID, Kind: h.Command.Kind, Job: h.Job, Room: h.Room, Item: h.Item,
				DidAt: h.DidAt.UTC(), HeldAt: h.HeldAt.UTC(), Sentence: said.Sentence}
		}
		out.Phones[i] = line
	}
	return out, nil
}

func (s *Server) settleHeld(ctx context.Context, in *settleInput) (*settledOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	r := s.reader(ctx, in.ReaderParams)
	out := Settled{Outcomes: []joblog.Outcome{}}
	for i, id := range in.Body.Commands {
		o, err := joblog.Outcome{}, error(nil)
		if in.Body.Take {
			o, err = s.cfg.Store.TakeHeld(ctx, v, in.Phone, id)
		} else {
			err = s.cfg.Store.TurnDownHeld(ctx, v, in.Phone, id)
		}
		switch code := fault.CodeOf(err); {
		case code == "" && in.Body.Take:
			out.Outcomes = append(out.Outcomes, joblog.RenderOutcome(o, r))
		case code == "":
		case code == fault.NotFound && len(in.Body.Commands) > 1:
			// Settled by somebody else meanwhile.
		case (code == fault.Invalid || code == fault.Conflict) && in.Body.Take:
			out.Outcomes = append(out.Outcomes, turnedBack(joblog.Command{ID: id}, fault.SentenceOf(err)))
		case i > 0:
			// What went before is done and stays done; the rest still waits, and shows.
			out.Stopped = problemOf(s.refuse(ctx, err)).Detail
			return s.settled(ctx, in.ReaderParams, out)
		default:
			return nil, err
		}
	}
	return s.settled(ctx, in.ReaderParams, out)
}

func (s *Server) settled(ctx context.Context, q ReaderParams, out Settled) (*settledOutput, error) {
	var err error
	out.LostPhoneList, err = s.lostPhones(ctx, q)
	return &settledOutput{Body: out}, err
}
