package coverage

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats/density"
)

// areaCell is the cell of a world of areas with so many units in each stratum.
func areaCell(t *testing.T, world string, n int) Cell {
	t.Helper()
	for _, c := range areaCells() {
		if c.World.Name == world && c.N == n {
			c.Every = 1
			c.Methods = []string{ofArea, ofStratum}
			return c
		}
	}
	t.Fatalf("no world %q with %d units", world, n)
	return Cell{}
}

// TestAreaCoverage is the short form of the calibration of areas. The seed is
// fixed, so that it passes always or never; 200 samples have a standard error of 0.015.
func TestAreaCoverage(t *testing.T) {
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	for _, c := range []struct {
		world       string
		n           int
		least, most float64 // coverage, width over the shortest
	}{
		{"NB k 1, mean 2, 2 strata", 6, 0.93, 2.8},
		{"NB k 0.3, mean 8, 2 strata", 12, 0.92, 1.6},
		{"NB k 0.5, mean 8, 8 strata", 8, 0.93, 1.7},
		{"NB k 0.15, mean 8, 4 strata", 12, 0.92, 1.4},
		{"sites k 0.5 of plots k 1, mean 1, 4 strata", 8, 0.92, 2.3},
		{"log-normal, sd 1, mean 4, 4 strata", 12, 0.9, 1.4},
		{"sites k 0.5 of plots k 1, and plots k 0.3, mean 2, 8 strata", 8, 0.93, 2.2},
	} {
		s := areaCell(t, c.world, c.n).Run(200, seed)
		for _, s := range s {
			if p := s.Coverage(); p < c.least || p > 0.995 {
				t.Errorf("%s, n %d, %s: covers %.3f, misses %.3f above and %.3f below", c.world, c.n, s.Method, p, s.LowShare(), s.HighShare())
			}
			most := 0.01
			if s.Method == ofStratum { // of which one may hold few of the finds
				most = 0.04
			}
			if s.OpenShare() > most {
				t.Errorf("%s, n %d, %s: %.3f open", c.world, c.n, s.Method, s.OpenShare())
			}
		}
		if r := s[0].Ratio(); r > c.most {
			t.Errorf("%s, n %d: %.2f times the shortest width", c.world, c.n, r)
		}
	}
}

// TestAreaWorldsHaveTheirDensity: 3,000 units in each of two strata hold the density
// of the area on average, within five standard errors.
func TestAreaWorldsHaveTheirDensity(t *testing.T) {
	for _, w := range areaWorlds() {
		samples := w.survey(rand.New(rand.NewPCG(seed, 1)), 2, 3000)
		e := density.Area(samples, density.Options{Interval: "t"}).Area
		if miss := e.Value - w.mean/plotHa; math.Abs(miss) > 5*e.SE {
			t.Errorf("%s: %g per ha with a standard error of %g, want %g", w.name, e.Value, e.SE, w.mean/plotHa)
		}
		c := Cell{World: w.world(2), N: 3000}
		if got := finds(samples); math.Abs(got/c.Finds()-1) > 0.2 {
			t.Errorf("%s: %g finds, expected %g", w.name, got, c.Finds())
		}
	}
}

// TestKnownClumpingIsTheLikelihoodInterval: in one stratum of equal areas the
// likelihood ratio of the negative binomial total of gonum's distributions is the
// 0.95 quantile of chi-square at both ends, and with k infinite that of the Poisson.
func TestKnownClumpingIsTheLikelihoodInterval(t *testing.T) {
	s := density.NamedSample{Sample: density.Sample{AreaHa: []float64{1, 1, 1, 1}, Count: []float64{3, 0, 7, 2}, LandHa: 1}}
	const n, total = 4, 12
	for _, k := range []float64{0.5, math.Inf(1)} {
		ratio := func(m float64) float64 {
			if math.IsInf(k, 1) {
				return 2 * (distuv.Poisson{Lambda: total}.LogProb(total) - distuv.Poisson{Lambda: n * m}.LogProb(total))
			}
			l := func(m float64) float64 { return total*math.Log(m/(m+k)) - n*k*math.Log(1+m/k) }
			return 2 * (l(3) - l(m))
		}
		lower, upper := bisect(func(x float64) float64 { return ratio(3 * math.Exp(x)) }, -30), bisect(func(x float64) float64 { return ratio(3 * math.Exp(x)) }, 30)
		if got, want := knownClumping([]density.NamedSample{s}, k), 3*(math.Exp(upper)-math.Exp(lower)); math.Abs(got-want) > 1e-6*want {
			t.Errorf("k %g: width %g, want %g", k, got, want)
		}
	}
}

// TestAreaCellsAreThoseAsked: one to eight strata of 3 to 20 units in every world, each
// named apart.
func TestAreaCellsAreThoseAsked(t *testing.T) {
	seen := map[string]bool{}
	for _, c := range areaCells() {
		name := fmt.Sprint(c.World.Name, c.N)
		if seen[name] || c.World.Strata == 0 || !strings.HasPrefix(c.World.Family, "areas, ") {
			t.Errorf("cell %s of %s", name, c.World.Family)
		}
		seen[name] = true
	}
	alone := 0 // worlds that have one stratum too
	for _, w := range areaWorlds() {
		if !w.unlike {
			alone++
		}
	}
	if want := (len(areaWorlds())*3 + alone) * 6; len(seen) != want {
		t.Errorf("%d cells, want %d", len(seen), want)
	}
}
