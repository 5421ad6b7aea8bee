package photo

import (
	"errors"

	"longpoint/internal/fault"
)

// Reason says why a file was not taken as a photo. It is stored, and each screen has its
// own words for it.
type Reason string

// The reasons.
const (
	Empty     Reason = "empty"
	TooHeavy  Reason = "too_heavy"      // more bytes than are taken
	TooBig    Reason = "too_big"        // more pixels than are opened
	HEIC      Reason = "heic"           // the format of an iPhone's own camera
	NoPicture Reason = "not_a_picture"  // none of the formats that are read
	Damaged   Reason = "damaged"        // begins as a picture and does not end as one
	Changed   Reason = "changed_on_way" // what arrived is not what the phone kept
)

// sentences are what a person is told, with what to do about it.
var sentences = map[Reason]string{
	Empty:     "The file is empty. Take the photo again.",
	TooHeavy:  "The file is over 12 MB. Take the photo in the app, which makes it smaller.",
	TooBig:    "The picture has more pixels than can be opened here. Take the photo in the app, which makes it smaller.",
	HEIC:      "The photo is in the iPhone's own format (HEIC), which cannot be opened here. Take it in the app, which converts it; or on the iPhone choose Settings, Camera, Formats, Most Compatible.",
	NoPicture: "The file is not a JPEG, PNG or WebP picture. Choose a photo in one of these formats.",
	Damaged:   "The picture is damaged and cannot be opened. Take the photo again.",
	Changed:   "What arrived is not the photo the phone kept. It has to be sent again from the start.",
}

// refusal is the cause in the fault that a refused file gives.
type refusal struct {
	reason Reason
	err    error
}

func (r *refusal) Error() string {
	if r.err == nil {
		return string(r.reason)
	}
	return string(r.reason) + ": " + r.err.Error()
}

func (r *refusal) Unwrap() error { return r.err }

// Refuse makes the fault for a reason.
func Refuse(why Reason, cause error) error {
	code := fault.Invalid
	if why == TooHeavy || why == TooBig {
		code = fault.TooLarge
	}
	return fault.Because(code, sentences[why], &refusal{why, cause})
}

// ReasonOf is the reason that err refuses a file for, "" when it does not.
func ReasonOf(err error) Reason {
	var r *refusal
	if errors.As(err, &r) {
		return r.reason
	}
	return ""
}

// Sentence is what a person is told of a reason that was stored.
func (r Reason) Sentence() string { return sentences[r] }
