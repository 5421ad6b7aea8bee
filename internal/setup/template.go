package setup

import "time"

// Template is something a company has put by to set up a job with: the rooms of a unit that is
// built again, or a trim package.
type Template struct {
	ID     string
	Name   string
	Rooms  []Room
	Trim   *Package
	MadeBy string
	MadeAt time.Time
}
