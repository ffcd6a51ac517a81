package domain

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats/density"
	"ashtally/stats/statstest"
)

var update = flag.Bool("update", false, "make the table of simulations anew")

const (
	coverageSeed    = 5077
	coverageSamples = 2000
)

// world is two strata of 100 and 300 ha with three classes of ground, 900, 300 and 100
// fruit bodies per hectare in the first and a third of it in the second. A site is of
// one class, but for 30 % of its plots. Sites and plots vary as gamma or as log-normal
// variables.
type world struct {
	logNormal    bool
	sites, plots int // sites in all, plots of each, 0.01 ha
}

func worlds() []world {
	var all []world
	for _, logNormal := range []bool{false, true} {
		for _, sites := range []int{6, 12, 24, 48} {
			for _, plots := range []int{1, 3} {
				all = append(all, world{logNormal, sites, plots})
			}
		}
	}
	return all
}

func (w world) String() string {
	if w.logNormal {
		return fmt.Sprintf("log-normal | %d | %d", w.sites, w.plots)
	}
	return fmt.Sprintf("gamma | %d | %d", w.sites, w.plots)
}

var (
	landOf  = []float64{100, 300}
	partsOf = [][]float64{{0.5, 0.3, 0.2}, {0.2, 0.3, 0.5}} // of each stratum in each class
	ratesOf = [][]float64{{900, 300, 100}, {300, 100, 100.0 / 3}}
)

// truth is the density of a class.
func truth(class int) float64 {
	var bodies, land float64
	for h, ha := range landOf {
		land += ha * partsOf[h][class]
		bodies += ha * partsOf[h][class] * ratesOf[h][class]
	}
	return bodies / land
}

func (w world) draw(rng *rand.Rand) (samples []density.NamedSample, of [][]int) {
	for h := range landOf {
		var s density.NamedSample
		var classes []int
		s.Name, s.LandHa = fmt.Sprint("stratum ", h+1), landOf[h]
		for site := range w.sites / len(landOf) {
			class, rich := draw(rng, partsOf[h]), w.factor(rng, 2)
			for range w.plots {
				here := class
				if rng.Float64() < 0.3 {
					here = draw(rng, partsOf[h])
				}
				const ha = 0.01
				s.AreaHa, s.Cluster, classes = append(s.AreaHa, ha), append(s.Cluster, site), append(classes, here)
				s.Count = append(s.Count, distuv.Poisson{Lambda: ratesOf[h][here] * ha * rich * w.factor(rng, 0.8), Src: rng}.Rand())
			}
		}
		samples, of = append(samples, s), append(of, classes)
	}
	return samples, of
}

// factor has mean 1: of a gamma of that shape, or log-normal with sigma 1.
func (w world) factor(rng *rand.Rand, shape float64) float64 {
	if w.logNormal {
		return math.Exp(rng.NormFloat64() - 0.5)
	}
	return distuv.Gamma{Alpha: shape, Beta: shape, Src: rng}.Rand()
}

func draw(rng *rand.Rand, parts []float64) int {
	u := rng.Float64()
	for i, p := range parts {
		if u < p || i == len(parts)-1 {
			return i
		}
		u -= p
	}
	return -1
}

// score is how limits of the classes with two units or more did.
type score struct {
	statstest.Misses
	open, told int
	upper      float64 // sum of the logarithms of upper limit over truth
}

func (w world) score(samples int) score {
	var s score
	for i := range samples {
		drawn, of := w.draw(rand.New(rand.NewPCG(coverageSeed, uint64(i))))
		for class, e := range Estimates(drawn, of, 3, density.Options{}) {
			if e.Units < 2 {
				continue
			}
			s.Count(e.Density.Lower, e.Density.Upper, truth(class))
			if len(e.Density.Warnings) > 0 {
				s.told++
			}
			if math.IsNaN(e.Density.Upper) {
				s.open++
			} else {
				s.upper += math.Log(e.Density.Upper / truth(class))
			}
		}
	}
	return s
}

// TestCoverage: in worlds of gamma and of log-normal rates the limits keep their level
// from twelve sites on.
func TestCoverage(t *testing.T) {
	table := statstest.MadeTable{Path: "SIMULATION.md", Again: []int{2}, Head: fmt.Sprintf(`# How often the limits of a class hold its density

Nominal level 0.95; %d samples of each world, all classes with at least two units. The worlds
are those of coverage_test.go: two strata, three classes of ground, sites mostly of one class.
*Upper* is the geometric mean of the upper limit over the true density, of those that close.

| rates of sites and plots | sites | plots a site | covers | above / below | open | upper | warned |
|---|---:|---:|---:|---:|---:|---:|---:|
`, coverageSamples)}
	for _, w := range worlds() {
		table.Rows = append(table.Rows, func() string {
			s := w.score(coverageSamples)
			return fmt.Sprintf("| %v | %.3f | %v | %.3f | %.1f | %.2f |\n", w, s.Covers(), s.Misses,
				float64(s.open)/s.Of, math.Exp(s.upper/(s.Of-float64(s.open))), float64(s.told)/s.Of)
		})
	}
	if *update {
		table.Hold(t, true)
		return
	}
	statstest.Long(t)
	table.Hold(t, false)
}

// TestKeepsTheLevel is a short form of the table that every run has.
func TestKeepsTheLevel(t *testing.T) {
	for _, w := range []world{{false, 12, 3}, {true, 24, 1}} {
		if s := w.score(statstest.Times(60, 400)); s.Covers() < 0.92 {
			t.Errorf("%v: covers %.3f of %v", w, s.Covers(), s.Of)
		}
	}
}
