package trim

import (
	"strings"

	"longpoint/internal/finding"
)

// TermFor is the catalog term that names a reading, a piece or a value of this unit to a
// person: where nothing is hinged the two sides are left and right as face A is seen, and
// a pocket's hinge side is its pocket side. It is name itself for a hinged unit.
func TermFor(u Unit, name string) string { return termFor(&u, name) }

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
