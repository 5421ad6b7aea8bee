// Package walk is the walkthrough's machine: what becomes of a thing the homeowner points
// out, and who may do what about it. It knows nothing of items or time; joblog asks it.
package walk

// State is where one remark of a walkthrough stands.
type State string

// The states of a remark. Said: the homeowner has pointed it out. Asked: the lead wants to
// know more. Agreed: it is work. Declined: the lead has said why not. Fixed: the crew says it
// is done. Accepted: the homeowner has seen it done. LetBe: declined, and the homeowner can
// live with it. TakenBack: the homeowner needs nothing after all.
const (
	Said      State = "said"
	Asked     State = "asked"
	Agreed    State = "agreed"
	Declined  State = "declined"
	Fixed     State = "fixed"
	Accepted  State = "accepted"
	LetBe     State = "let_be"
	TakenBack State = "taken_back"
)

// States lists every state.
func States() []State {
	return []State{Said, Asked, Agreed, Declined, Fixed, Accepted, LetBe, TakenBack}
}

// Settled reports whether nothing more is to be done about a remark in this state.
func (s State) Settled() bool { return s == Accepted || s == LetBe || s == TakenBack }

// Act is what a person does about a remark.
type Act string

// The acts. Lead: Ask, Agree, Decline. Crew: Fix. Homeowner: Reply to what was asked, Accept
// what was fixed or declined, StillThere, Insist on what was declined, TakeBack.
const (
	Ask        Act = "ask"
	Agree      Act = "agree"
	Decline    Act = "decline"
	Fix        Act = "fix"
	Reply      Act = "reply"
	Accept     Act = "accept"
	StillThere Act = "still_there"
	Insist     Act = "insist"
	TakeBack   Act = "take_back"
)

// Acts lists every act.
func Acts() []Act {
	return []Act{Ask, Agree, Decline, Fix, Reply, Accept, StillThere, Insist, TakeBack}
}

// NeedsWords reports whether the act says nothing without words: a question, a reason, an
// answer.
func (a Act) NeedsWords() bool { return a == Ask || a == Decline || a == Reply || a == Insist }

// Side is on which side of a walkthrough a person stands.
type Side string

// The sides. A lead may also do what the crew may.
const (
	Homeowner Side = "homeowner"
	Lead      Side = "lead"
	Crew      Side = "crew"
)

// Sides lists every side.
func Sides() []Side { return []Side{Homeowner, Lead, Crew} }

// Side returns whose act it is.
func (a Act) Side() Side {
	switch a {
	case Ask, Agree, Decline:
		return Lead
	case Fix:
		return Crew
	}
	return Homeowner
}

// May reports whether a person of this side may do a at all, whatever the state.
func (side Side) May(a Act) bool {
	return a.Side() == side || side == Lead && a.Side() == Crew
}

// Next says what a remark becomes by an act, and whether the act is open to that side in
// that state. Agreeing again changes the day or the person; nothing leaves a settled state.
func Next(s State, a Act, by Side) (State, bool) {
	if !by.May(a) {
		return s, false
	}
	switch s {
	case Said, Asked:
		switch {
		case a == Ask && s == Said:
			return Asked, true
		case a == Agree:
			return Agreed, true
		case a == Decline:
			return Declined, true
		case a == Reply && s == Asked:
			return Said, true
		case a == TakeBack:
			return TakenBack, true
		}
	case Agreed:
		switch a {
		case Agree:
			return Agreed, true
		case Decline:
			return Declined, true
		case Fix:
			return Fixed, true
		case TakeBack:
			return TakenBack, true
		}
	case Declined:
		switch a {
		case Agree:
			return Agreed, true
		case Accept:
			return LetBe, true
		case Insist:
			return Said, true
		case TakeBack:
			return TakenBack, true
		}
	case Fixed:
		switch a {
		case Accept:
			return Accepted, true
		case StillThere:
			return Agreed, true
		}
	}
	return s, false
}

// Open lists what a side may do in a state, in the order of Acts.
func Open(s State, by Side) []Act {
	var out []Act
	for _, a := range Acts() {
		if _, ok := Next(s, a, by); ok {
			out = append(out, a)
		}
	}
	return out
}
