package planning

import (
	"math/rand/v2"

	"ashtally/stats"
)

// Drawer is the probability distribution of the populations of strata.
type Drawer interface {
	// Draw draws a population for each stratum.
	Draw(r *rand.Rand) []Population
	// Typical returns their medians.
	Typical() []Population
	// Reason is why there are no populations to draw; nil where there are.
	Reason() *stats.Warning
	// Limitations are what limits a plan with units of an area.
	Limitations(unitHa float64) []stats.Warning
}

// Known is populations that are known, or assumed.
type Known []Population

var _ Drawer = Known(nil)

// Draw returns them.
func (k Known) Draw(*rand.Rand) []Population { return k }

// Typical returns them.
func (k Known) Typical() []Population { return k }

// Reason is nil.
func (k Known) Reason() *stats.Warning { return nil }

// Limitations are none.
func (k Known) Limitations(float64) []stats.Warning { return nil }
