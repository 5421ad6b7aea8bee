package finish

import (
	"math"

	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// Volumes of a supply. A US fluid ounce is 231/128 cubic inches, exactly.
const (
	CubicInchesPerFluidOunce = 231.0 / 128
	CartridgeFluidOunces     = 10.1
)

// Section is the cross section of a bead.
type Section string

// The sections.
const (
	Fillet Section = "fillet" // a triangle in a corner; width and depth are its legs
	Filled Section = "joint"  // a filled joint, width by depth
	Round  Section = "round"  // a bead of adhesive; width is its diameter, depth is not used
)

// Sections lists every section.
func Sections() []Section { return []Section{Fillet, Filled, Round} }

// mostBead is more than any bead a trim crew lays is wide or deep.
const mostBead = 2 * length.Inch

// mostRun is the longest run of one entry: a house's worth, 100 times a wall's longest.
const mostRun = 100 * length.Longest

// Bead is a run of caulk or adhesive. Lengths are nanometers.
type Bead struct {
	Section Section       `json:"section" enum:"fillet,joint,round"`
	Width   length.Length `json:"width"`
	Depth   length.Length `json:"depth,omitempty"`
	Run     length.Length `json:"run" doc:"How far it runs"`
}

func (b Bead) plausible() bool {
	return known(Sections(), b.Section) && b.Width > 0 && b.Width <= mostBead &&
		(b.Section == Round || b.Depth > 0 && b.Depth <= mostBead) && b.Run >= 0 && b.Run <= mostRun
}

// area is the bead's cross section in square inches.
func (b Bead) area() float64 {
	w, d := b.Width.Inches(), b.Depth.Inches()
	switch b.Section {
	case Fillet:
		return w * d / 2
	case Round:
		return math.Pi * w * w / 4
	}
	return w * d
}

// Supply is how much of something to buy. Waste is already in it.
type Supply struct {
	CubicInches float64 `json:"cubic_inches"`
	FluidOunces float64 `json:"fluid_ounces"`
	Packages    int64   `json:"packages" doc:"Cartridges, tubes or tubs, rounded up"`
}

// supply adds waste and rounds packages up. The slack keeps the last bits of a
// float from buying a whole cartridge.
func supply(cubicInches, packageOunces float64, waste int64) Supply {
	v := cubicInches * float64(100+waste) / 100
	oz := v / CubicInchesPerFluidOunce
	return Supply{CubicInches: v, FluidOunces: oz, Packages: int64(math.Ceil(oz/packageOunces - 1e-9))}
}

// Cartridges is how much caulk or adhesive the beads take, with the house rule's waste, in
// packages of the given fluid ounces (0.1 to 1000; CartridgeFluidOunces is usual). A
// bead or package that cannot be stops and nothing is counted. Basis: geometry; waste is
// common practice.
func Cartridges(beads []Bead, packageOunces float64, r houserules.Rules) (Supply, []finding.Finding) {
	if bad := checkPackage(packageOunces, r.Waste); bad != nil {
		return Supply{}, bad
	}
	var v float64
	for _, b := range beads {
		if !b.plausible() {
			return Supply{}, []finding.Finding{finding.New("bead_bad", finding.Stop).
				Len("width", b.Width).Len("depth", b.Depth).Len("run", b.Run).Len("most", mostBead)}
		}
		v += b.area() * b.Run.Inches()
	}
	return supply(v, packageOunces, r.Waste), nil
}

func checkPackage(ounces float64, waste int64) []finding.Finding {
	switch {
	case !(ounces >= 0.1 && ounces <= 1000):
		return []finding.Finding{finding.New("package_size_bad", finding.Stop).Text("ounces", short(ounces))}
	case waste < 0 || waste > 100:
		return []finding.Finding{finding.New("waste_bad", finding.Stop).Num("waste", waste)}
	}
	return nil
}

// FeetPerCartridge is how far a package of the given fluid ounces goes in beads like b,
// without waste; false for a bead or package that cannot be.
func FeetPerCartridge(b Bead, packageOunces float64) (float64, bool) {
	b.Run = 0
	if !b.plausible() || checkPackage(packageOunces, 0) != nil {
		return 0, false
	}
	return packageOunces * CubicInchesPerFluidOunce / b.area() / 12, true
}

// BeadsOf is the caulk a gap takes under paint, none where it is scribed or left open: a
// fillet of 1/8 legs over it and the gap itself, filled as deep as it is wide and at most
// 1/4 deep, where backer comes. Common practice; a shadow line is the fillet alone. A gap no
// caulk may close takes none.
func BeadsOf(g Gap, grade trim.Grade, r houserules.Rules) []Bead {
	if g.Closing != Caulked || grade != trim.Paint || PlanGap(g.Width, grade, r).Refit {
		return nil
	}
	beads := []Bead{{Section: Fillet, Width: length.Eighth, Depth: length.Eighth, Run: g.Run}}
	if g.Width > 0 {
		beads = append(beads, Bead{Section: Filled, Width: g.Width, Depth: min(g.Width, length.Quarter), Run: g.Run})
	}
	return beads
}

// HoleDiameter is the width of the hole a fastener leaves to be filled: the wire of 15, 16 and
// 18 gauge is Washburn & Moen steel wire; 23 gauge is from memory, as are the head of an 8d
// hand nail and of a trim screw. It is 0 for an unknown kind.
func HoleDiameter(k Kind) length.Length {
	const tenThousandth = length.Inch / 10_000
	switch k {
	case Pin23:
		return 258 * tenThousandth
	case Brad18:
		return 475 * tenThousandth
	case Finish16:
		return 625 * tenThousandth
	case Finish15:
		return 720 * tenThousandth
	case HandFinish:
		return 1350 * tenThousandth
	case TrimScrew:
		return 2500 * tenThousandth
	}
	return 0
}

// SetDepth is how deep a nail is usually set below the face (common practice).
const SetDepth = length.Sixteenth

// FillerFor is the filler or putty that the holes hold: round holes of HoleDiameter by depth,
// with the house rule's waste. It is the least: a gun's driver leaves more than the
// wire, and what is wiped off is not counted. Depth is over 0 and up to 1 in; a count or
// depth out of range stops.
func FillerFor(holes []Hole, depth length.Length, packageOunces float64, r houserules.Rules) (Supply, []finding.Finding) {
	if bad := checkPackage(packageOunces, r.Waste); bad != nil {
		return Supply{}, bad
	}
	var v float64
	for _, h := range holes {
		d := HoleDiameter(h.Kind).Inches()
		if d == 0 || h.Count < 0 || h.Count > mostHoles || depth <= 0 || depth > length.Inch {
			return Supply{}, []finding.Finding{finding.New("holes_bad", finding.Stop).
				Num("count", h.Count).Num("most_count", mostHoles).Len("depth", depth).Len("most", length.Inch)}
		}
		v += float64(h.Count) * math.Pi * d * d / 4 * depth.Inches()
	}
	return supply(v, packageOunces, r.Waste), nil
}

// mostHoles is more holes or nails than a job has.
const mostHoles = 100_000_000

// Box is how one length of fastener is packed, off its label.
type Box struct {
	Kind   Kind          `json:"kind" enum:"pin23,brad18,finish16,finish15,hand_finish,trim_screw"`
	Length length.Length `json:"length" doc:"Nanometers"`
	Count  int64         `json:"count" minimum:"1" maximum:"100000"`
}

// NailOrder is how many fasteners of one kind and length to have.
type NailOrder struct {
	Kind   Kind          `json:"kind" enum:"pin23,brad18,finish16,finish15,hand_finish,trim_screw"`
	Length length.Length `json:"length" doc:"Nanometers"`
	Count  int64         `json:"count" doc:"With waste"`
	Boxes  int64         `json:"boxes,omitempty" doc:"Rounded up; left out where the box's count is not known"`
}

// NailOrders adds up fasteners by kind and length in the order first met, adds the house
// rule's waste rounded up, and divides by the box that matches. An entry or box that cannot
// be stops and nothing is counted.
func NailOrders(fasteners []Fastener, boxes []Box, r houserules.Rules) ([]NailOrder, []finding.Finding) {
	if bad := checkPackage(CartridgeFluidOunces, r.Waste); bad != nil {
		return nil, bad
	}
	var out []NailOrder
	for _, f := range fasteners {
		if bad := checkEntry(f, ""); bad != nil {
			return nil, bad
		}
		i := orderOf(out, f)
		if i < 0 {
			i, out = len(out), append(out, NailOrder{Kind: f.Kind, Length: f.Length})
		}
		out[i].Count += f.Count
	}
	for i := range out {
		o := &out[i]
		o.Count = (o.Count*(100+r.Waste) + 99) / 100
		for _, b := range boxes {
			switch {
			case b.Kind != o.Kind || b.Length != o.Length:
			case b.Count < 1 || b.Count > 100_000:
				return nil, []finding.Finding{finding.New("box_bad", finding.Stop).Num("count", b.Count)}
			default:
				o.Boxes = (o.Count + b.Count - 1) / b.Count
			}
		}
	}
	return out, nil
}

func orderOf(orders []NailOrder, f Fastener) int {
	for i, o := range orders {
		if o.Kind == f.Kind && o.Length == f.Length {
			return i
		}
	}
	return -1
}
