package coverage

import (
	"math/rand/v2"
	"strings"

	"ashtally/stats"
	"ashtally/stats/density"
)

// Bootstraps take a hundred times as long as the others, so they get every
// fourth sample, and half the replicates of the default.
const (
	BootstrapEvery      = 4
	BootstrapReplicates = 999
)

// Plots are the densities of one stratum from plots and strips.
func Plots() Figure {
	return Figure{
		Name: "plots", Title: "Densities from plots and strips", About: aboutPlots,
		Default: density.DefaultMethod, Methods: density.Methods(), Sizes: []int{10, 15, 30, 60, 200},
		LeastPieces: 15, LeastFinds: 20,
		doubtful: func(code string) bool {
			return code != stats.EmptyGround.Code && code != stats.Conservative.Code && !strings.HasPrefix(code, "bootstrap")
		},
	}
}

// plotCells are all methods in all worlds, and in layouts each variance with
// two of them.
func plotCells() []Cell {
	var cells []Cell
	f := Plots()
	for _, w := range Worlds() {
		for _, n := range f.Sizes {
			if w.Family != "systematic" {
				cells = append(cells, Cell{Figure: f, World: w, N: n, Methods: f.Methods})
				continue
			}
			for _, name := range density.Systematics() {
				cells = append(cells, Cell{Figure: f, World: w, N: n, Systematic: name, Methods: []string{"t", density.DefaultMethod}})
			}
		}
	}
	return cells
}

// tryPlots estimates one sample of a world of plots.
func tryPlots(c Cell, r *rand.Rand, i int) trial {
	sample := c.World.Draw(r, c.N)
	t := trial{truth: c.World.Truth, by: make([]*stats.Estimate, len(c.Methods))}
	for j, name := range c.Methods {
		if isBootstrap(name) && i%BootstrapEvery != 0 {
			continue
		}
		e := density.Stratum(sample, density.Options{
			Systematic: c.Systematic, Interval: name, Replicates: BootstrapReplicates, Seed: uint64(i),
		})
		t.by[j] = &e
	}
	return t
}

func isBootstrap(name string) bool { return name == "bca" || name == "bootstrap-t" }
