package coverage

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestTruthsOfLargeSamples: the estimate of 4,000 units lies within five standard
// errors of what a world states as its truth.
func TestTruthsOfLargeSamples(t *testing.T) {
	const n = 4000
	for _, cells := range [][]Cell{changeCells(), cropCells(), correctedCells()} {
		for _, c := range cells {
			if c.N != c.Figure.Sizes[0] {
				continue
			}
			c.N = n
			c.Methods = c.Methods[:1]
			got := c.World.try(c, rand.New(rand.NewPCG(seed, 3)), 0)
			e := *got.by[0]
			se := e.SE
			if c.Figure.Name == Changes().Name { // the log-normal of its heavy tail is slow to settle
				se = e.Value * math.Log(e.Upper/e.Lower) / (2 * 1.96)
			}
			if math.Abs(e.Value-got.truth) > 5*se || math.IsNaN(se) {
				t.Errorf("%s: %g with a standard error of %g, want %g", c.World.Name, e.Value, se, got.truth)
			}
		}
	}
}

// TestTotalsCoverage is the short form of the calibration of changes, crops and corrected
// densities. The seed is fixed, so that it passes always or never; 200 samples
// have a standard error of 0.015.
func TestTotalsCoverage(t *testing.T) {
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	for _, cells := range [][]Cell{changeCells(), cropCells(), correctedCells()} {
		for i, c := range cells {
			if i%5 != 0 || c.Small() {
				continue
			}
			for _, s := range c.Run(200, seed) {
				if p := s.Coverage(); p < 0.895 {
					t.Errorf("%s, n %d, %s: covers %.3f, misses %.3f above and %.3f below", c.World.Name, c.N, s.Method, p, s.LowShare(), s.HighShare())
				}
			}
		}
	}
}
