// Package forecast says when a job is likely to be done: minutes a stage takes, from stated
// assumptions and the crew's own log, and the work that is left, simulated to a date many
// times over. It is no part of the rule book: nothing is cut or held by what it says.
package forecast

import (
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// Group is a kind of item whose stages take about as long.
type Group string

// The groups.
const (
	Door    Group = "door"    // anything with a slab that is hung
	Opening Group = "opening" // cased, without a slab
	Window  Group = "window"
	Run     Group = "run" // base, chair rail, crown
)

// Groups lists every group.
func Groups() []Group { return []Group{Door, Opening, Window, Run} }

// GroupOf returns the group of a kind of item.
func GroupOf(k trim.Kind) Group {
	switch {
	case k == trim.WallRun:
		return Run
	case k == trim.Window:
		return Window
	case !stage.HasSlab(k):
		return Opening
	}
	return Door
}

// What the forecast begins with, before the log has anything to say.
const (
	// Shape is the shape of the gamma distribution that one stage's minutes are drawn from.
	// At 4 the standard deviation is half the mean. An assumption.
	Shape = 4
	// Weight is how many ticks of the crew's own the assumed minutes count for. An assumption.
	Weight = 4
)

// Assumed returns the minutes one person is taken to need for a stage, 0 where the group has
// no such stage. They are assumptions to begin with, from common practice, measured nowhere.
func Assumed(g Group, s stage.Stage) float64 { return assumed[g][s] }

var assumed = map[Group]map[stage.Stage]float64{
	Door: {
		stage.Measured: 12, stage.Trimmed: 35, stage.Hung: 60, stage.Cased: 45,
		stage.Nailed: 15, stage.Filled: 15, stage.Caulked: 15, stage.Painted: 60,
	},
	Opening: {
		stage.Measured: 8, stage.Trimmed: 25, stage.Cased: 45,
		stage.Nailed: 15, stage.Filled: 12, stage.Caulked: 12, stage.Painted: 40,
	},
	Window: {
		stage.Measured: 8, stage.Cased: 60,
		stage.Nailed: 12, stage.Filled: 12, stage.Caulked: 15, stage.Painted: 40,
	},
	Run: {
		stage.Measured: 10, stage.Trimmed: 40,
		stage.Nailed: 30, stage.Filled: 15, stage.Caulked: 25, stage.Painted: 45,
	},
}
