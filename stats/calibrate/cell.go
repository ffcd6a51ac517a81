package calibrate

import (
	"math"
	"math/rand/v2"
	"runtime"
	"strings"
	"sync"

	"ashtally/stats/density"
)

// Bootstraps take a hundred times as long as the others, so they get every
// fourth sample, and half the replicates of the default.
const (
	BootstrapEvery      = 4
	BootstrapReplicates = 999
)

// Cell is a world at one size.
type Cell struct {
	World      World
	N          int      // units, or sites where the world has sites
	Systematic string   // variance of a layout; "" where there is none
	Methods    []string // that are scored, of [density.Methods]
}

// Finds is how many finds a sample of the cell has on average.
func (c Cell) Finds() float64 { return c.World.PerUnit * float64(c.N) }

// Sizes are the numbers of units or sites of the grid.
var Sizes = []int{10, 15, 30, 60, 200}

// Grid is every cell of the published table, those of a world together: all
// methods in all worlds, and in layouts each variance with two of them.
func Grid() []Cell {
	var cells []Cell
	for _, w := range Worlds() {
		for _, n := range Sizes {
			if w.Family != "systematic" {
				cells = append(cells, Cell{World: w, N: n, Methods: density.Methods()})
				continue
			}
			for _, name := range density.Systematics() {
				cells = append(cells, Cell{World: w, N: n, Systematic: name, Methods: []string{"t", density.DefaultMethod}})
			}
		}
	}
	return cells
}

// outcome is what a method gave for one sample.
type outcome struct {
	used, low, high, none bool
	warned, wide          bool
	width                 float64
}

// Run draws the samples of a cell and scores its methods on them.
func (c Cell) Run(samples int, seed uint64) []Score {
	trials := make([][]outcome, samples)
	workers := runtime.GOMAXPROCS(0)
	var wait sync.WaitGroup
	for worker := range workers {
		wait.Go(func() {
			for i := worker; i < samples; i += workers {
				trials[i] = c.try(i, seed)
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
	sample := c.World.Draw(rand.New(rand.NewPCG(seed, uint64(i))), c.N)
	outcomes := make([]outcome, len(c.Methods))
	for j, name := range c.Methods {
		if isBootstrap(name) && i%BootstrapEvery != 0 {
			continue
		}
		e := density.Stratum(sample, density.Options{
			Systematic: c.Systematic, Interval: name, Replicates: BootstrapReplicates, Seed: uint64(i),
		})
		o := outcome{
			used: true, none: math.IsNaN(e.Lower), low: e.Lower > c.World.Density, high: e.Upper < c.World.Density,
			width: (orOpen(e.Upper) - e.Lower) / c.World.Density,
		}
		for _, doubt := range e.Warnings {
			o.warned = o.warned || !ofTheMethod(doubt.Code)
			o.wide = o.wide || doubt.Code == density.MayBeWide
		}
		outcomes[j] = o
	}
	return outcomes
}

// ofTheMethod tells warnings that say how limits were found from those that
// say the interval may not keep its level.
func ofTheMethod(code string) bool {
	return code == "empty-ground" || code == density.MayBeWide || strings.HasPrefix(code, "bootstrap")
}

// orOpen is an upper limit that lies nowhere if it was left open: what cannot be
// excluded is held.
func orOpen(upper float64) float64 {
	if math.IsNaN(upper) {
		return math.Inf(1)
	}
	return upper
}

func isBootstrap(name string) bool { return name == "bca" || name == "bootstrap-t" }
