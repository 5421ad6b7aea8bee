package pglocal

// Code tells the reasons apart for a program; the sentence tells them to a person.
type Code int

// The reasons a server cannot be had.
const (
	// NoBinaries: no initdb and postgres were found.
	NoBinaries Code = iota + 1
	// WrongMajor: the data directory was made by another major version.
	WrongMajor
	// Busy: another PostgreSQL runs on the data directory, or the TCP port is taken.
	Busy
	// Blocked: the server's user cannot reach or own a directory.
	Blocked
	// NotACluster: the data directory holds something else.
	NotACluster
	// NotStarted: PostgreSQL itself refused; the sentence quotes it.
	NotStarted
	// NotLinux: this package starts servers on Linux only.
	NotLinux
)

// Error is what Start and FindBinaries return: one sentence that says what to do.
type Error struct {
	Code     Code
	Sentence string
	Cause    error
}

func (e *Error) Error() string { return e.Sentence }
func (e *Error) Unwrap() error { return e.Cause }
