package coverage

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"ashtally/stats/adaptive"
)

// Adaptive are the densities of one stratum from plots to which others were
// added.
func Adaptive() Figure {
	return Figure{
		Name: "adaptive", Title: "Densities from adaptive cluster plots", About: aboutAdaptive,
		Default: adaptive.HorvitzThompson, Methods: []string{adaptive.HorvitzThompson, adaptive.HansenHurwitz}, Sizes: []int{15, 30, 60, 150},
		LeastPieces: 15, LeastFinds: 20,
		doubtful: func(code string) bool { return code != "no-networks" && code != adaptive.MayBeWide },
	}
}

func adaptiveCells() []Cell {
	var worlds []World
	for _, g := range []growth{
		{name: "few tight clumps", clumps: 10, bodies: 40, spread: 0.7},
		{name: "many tight clumps", clumps: 60, bodies: 20, spread: 0.7},
		{name: "wide clumps", clumps: 25, bodies: 60, spread: 1.5},
		{name: "small clumps", clumps: 150, bodies: 4, spread: 0.5},
		{name: "clumps and scatter", clumps: 25, bodies: 40, spread: 1, scattered: 0.1},
		{name: "scatter alone", scattered: 0.3},
	} {
		for _, threshold := range []float64{1, 3} {
			worlds = append(worlds, g.world(threshold))
		}
	}
	return Adaptive().over(worlds)
}

// gridSide is that of the grids, in plots of one hectare.
const gridSide = 40

// growth is a way of filling a grid with fruit bodies.
type growth struct {
	name      string
	clumps    float64 // mean number of them
	bodies    float64 // mean fruit bodies in a clump
	spread    float64 // standard deviation about its middle, in plot widths
	scattered float64 // mean fruit bodies in a plot outside of clumps
}

func (g growth) world(threshold float64) World {
	mean := g.clumps*g.bodies/(gridSide*gridSide) + g.scattered
	return World{
		Name: fmt.Sprintf("%s, threshold %g", g.name, threshold), Family: "adaptive cluster plots", Truth: mean, PerUnit: mean,
		try: func(c Cell, r *rand.Rand, _ int) trial {
			field := g.fill(r)
			sample := field.searched(r.Perm(len(field))[:c.N], threshold)
			t := trial{truth: field.mean()}
			for _, name := range c.Methods {
				e := adaptive.Stratum(sample, adaptive.Options{Estimator: name}).Density
				t.by = append(t.by, &e)
			}
			return t
		},
	}
}

// field is the fruit bodies in each plot of a grid, row by row.
type field []float64

// fill grows clumps about middles at random, on a grid whose opposite edges
// meet, so that no edge is poorer.
func (g growth) fill(r *rand.Rand) field {
	f := make(field, gridSide*gridSide)
	for range int(poisson(r, g.clumps)) {
		x, y := gridSide*r.Float64(), gridSide*r.Float64()
		for range int(poisson(r, g.bodies)) {
			f[onGrid(y+g.spread*r.NormFloat64())*gridSide+onGrid(x+g.spread*r.NormFloat64())]++
		}
	}
	for range int(poisson(r, g.scattered*gridSide*gridSide)) {
		f[r.IntN(len(f))]++
	}
	return f
}

func onGrid(v float64) int { return int(v+100*gridSide) % gridSide }

func (f field) mean() float64 {
	var sum float64
	for _, y := range f {
		sum += y
	}
	return sum / float64(len(f))
}

// beside lists the plots that share a side with one.
func (f field) beside(i int) []int {
	x, y := i%gridSide, i/gridSide
	var list []int
	for _, step := range [][2]int{{-1, 0}, {1, 0}, {0, -1}, {0, 1}} {
		u, v := x+step[0], y+step[1]
		if u >= 0 && u < gridSide && v >= 0 && v < gridSide {
			list = append(list, v*gridSide+u)
		}
	}
	return list
}

// searched walks round from the plots drawn as a crew would: those beside each
// plot that meets the threshold, and beside theirs.
func (f field) searched(drawn []int, threshold float64) adaptive.Sample {
	s := adaptive.Sample{Plots: len(f), AreaHa: 1}
	network := f.networks(threshold)
	seen := make([]bool, len(f))
	queue := slices.Clone(drawn)
	for at := 0; at < len(queue); at++ {
		i := queue[at]
		if seen[i] {
			continue
		}
		seen[i] = true
		s.Count, s.Drawn, s.Network = append(s.Count, f[i]), append(s.Drawn, at < len(drawn)), append(s.Network, network[i])
		if f[i] >= threshold {
			queue = append(queue, f.beside(i)...)
		}
	}
	return s
}

// networks numbers the connected sets of plots that meet a threshold, -1 for
// those that do not.
func (f field) networks(threshold float64) []int {
	of := slices.Repeat([]int{-1}, len(f))
	next := 0
	for i := range f {
		if of[i] >= 0 || f[i] < threshold {
			continue
		}
		for queue := []int{i}; len(queue) > 0; queue = queue[1:] {
			if j := queue[0]; of[j] < 0 && f[j] >= threshold {
				of[j] = next
				queue = append(queue, f.beside(j)...)
			}
		}
		next++
	}
	return of
}
