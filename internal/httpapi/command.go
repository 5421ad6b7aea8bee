package httpapi

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"reflect"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/google/uuid"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/finding"
	"longpoint/internal/joblog"
)

const (
	mostCommands = 200
	commandsBody = 2 << 20
)

// CommandBatch is commands in the order they were done.
type CommandBatch struct {
	SentAt   time.Time     `json:"sent_at" doc:"The device's clock as it sends: what it is off by is taken off each command's own time"`
	PersonID string        `json:"person_id,omitempty" doc:"Who did them, as the device knows it; 401 where somebody else is signed in there by now. Without it they are taken for whoever is signed in"`
	Commands []SentCommand `json:"commands" minItems:"1" maxItems:"200"`
}

// SentCommand is one command as it came. It is read by itself, past the schema: a phone
// that was away for a month must not have its whole outbox turned back for one entry that
// an older or newer app wrote differently. What cannot be read is refused by the rules.
type SentCommand struct{ raw json.RawMessage }

// UnmarshalJSON keeps the text.
func (c *SentCommand) UnmarshalJSON(b []byte) error {
	c.raw = append(c.raw[:0], b...)
	return nil
}

// Schema describes it as the command it should be.
func (SentCommand) Schema(r huma.Registry) *huma.Schema {
	return r.Schema(reflect.TypeFor[joblog.Command](), true, "Command")
}

// CommandOutcomes is what came of each command, in order.
type CommandOutcomes struct {
	Outcomes   []joblog.Outcome `json:"outcomes" doc:"One for each command that was taken up, in order"`
	Seq        int64            `json:"seq" doc:"Last number in the job's log; 0 where the person may not see it"`
	Stopped    string           `json:"stopped,omitempty" doc:"Why the commands after the last outcome were not taken up; send them again"`
	Held       []string         `json:"held,omitempty" doc:"Ids of commands that have no outcome yet: this phone was signed out as lost, and they are kept for a lead's word. Sending them again is right"`
	View       *joblog.ItemView `json:"view,omitempty" doc:"The opening asked for, as it is now"`
	ServerTime time.Time        `json:"server_time" doc:"The service's clock, for a device to see how far its own is off"`
}

type (
	commandsInput struct {
		JobPath
		ReaderParams
		View string `query:"view" format:"uuid" doc:"An opening to be shown along with the outcomes"`
		Body CommandBatch
	}
	commandsOutput struct{ Body CommandOutcomes }
)

func (s *Server) registerCommands() {
	op := operation("send-commands", http.MethodPost, "/jobs/{job}/commands", "Send what was done")
	op.Description = "Commands are taken in order. One that the rules refuse is kept with its findings and does not stop the next. " +
		"The same command again does nothing and returns its first outcome."
	op.MaxBodyBytes = commandsBody
	op.SkipValidateBody = true // see SentCommand; the rest is checked in the handler
	add(s, op, s.commands)
}

func (s *Server) commands(ctx context.Context, in *commandsInput) (*commandsOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	if err := checkBatch(in.Body); err != nil {
		return nil, err
	}
	if who := in.Body.PersonID; who != "" && who != v.PersonID {
		return nil, errOthersWork
	}
	out, fresh, err := s.takeBatch(ctx, v, in.Job, account.OnLostPhone(ctx, s.cfg.Sessions), in.Body, s.reader(ctx, in.ReaderParams))
	if err != nil {
		return nil, err
	}
	if !fresh && (out.Stopped == "" || out.Held != nil) {
		if _, last, err := s.cfg.Store.Entries(ctx, v, in.Job, 0, "", 1); err == nil {
			out.Seq = last
		} else if !fault.Is(err, fault.NotFound) {
			return nil, err
		}
	}
	if in.View != "" && out.Stopped == "" {
		view, err := s.itemView(ctx, in.Job, in.View, in.ReaderParams)
		if err != nil && !fault.Is(err, fault.NotFound) {
			return nil, err
		}
		out.View = view
	}
	return &commandsOutput{Body: out}, nil
}

