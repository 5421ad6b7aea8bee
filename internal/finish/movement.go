package finish

import (
	"math"
	"strconv"

	"longpoint/internal/derive"
	"longpoint/internal/finding"
	"longpoint/internal/length"
	"longpoint/internal/stage"
)

// Species is how a wood moves across its grain: fractional change of width for each percent
// of moisture content, radially (quarter-sawn) and tangentially (flat-sawn).
type Species struct {
	Key        string  `json:"key" doc:"Catalog term"`
	Radial     float64 `json:"radial"`
	Tangential float64 `json:"tangential"`
	Basis      string  `json:"basis" doc:"Catalog term of what the coefficients stand on"`
}

// AllSpecies returns the woods the rule book knows. The coefficients hold from 6 to 14 %
// moisture and rest on the size at 10 %.
func AllSpecies() []Species {
	return []Species{
		{"red_oak", 0.00158, 0.00369, "wood_handbook_13_5"},
		{"white_oak", 0.00180, 0.00365, "wood_handbook_13_5"},
		{"hard_maple", 0.00165, 0.00353, "wood_handbook_13_5"},
		{"soft_maple", 0.00137, 0.00289, "wood_handbook_13_5"}, // red maple
		{"cherry", 0.00126, 0.00248, "wood_handbook_13_5"},
		{"walnut", 0.00190, 0.00274, "wood_handbook_13_5"},
		{"red_alder", 0.00151, 0.00256, "wood_handbook_13_5"},
		{"basswood", 0.00230, 0.00330, "wood_handbook_13_5"},
		{"white_ash", 0.00169, 0.00274, "wood_handbook_13_5"},
		{"yellow_birch", 0.00256, 0.00338, "wood_handbook_13_5"},
		{"poplar", 0.00158, 0.00289, "wood_handbook_4_3"},      // yellow-poplar
		{"douglas_fir", 0.00165, 0.00267, "wood_handbook_4_3"}, // coast
		{"white_fir", 0.00112, 0.00245, "wood_handbook_4_3"},
		{"ponderosa_pine", 0.00133, 0.00216, "from_memory"},
		{"white_pine", 0.00071, 0.00212, "from_memory"}, // eastern
		// ANSI A208.2 lets a panel grow 0.33 % from 50 to 80 % humidity (the range is from
		// memory), over which wood at 70 F goes from 9.2 to 16.0 %: 0.33/100/6.8, rounded up.
		// Read against the moisture of wood, not of the board itself.
		{"mdf", 0.00049, 0.00049, "mdf_expansion"},
	}
}

// FindSpecies returns the species of that key.
func FindSpecies(key string) (Species, bool) {
	for _, s := range AllSpecies() {
		if s.Key == key {
			return s, true
		}
	}
	return Species{}, false
}

// Grain is how a board was sawn.
type Grain string

// The grains. An empty grain is taken as FlatSawn, which moves more.
const (
	FlatSawn    Grain = "flat_sawn"
	QuarterSawn Grain = "quarter_sawn"
)

// Coefficient returns the change of width for each percent of moisture.
func (s Species) Coefficient(g Grain) float64 {
	if g == QuarterSawn {
		return s.Radial
	}
	return s.Tangential
}

// The range EMC answers for: within 0.1 % of the Wood Handbook's table 4-2 from 30 to 140 F.
const (
	ColdestEMC = -1.2 // Celsius
	HottestEMC = 60.0 // Celsius
)

// The range of moisture content the coefficients hold for (Wood Handbook, eq. 13-2).
const (
	DriestMoisture  = 6.0  // percent
	DampestMoisture = 14.0 // percent
)

