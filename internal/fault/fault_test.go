package fault_test

import (
	"errors"
	"testing"

	"longpoint/internal/fault"
)

func TestCodeAndSentence(t *testing.T) {
	t.Parallel()
	cause := errors.New("duplicate key value violates unique constraint \"people_sign_in_key\"")
	for _, tc := range []struct {
		name     string
		err      error
		code     fault.Code
		sentence string
	}{
		{"nil", nil, "", "Something went wrong on our side. It has been noted; please try again."},
		{"plain error is internal and unsaid", cause, fault.Internal, "Something went wrong on our side. It has been noted; please try again."},
		{"own sentence", fault.New(fault.NotFound, "No such job."), fault.NotFound, "No such job."},
		{"the cause is not shown", fault.Because(fault.Conflict, "That name is taken.", cause), fault.Conflict, "That name is taken."},
		{"an internal fault's sentence is not shown", fault.New(fault.Internal, "column missing"), fault.Internal, "Something went wrong on our side. It has been noted; please try again."},
		{"the outermost fault wins", fault.Because(fault.Unavailable, "Try later.", fault.New(fault.NotFound, "No such job.")), fault.Unavailable, "Try later."},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			if got := fault.CodeOf(tc.err); got != tc.code {
				t.Errorf("CodeOf: want %q, got %q", tc.code, got)
			}
			if got := fault.SentenceOf(tc.err); got != tc.sentence {
				t.Errorf("SentenceOf: want %q, got %q", tc.sentence, got)
			}
		})
	}
}

func TestInKeepsTheCodeAndTheCause(t *testing.T) {
	t.Parallel()
	cause := errors.New("connection refused")
	read := func() (err error) {
		defer fault.In(&err, "reading job", "0192", "item", "0193")
		return fault.Because(fault.Unavailable, "The database does not answer.", cause)
	}
	err := read()
	if want, got := "reading job 0192 item 0193: unavailable: The database does not answer.: connection refused", err.Error(); got != want {
		t.Errorf("text: want %q, got %q", want, got)
	}
	if !fault.Is(err, fault.Unavailable) {
		t.Errorf("code: want %q, got %q", fault.Unavailable, fault.CodeOf(err))
	}
	if !errors.Is(err, cause) {
		t.Error("the cause is lost")
	}
}

func TestInLeavesNilAlone(t *testing.T) {
	t.Parallel()
	read := func() (err error) {
		defer fault.In(&err, "reading job")
		return nil
	}
	if err := read(); err != nil {
		t.Errorf("want nil, got %v", err)
	}
}