// takeBatch takes commands in order until one cannot be taken up for a reason that is not its
// own. fresh says that the last applied one's number is the log's last.
func (s *Server) takeBatch(ctx context.Context, v account.Viewer, job, lostPhone string, in CommandBatch, r joblog.Reader) (out CommandOutcomes, fresh bool, err error) {
	out.Outcomes = make([]joblog.Outcome, 0, len(in.Commands))
	began := s.arrived(ctx)
	for _, sent := range in.Commands {
		// The time since the batch began to arrive is not the device's clock being off.
		sentAt := in.SentAt.Add(s.clock().Sub(began))
		o, held, err := s.command(ctx, v, job, lostPhone, sent, sentAt, r)
		if held {
			// An app from before phones could be lost keeps what is not taken up, and shows this.
			out.Held, out.Stopped = append(out.Held, o.CommandID), problemOf(s.refuse(ctx, errHeld)).Detail
			continue
		}
		if err != nil {
			if len(out.Outcomes) == 0 {
				return out, false, err
			}
			out.Stopped = problemOf(s.refuse(ctx, err)).Detail
			break
		}
		if o.Applied {
			out.Seq, fresh = max(out.Seq, o.LastSeq), !o.Repeated
		}
		out.Outcomes = append(out.Outcomes, o)
	}
	out.ServerTime = s.clock().UTC()
	return out, fresh, nil
}

func checkBatch(b CommandBatch) error {
	wrong := func(where, what string) error {
		p := newProblem(http.StatusUnprocessableEntity, fault.Invalid, "Something sent is not as it must be: "+where+": "+what+".")
		p.Errors = []ProblemPart{{Where: where, What: what}}
		return p
	}
	switch n := len(b.Commands); {
	case b.SentAt.IsZero():
		return wrong("body.sent_at", "expected the device's time")
	case n == 0:
		return wrong("body.commands", "expected array length >= 1")
	case n > mostCommands:
		return wrong("body.commands", "expected array length <= 200")
	}
	return nil
}

// errOthersWork is not authorized so that the device keeps everything until its author signs in: a
// page that stayed open while somebody else signed in beside it sends with their cookie.
var errOthersWork = fault.New(fault.Unauthorized, "This was done by somebody else than who is signed in now. Its author must sign in to send it.")

var errHeld = fault.New(fault.Conflict, "This phone was signed out as lost. What it sends waits for a lead's word.")

// command submits one, or holds it where it comes from a lost phone. What is wrong with this
// command alone is its outcome; an error is a reason to stop.
func (s *Server) command(ctx context.Context, v account.Viewer, job, lostPhone string, sent SentCommand, sentAt time.Time, r joblog.Reader) (o joblog.Outcome, held bool, err error) {
	c := readCommand(sent.raw, job)
	if _, err := uuid.Parse(c.ID); err != nil {
		// It cannot be kept without an id to keep it by; the phone still has it.
		o := joblog.Outcome{CommandID: c.ID, Findings: []finding.Finding{finding.New("command_id_bad", finding.Stop)}}
		return joblog.RenderOutcome(o, r), false, nil
	}
	if c.JobID != job {
		return turnedBack(c, "This entry is for another job than the one it was sent to."), false, nil
	}
	if lostPhone != "" {
		o, held, err = s.cfg.Store.Hold(ctx, v, lostPhone, c, sentAt)
	} else {
		o, err = s.cfg.Store.Submit(ctx, v, c, sentAt)
	}
	switch code := fault.CodeOf(err); {
	case held:
		return joblog.Outcome{CommandID: c.ID}, true, nil
	case code == "":
		return joblog.RenderOutcome(o, r), false, nil
	case code == fault.Invalid || code == fault.Conflict:
		return turnedBack(c, fault.SentenceOf(err)), false, nil
	}
	return joblog.Outcome{}, false, err
}

// readCommand reads what can be read. A command in which something is of the wrong type
// loses its body, so that the rules refuse it as incomplete and it is kept by its id.
func readCommand(raw json.RawMessage, job string) joblog.Command {
	var c joblog.Command
	err := json.Unmarshal(raw, &c)
	if err == nil {
		return c
	}
	var known struct {
		ID      string      `json:"id"`
		Version int         `json:"v"`
		Kind    joblog.Kind `json:"kind"`
		JobID   string      `json:"job_id"`
		At      time.Time   `json:"at"`
	}
	var wrongType *json.UnmarshalTypeError
	if err := json.Unmarshal(raw, &known); err != nil && !errors.As(err, &wrongType) {
		return joblog.Command{JobID: job}
	}
	return joblog.Command{ID: known.ID, Version: max(1, known.Version), Kind: known.Kind, JobID: known.JobID, At: known.At}
}

// turnedBack is the outcome of a command that the log could not take up at all.
func turnedBack(c joblog.Command, sentence string) joblog.Outcome {
	f := finding.New("not_taken", finding.Stop)
	f.Sentence = sentence
	return joblog.Outcome{CommandID: c.ID, Findings: []finding.Finding{f}}
}