// EMC is the equilibrium moisture content of wood, in percent of its dry weight, in air of a
// temperature in degrees Celsius (ColdestEMC to HottestEMC) and a relative humidity in percent
// (0 to 100). Outside those, or not a number, it returns false. Basis: Hailwood–Horrobin
// equation with the Wood Handbook's coefficients (from memory; tested against table 4-2). An
// estimate: FPL-GTR-229 doubts the data under it.
func EMC(celsius, humidity float64) (float64, bool) {
	if !(celsius >= ColdestEMC && celsius <= HottestEMC && humidity >= 0 && humidity <= 100) {
		return 0, false
	}
	t, h := celsius, humidity/100
	w := 349 + 1.29*t + 0.0135*t*t
	k := 0.805 + 0.000736*t - 0.00000273*t*t
	k1 := 6.27 - 0.00938*t - 0.000303*t*t
	k2 := 1.91 + 0.0407*t - 0.000293*t*t
	kh := k * h
	return 1800 / w * (kh/(1-kh) + (k1*kh+2*k1*k2*kh*kh)/(1+k1*kh+k1*k2*kh*kh)), true
}

// Air is the air of a room in one season.
type Air struct {
	Celsius  Tenths `json:"celsius_tenths" minimum:"-12" maximum:"600" doc:"Tenths of a degree Celsius"`
	Humidity Tenths `json:"humidity_tenths" minimum:"0" maximum:"1000" doc:"Relative, tenths of a percent"`
}

// Put adds the air to a finding or log entry: its temperature under the name, its humidity
// under name_humidity.
func (a Air) Put(f finding.Finding, name string) finding.Finding {
	return f.Deg(name, int64(a.Celsius)).Text(name+"_humidity", a.Humidity.text())
}

// Climate is the air the finished work will stand in, at its driest and its dampest season.
type Climate struct {
	Dry  Air `json:"dry"`
	Damp Air `json:"damp"`
}

// Moisture is what wood swings between over the seasons, percent moisture content.
type Moisture struct {
	Low    float64 `json:"low"`
	High   float64 `json:"high"`
	Change float64 `json:"change"`
}

// MoistureChange returns the moisture content of wood at both seasons; which of the two is
// called dry does not matter. A season EMC cannot answer for stops; a swing that leaves 6 to
// 14 % is worked out all the same and noted.
func MoistureChange(c Climate) (Moisture, []finding.Finding) {
	var at [2]float64
	for i, a := range []Air{c.Dry, c.Damp} {
		m, ok := EMC(a.Celsius.Value(), a.Humidity.Value())
		if !ok {
			return Moisture{}, []finding.Finding{on(stage.Caulked, "climate_implausible", finding.Stop).
				Deg("celsius", int64(a.Celsius)).Text("humidity", a.Humidity.text()).
				Deg("coldest", ColdestEMC*10).Deg("hottest", HottestEMC*10)}
		}
		at[i] = m
	}
	m := Moisture{Low: math.Min(at[0], at[1]), High: math.Max(at[0], at[1])}
	m.Change = m.High - m.Low
	if m.Low < DriestMoisture || m.High > DampestMoisture {
		return m, []finding.Finding{on(stage.Caulked, "moisture_beyond_table", finding.Note).
			Dec("low", m.Low, 1).Dec("high", m.High, 1).
			Dec("driest", DriestMoisture, 0).Dec("dampest", DampestMoisture, 0)}
	}
	return m, nil
}

// short prints a number as it was entered, to four figures, without a page of zeros for one
// that cannot be.
func short(v float64) string { return strconv.FormatFloat(v+0, 'g', 4, 64) }

// MemberMovement is how much a member's width changes for a change of moisture content in
// percent (0 to 100): width × coefficient × change, to the nearest nanometer. Width is
// nanometers, over 0 and up to 100 ft. It returns false for anything else. Basis: Wood
// Handbook, eq. 13-2; on real boards it tends to overstate width.
func MemberMovement(width length.Length, coefficient, change float64) (derive.Value, bool) {
	if width <= 0 || width > length.Longest || !(change >= 0 && change <= 100) || !(coefficient >= 0 && coefficient < 1) {
		return derive.Value{}, false
	}
	l := length.Length(math.Round(float64(width) * coefficient * change))
	return derive.By("movement_of_width", "wood_handbook_13_2", l, derive.Plus("member_width", width, derive.Unit)), true
}
