package account

import "longpoint/internal/joblog"

// Manages reports whether somebody of one role may invite, change, sign out or remove
// somebody of another: an owner anyone of the crew, a lead everyone but owners. Guests are
// nobody's to manage: their link is.
func Manages(who, whom joblog.Role) bool {
	switch whom {
	case joblog.Lead, joblog.Installer:
		return who.Leads()
	case joblog.Owner:
		return who == joblog.Owner
	}
	return false
}
