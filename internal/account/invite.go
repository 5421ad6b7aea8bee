package account

import (
	"time"

	"longpoint/internal/joblog"
)

// InviteTime is how long an invitation may be used: long enough to be passed on by message
// and opened after a weekend.
const InviteTime = 7 * 24 * time.Hour

// Invite brings somebody into a company, or back to who they are there. Its secret is in
// its link alone.
type Invite struct {
	ID        string
	CompanyID string
	PersonID  string // who comes back; empty for somebody new
	Role      joblog.Role
	Name      string // as whoever invites them calls them; may be empty
	Language  string
	InvitedBy string // a person's id
	CreatedAt time.Time
	ExpiresAt time.Time
	UsedAt    *time.Time
	// Email and Link go into the invitation's own e-mail alone and are not kept with it; empty sends none.
	Email string
	Link  string
}

// Welcome is what whoever opens an invitation's link is told.
type Welcome struct {
	Invite
	CompanyName   string
	InvitedByName string
	Used, Ended   bool
}
