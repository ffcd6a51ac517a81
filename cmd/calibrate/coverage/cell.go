package coverage

import (
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"

	"ashtally/stats"
	"ashtally/stats/density"
)

// Cell is a world at one size.
type Cell struct {
	Figure     Figure
	World      World
	N          int      // pieces of a sample: units, sites or lines; in areas, of each stratum
	Systematic string   // variance of a layout; "" where there is none
	Methods    []string // that are scored, of those of the figure
	Every      int      // one sample in so many is drawn; 0: all
}

// Finds is how many finds a sample of the cell has on average.
func (c Cell) Finds() float64 { return c.World.PerUnit * float64(c.N) }

// trial is one sample: what its methods should have found, and did. A method
// that leaves the sample out has nil.
type trial struct {
	truth float64
	by    []*stats.Estimate

	// Of areas: the figure, the width of an interval of known clumping, or NaN, the
	// finds, and what the strata tell together ([density.Joint]).
	estimate, shortest, finds, units, k float64
}

// outcome is what a method gave for one sample.
type outcome struct {
	used, low, high, none bool
	warned, wide, open    bool
	width                 float64

	estimate, shortest float64 // those of the trial, over the truth
	units, k, finds    float64 // those of the trial
}

// Run draws the samples of a cell and scores its methods on them.
func (c Cell) Run(samples int, seed uint64) []Score {
	var draws []int
	for i := 0; i < samples; i += max(1, c.Every) {
		draws = append(draws, i)
	}
	trials := make([][]outcome, len(draws))
	workers := runtime.GOMAXPROCS(0)
	var wait sync.WaitGroup
	for worker := range workers {
		wait.Go(func() {
			for at := worker; at < len(draws); at += workers {
				trials[at] = c.try(draws[at], seed)
			}
		})
	}
	wait.Wait()
	scores := make([]Score, len(c.Methods))
	for j, name := range c.Methods {
		scores[j] = c.score(name, trials, j)
	}
	return scores
}

func (c Cell) try(i int, seed uint64) []outcome {
	t := c.World.try(c, rand.New(rand.NewPCG(seed, uint64(i))), i)
	outcomes := make([]outcome, len(c.Methods))
	for j, e := range t.by {
		if e != nil {
			outcomes[j] = c.outcome(*e, t)
		}
	}
	return outcomes
}

func (c Cell) outcome(e stats.Estimate, t trial) outcome {
	truth := t.truth
	has := func(is func(code string) bool) bool {
		return slices.ContainsFunc(e.Warnings, func(w stats.Warning) bool { return is(w.Code) })
	}
	return outcome{
		used: true, none: math.IsNaN(e.Lower), low: e.Lower > truth, high: e.Upper < truth,
		width: (orOpen(e.Upper) - e.Lower) / truth, warned: has(c.Figure.doubtful),
		wide:     has(func(code string) bool { return code == mayBeWide }),
		open:     t.finds >= openFromFinds && (math.IsNaN(e.Upper) || has(func(code string) bool { return code == density.UpperLoose.Code })),
		estimate: t.estimate / truth, shortest: t.shortest / truth, units: t.units, k: t.k, finds: t.finds,
	}
}

// mayBeWide is the code of all figures that say an interval is on the safe side.
var mayBeWide = stats.Conservative.Code

// orOpen is an upper limit that lies nowhere if it was left open: what cannot be
// excluded is held.
func orOpen(upper float64) float64 {
	if math.IsNaN(upper) {
		return math.Inf(1)
	}
	return upper
}
