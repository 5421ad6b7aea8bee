// Package account holds who works with the program: companies, their people, how a person
// proves who they are, and what a signed-in session remembers.
package account

import (
	"strings"

	"golang.org/x/text/unicode/norm"

	"longpoint/internal/fault"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
)

// Company is one crew's firm. Nothing is ever shared between two.
type Company struct {
	ID   string `json:"id" format:"uuid"`
	Name string `json:"name"`
}

// Person is someone of a company.
type Person struct {
	ID        string      `json:"id" format:"uuid"`
	CompanyID string      `json:"company_id" format:"uuid"`
	Name      string      `json:"name"`
	SignIn    string      `json:"sign_in" doc:"The name they sign in with, as SignInName writes it"`
	Role      joblog.Role `json:"role" enum:"owner,lead,installer"`
	Language  string      `json:"language" enum:"en,es"`
	Unit      length.Unit `json:"unit" enum:"in,mm"`
	Fine      bool        `json:"fine,omitempty" doc:"Their tape's marks are twice as close: 32nds of an inch, half millimeters"`
}

// Viewer returns the person as one who asks.
func (p Person) Viewer() Viewer {
	return Viewer{CompanyID: p.CompanyID, PersonID: p.ID, Role: p.Role}
}

// Viewer is who asks the store for something. It comes from the session and never from what
// a client sends.
type Viewer struct {
	CompanyID string
	PersonID  string
	Role      joblog.Role
}

// Settings are what a person sets about themselves. Fine is how close their tape's marks are.
type Settings struct {
	Name     string
	Language string
	Unit     length.Unit
	Fine     bool
}

// Member is someone of a company as the others see them. Who left stays, for the log names
// them.
type Member struct {
	Person
	Left bool
}

// Actor returns the viewer as the rules see them.
func (v Viewer) Actor() joblog.Actor { return joblog.Actor{PersonID: v.PersonID, Role: v.Role} }

// maxSignIn is the longest sign-in name, in characters: an e-mail address is at most 254
// octets (RFC 5321, 4.5.3.1.3: 256 with its angle brackets).
const maxSignIn = 254

// SignInName writes a sign-in name as it is stored and looked up: without spaces around it,
// composed and in lower case, so that a phone's keyboard may capitalize it. It may be an
// e-mail address or a plain name.
//
// Errors: invalid when it is empty, longer than 254 characters, or holds spaces or control
// characters.
func SignInName(s string) (string, error) {
	s = strings.ToLower(norm.NFC.String(strings.TrimSpace(s)))
	n := 0
	for _, r := range s {
		n++
		if r <= ' ' || r == 0x7f || r == '\uFFFD' || norm.NFKC.String(string(r)) != string(r) {
			return "", fault.New(fault.Invalid, "A sign-in name is an e-mail address or a name without spaces.")
		}
	}
	if n == 0 {
		return "", fault.New(fault.Invalid, "Enter the name you sign in with.")
	}
	if n > maxSignIn {
		return "", fault.New(fault.Invalid, "That sign-in name is too long.")
	}
	return s, nil
}
