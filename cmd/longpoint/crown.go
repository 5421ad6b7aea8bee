package main

import (
	"context"
	"fmt"
	"math"
	"strconv"

	"longpoint/internal/joblog"
	"longpoint/internal/trim"
)

// crownAnswer is the saw set for one corner. Angles are degrees; their digits are the
// computation's, finer than any saw.
type crownAnswer struct {
	SpringDeg      float64         `json:"spring_deg"`
	CornerDeg      float64         `json:"corner_deg"`
	MiterDeg       angleDeg        `json:"miter_deg"`
	BevelDeg       angleDeg        `json:"bevel_deg"`
	NestedMiterDeg angleDeg        `json:"nested_miter_deg"`
	Cuts           []trim.CrownCut `json:"cuts"`
	Detents        trim.SawSetting `json:"detents"`
	RuleBook       string          `json:"rule_book"`
	Cautions       []string        `json:"cautions"`
}

func cutCrown(_ context.Context, c *call) error {
	spring := c.Float64("spring", math.NaN(), "`degrees` between the crown's back and the wall: 38, 45 and 52 are common")
	corner := c.Float64("corner", math.NaN(), "`degrees` between the walls, on the room's side: over 180 is an outside corner")
	asJSON, explain := c.Bool("json", false, "print JSON"), c.Bool("explain", false, "show the arithmetic")
	if err := c.parse(0, 0); err != nil {
		return err
	}
	if math.IsNaN(*spring) || math.IsNaN(*corner) {
		return misused("Give both angles: longpoint cut crown --spring 38 --corner 90.")
	}
	a, err := setCrown(*spring, *corner)
	if err != nil {
		return err
	}
	if *asJSON {
		return c.printJSON(a)
	}
	fmt.Fprintf(c.out, "Crown, spring %s, corner %s\n", degrees(a.SpringDeg), degrees(a.CornerDeg))
	fmt.Fprintf(c.out, "  flat on its back   miter %6.2f°   bevel %6.2f°\n", a.MiterDeg, a.BevelDeg)
	fmt.Fprintf(c.out, "  nested             miter %6.2f°\n", a.NestedMiterDeg)
	fmt.Fprintf(c.out, "\nOn a saw whose blade leans left:\n")
	for _, cut := range a.Cuts {
		fmt.Fprintf(c.out, "  %-5s piece, %-6s  table %-5s  %-12s to the fence, keep the %s\n", cut.Hand, cut.Position, cut.Table, edge(cut.Fence), cut.Keep)
	}
	if *explain {
		sin, cos := math.Sincos(a.SpringDeg * math.Pi / 180)
		half := a.CornerDeg / 2
		fmt.Fprintf(c.out, "\nmiter = atan(sin s × |cos(c/2)| ÷ sin(c/2)) = atan(%.6f × |cos %s| ÷ sin %s) = %.4f°\n", sin, degrees(half), degrees(half), a.MiterDeg)
		fmt.Fprintf(c.out, "bevel = asin(cos s × |cos(c/2)|) = asin(%.6f × |cos %s|) = %.4f°\n", cos, degrees(half), a.BevelDeg)
		fmt.Fprintf(c.out, "nested miter = |180° − c| ÷ 2 = %.4f°\n", a.NestedMiterDeg)
		fmt.Fprintln(c.out, "Basis: geometry; the joint lies in the upright plane that halves the corner.")
	}
	c.caution(a.Cautions)
	return nil
}

// angleDeg is an angle in degrees that prints with ten decimals in JSON, round or not, so that
// a script may count on the form.
type angleDeg float64

// MarshalJSON writes the number.
func (a angleDeg) MarshalJSON() ([]byte, error) {
	return strconv.AppendFloat(nil, float64(a), 'f', 10, 64), nil
}

func setCrown(spring, corner float64) (crownAnswer, error) {
	a := crownAnswer{SpringDeg: spring, CornerDeg: corner, RuleBook: joblog.RuleBook}
	miter, bevel, err := trim.Crown(spring, corner)
	if err != nil {
		return a, err
	}
	nested, err := trim.CrownNested(corner)
	if err != nil {
		return a, err
	}
	a.MiterDeg, a.BevelDeg, a.NestedMiterDeg = angleDeg(miter), angleDeg(bevel), angleDeg(nested)
	for _, hand := range []trim.Hand{trim.LeftPiece, trim.RightPiece} {
		flat, err := trim.CrownFlat(spring, corner, hand)
		if err != nil {
			return a, err
		}
		standing, err := trim.CrownStanding(corner, hand)
		if err != nil {
			return a, err
		}
		a.Cuts = append(a.Cuts, flat, standing)
	}
	if a.Detents, err = trim.DefaultSaw().Set(miter, bevel, 0, 0); err != nil {
		return a, err
	}
	words := joblog.Words("en")
	a.Cautions = []string{words.Term("caution_saw"), words.Term("caution_dust")}
	return a, nil
}

func edge(fence string) string {
	if fence == "wall_edge" {
		return "wall edge"
	}
	return "ceiling edge"
}

func degrees(d float64) string { return fmt.Sprintf("%g°", d) }
