package account

import (
	"time"

	"longpoint/internal/joblog"
)

// LostPhone is a device that a person was signed out on because it was lost. What it sends
// when it comes back waits for a lead's word, until a lead says that it is back.
type LostPhone struct {
	ID         string
	PersonID   string
	DeviceName string
	LostAt     time.Time
	LostBy     string // a person's id
	Back       bool
	Held       []HeldCommand // what waits, in the order it came
}

// HeldCommand is a command that waits for a lead's word.
type HeldCommand struct {
	Command joblog.Command
	DidAt   time.Time // when it was done, by our clock
	HeldAt  time.Time // when it came
	Job     string    // names, empty for what is not there
	Room    string
	Item    string
}
