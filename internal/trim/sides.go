package trim

import (
	"strings"

	"longpoint/internal/finding"
)

// TermFor is the catalog term that names a reading, a piece or a value of this unit to a
// person: where nothing is hinged the two sides are left and right as face A is seen, and
// a pocket's hinge side is its pocket side. It is name itself for a hinged unit.
func TermFor(u Unit, name string) string { return termFor(&u, name) }

// SideTerm is TermFor for what pieces, values and their terms are called: names that have the side
// elsewhere than at their end too. Findings go by TermFor, since a pass is kept by their names.
func SideTerm(u *Unit, name string) string {
	if u.hinged() {
		return name
	}
	switch name {
	case "shim_hinge_most":
		return termFor(u, "shim_hinge") + "_most"
	case "shim_strike_most":
		return termFor(u, "shim_strike") + "_most"
	case "lean_strike_implied":
		return termFor(u, "implied_lean_strike")
	case "hinge_wander":
		return termFor(u, "wander_hinge")
	case "strike_wander":
		return termFor(u, "wander_strike")
	case "diagonal_rise":
		return termFor(u, "diagonal_from_hinge")
	case "diagonal_fall":
		return termFor(u, "diagonal_from_strike")
	}
	return termFor(u, name)
}

func termFor(u *Unit, name string) string {
	if u.hinged() {
		return name
	}
	hinge, strike := "left", "right"
	switch {
	case u.Kind == Pocket:
		hinge, strike = "pocket", "strike"
	case u.HingeOn == "right":
		hinge, strike = "right", "left"
	}
	switch {
	case strings.HasSuffix(name, "_hinge"):
		return name[:len(name)-len("hinge")] + hinge
	case strings.HasSuffix(name, "_strike"):
		return name[:len(name)-len("strike")] + strike
	}
	return name
}

// nameSides puts the sides' own names into findings about a unit without hinges. The
// findings are fresh from this package, so their arguments may be written to.
func nameSides(u *Unit, fs []finding.Finding) {
	if u.hinged() {
		return
	}
	for i := range fs {
		for j := range fs[i].Args {
			if t := fs[i].Args[j].Term; t != "" {
				fs[i].Args[j].Term = termFor(u, t)
			}
		}
	}
}
