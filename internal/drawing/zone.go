package drawing

import (
	"math"
	"strconv"
	"strings"

	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// zone is where a piece lies about the opening, pulled out of its place.
type zone int

const (
	above zone = iota
	below
	hingeSide
	strikeSide
	middle
	blockAbove
	blockBelow
	plinth
)

// zoneOf places a piece by its name: heads over the opening, sills and stools under it,
// legs beside it.
func zoneOf(piece string) zone {
	switch {
	case piece == "slab":
		return middle
	case strings.Contains(piece, "_block_foot_"):
		return blockBelow
	case strings.Contains(piece, "_block_"):
		return blockAbove
	case strings.Contains(piece, "_plinth_"):
		return plinth
	case strings.HasSuffix(piece, "_strike") || piece == "astragal":
		return strikeSide
	case strings.HasSuffix(piece, "_hinge") || piece == "split_leg":
		return hingeSide
	case strings.HasSuffix(piece, "head"):
		return above
	}
	return below
}

// faceWidth is how wide a piece looks from the front, tenths of a millimeter.
func (s *Scene) faceWidth(c *trim.Cut) int {
	if c.Width != nil && c.Profile == "casing" {
		return max(1, tenths(c.Width.Length, 0, 14*length.Inch))
	}
	casing := s.CasingA
	if strings.HasPrefix(c.Piece, "casing_b") {
		casing = s.CasingB
	}
	wide := s.Unit.JambThickness
	switch c.Profile {
	case "casing", "apron", "plinth":
		if casing != nil {
			wide = casing.Width
		}
	case "block":
		wide = c.Value.Length
		if c.Width != nil {
			wide = c.Width.Length
		}
	case "slab":
		wide = s.Unit.SlabWidth
	case "stool":
		wide = length.Inch
	}
	return max(1, tenths(wide, 0, 10*length.Foot))
}

// faceOf is the letter of the face a casing piece is for; empty for any other piece.
func faceOf(piece string) string {
	switch {
	case strings.HasPrefix(piece, "casing_a_"):
		return "A"
	case strings.HasPrefix(piece, "casing_b_"):
		return "B"
	}
	return ""
}

func faceIndex(letter string) int {
	if letter == "B" {
		return 1
	}
	return 0
}

// plinthOf is how high the leg of that piece's face is held off the floor.
func (s *Scene) plinthOf(piece string) int {
	c := s.CasingA
	switch faceOf(piece) {
	case "":
		return 0
	case "B":
		c = s.CasingB
	}
	if c == nil || c.Style != trim.CornerBlocks || s.Unit.Kind == trim.Window {
		return 0
	}
	return tenths(c.PlinthHeight, 0, 24*length.Inch)
}

// endMiter is the saw's angle from square at an end: 0 the left or foot, 1 the right or top.
func endMiter(c *trim.Cut, end int) float64 {
	if end >= len(c.Ends) {
		return 0
	}
	m := c.Ends[end].Miter
	if math.IsNaN(m) || m <= 0 || m > 75 {
		return 0
	}
	return m
}

func tan(degrees float64) float64 {
	switch degrees {
	case 0:
		return 0
	case 45:
		return 1
	}
	return math.Tan(degrees * math.Pi / 180)
}

// degreesText prints an angle to a hundredth of a degree without needless zeros.
func degreesText(d float64) string {
	if d == 45 {
		return "45°"
	}
	return strings.TrimRight(strings.TrimRight(strconv.FormatFloat(d, 'f', 2, 64), "0"), ".") + "°"
}

func roleOf(profile string) string {
	switch profile {
	case "slab":
		return "slab"
	case "jamb", "extension":
		return "jamb"
	}
	return "casing"
}
