package coverage

import (
	_ "embed"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"

	"ashtally/stats/density"
)

// Longleaf is a real population: 584 longleaf pines on 200 m x 200 m of savanna,
// in clumps of the young and thin between (Platt, Evans & Rathbun 1988, American
// Naturalist 131: 491-525; spatstat.data::longleaf).
func Longleaf() Map { return read(longleaf, 200, 200) }

// Bei is a real population: 3,604 trees of Beilschmiedia pendula on 1,000 m x
// 500 m of rain forest, thick in the valleys and absent elsewhere (Condit, Hubbell &
// Foster 1996, Journal of Vegetation Science 7: 405-416; Møller & Waagepetersen
// 2007, Scandinavian Journal of Statistics 34: 643-684; spatstat.data::bei).
func Bei() Map { return read(bei, 1000, 500) }

// Map is where the members of a population stand, in metres from a corner of
// their ground.
type Map struct {
	X, Y          []float64
	Width, Height float64
}

// PerHa is the density of the population.
func (m Map) PerHa() float64 { return float64(len(m.X)) / (m.Width * m.Height) * 1e4 }

// Plots throws n round plots of an area at random. A plot that reaches over an
// edge goes on at the opposite one, so that each member is as likely to be seen
// as any other.
func (m Map) Plots(r *rand.Rand, n int, areaM2 float64) density.Sample {
	radius := math.Sqrt(areaM2 / math.Pi)
	var s density.Sample
	for range n {
		x, y, found := m.Width*r.Float64(), m.Height*r.Float64(), 0.0
		for i := range m.X {
			if math.Hypot(around(m.X[i]-x, m.Width), around(m.Y[i]-y, m.Height)) < radius {
				found++
			}
		}
		s.AreaHa = append(s.AreaHa, areaM2/1e4)
		s.Count = append(s.Count, found)
	}
	return s
}

// around is a distance on ground whose opposite edges meet.
func around(d, side float64) float64 {
	d = math.Abs(d)
	return math.Min(d, side-d)
}

//go:embed longleaf.csv
var longleaf string

//go:embed bei.csv
var bei string

// read reads a table whose first two columns are x and y.
func read(table string, width, height float64) Map {
	m := Map{Width: width, Height: height}
	for row := range strings.Lines(table[strings.IndexByte(table, '\n')+1:]) {
		cells := strings.Split(strings.TrimSpace(row), ",")
		m.X, m.Y = append(m.X, number(cells[0])), append(m.Y, number(cells[1]))
	}
	return m
}

func number(cell string) float64 {
	v, err := strconv.ParseFloat(cell, 64)
	if err != nil {
		panic("coverage: a map holds a cell that is not a number: " + cell)
	}
	return v
}

// mapped are the worlds that were observed, and not made up.
func mapped() []World {
	var all []World
	for _, p := range []struct {
		name   string
		m      Map
		areaM2 float64
	}{
		{"longleaf pines, plots of 100 m2", Longleaf(), 100},
		{"longleaf pines, plots of 400 m2", Longleaf(), 400},
		{"rain forest trees, plots of 400 m2", Bei(), 400},
		{"rain forest trees, plots of 100 m2", Bei(), 100},
	} {
		all = append(all, World{
			Name: p.name, Family: "mapped", Truth: p.m.PerHa(), PerUnit: p.m.PerHa() * p.areaM2 / 1e4,
			Draw: func(r *rand.Rand, n int) density.Sample { return p.m.Plots(r, n, p.areaM2) },
		})
	}
	return all
}
