package joblog

import (
	"strings"

	"longpoint/internal/trim"
)

// sided is a name as the unit has its sides: left and right where nothing is hinged.
func (w writer) sided(name string) string {
	if w.unit == nil {
		return name
	}
	return trim.SideTerm(w.unit, name)
}

// rip says the width a piece is ripped to, of a taper at both ends; empty where it is not ripped.
func (w writer) rip(c *trim.Cut) string {
	if c.Width == nil {
		return ""
	}
	st := w.rounded(c.WidthRounding())
	width := c.Width.Length.Print(st)
	if c.WidthFar == nil || c.WidthFar.Length == c.Width.Length {
		return w.fill("rip_parallel", "width", width)
	}
	key := "rip_taper"
	if strings.Contains(c.Piece, "_leg_") {
		key = "rip_taper_leg"
	}
	return w.fill(key, "width", width, "far", c.WidthFar.Length.Print(st))
}
