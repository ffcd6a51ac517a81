package adaptive

import (
	"math/rand/v2"
	"slices"
)

// ground is a grid of plots, row by row, with the fruit bodies of each.
type ground struct {
	width, height int
	count         []float64
}

// line is a row of plots, the neighbours of each to its left and right.
func line(count ...float64) ground { return ground{len(count), 1, count} }

// neighbours are the plots that share a side with one.
func (g ground) neighbours(i int) []int {
	x, y := i%g.width, i/g.width
	var list []int
	for _, step := range [][2]int{{-1, 0}, {1, 0}, {0, -1}, {0, 1}} {
		u, v := x+step[0], y+step[1]
		if u >= 0 && u < g.width && v >= 0 && v < g.height {
			list = append(list, v*g.width+u)
		}
	}
	return list
}

// networks numbers the connected sets of plots that meet a threshold, -1 for
// those that do not.
func (g ground) networks(threshold float64) []int {
	of := slices.Repeat([]int{-1}, len(g.count))
	next := 0
	for i := range of {
		if of[i] >= 0 || g.count[i] < threshold {
			continue
		}
		for queue := []int{i}; len(queue) > 0; queue = queue[1:] {
			j := queue[0]
			if of[j] >= 0 || g.count[j] < threshold {
				continue
			}
			of[j] = next
			queue = append(queue, g.neighbours(j)...)
		}
		next++
	}
	return of
}

// searched walks round from the plots drawn as a crew would: the neighbours of
// each plot that meets the threshold, and theirs.
func (g ground) searched(drawn []int, threshold float64) Sample {
	of := g.networks(threshold)
	s := Sample{Plots: len(g.count), AreaHa: 1}
	seen := map[int]bool{}
	add := func(i int, first bool) bool {
		if seen[i] {
			return false
		}
		seen[i] = true
		s.Count, s.Drawn, s.Network = append(s.Count, g.count[i]), append(s.Drawn, first), append(s.Network, of[i])
		return true
	}
	for _, i := range drawn {
		add(i, true)
	}
	for queue := slices.Clone(drawn); len(queue) > 0; queue = queue[1:] {
		if g.count[queue[0]] < threshold {
			continue
		}
		for _, j := range g.neighbours(queue[0]) {
			if add(j, false) {
				queue = append(queue, j)
			}
		}
	}
	return s
}

func (g ground) mean() float64 {
	var sum float64
	for _, y := range g.count {
		sum += y
	}
	return sum / float64(len(g.count))
}

// world is a way of making a ground.
type world struct {
	name      string
	clumps    float64 // mean number of them
	bodies    float64 // mean fruit bodies in a clump
	spread    float64 // standard deviation about its centre, in plot widths
	scattered float64 // mean fruit bodies in a plot outside of clumps
}

// side is that of every simulated ground, in plots.
const side = 40

// ground makes one: clump centres at random, fruit bodies about them on a
// torus, so that no edge is poorer (Neyman & Scott 1958).
func (w world) ground(seed, i uint64) ground {
	rng := rand.New(rand.NewPCG(seed, i))
	g := ground{side, side, make([]float64, side*side)}
	for range poisson(rng, w.clumps) {
		x, y := side*rng.Float64(), side*rng.Float64()
		for range poisson(rng, w.bodies) {
			g.count[wrap(y+w.spread*rng.NormFloat64())*side+wrap(x+w.spread*rng.NormFloat64())]++
		}
	}
	for range poisson(rng, w.scattered*side*side) {
		g.count[rng.IntN(side*side)]++
	}
	return g
}

func wrap(v float64) int {
	i := int(v+100*side) % side
	return i
}

func poisson(rng *rand.Rand, mean float64) int {
	n, at := 0, rng.ExpFloat64()
	for at < mean {
		n++
		at += rng.ExpFloat64()
	}
	return n
}

func worlds() []world {
	return []world{
		{name: "few tight clumps", clumps: 10, bodies: 40, spread: 0.7},
		{name: "many tight clumps", clumps: 60, bodies: 20, spread: 0.7},
		{name: "wide clumps", clumps: 25, bodies: 60, spread: 1.5},
		{name: "small clumps", clumps: 150, bodies: 4, spread: 0.5},
		{name: "clumps and scatter", clumps: 25, bodies: 40, spread: 1, scattered: 0.1},
		{name: "scatter alone", scattered: 0.3},
	}
}
