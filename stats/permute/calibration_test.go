package permute

import (
	"bytes"
	"cmp"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats/statstest"
)

var update = flag.Bool("update", false, "write CALIBRATION.md anew")

const (
	calibrationSeed = 4211
	samples         = 2000
)

// world is a made-up survey in two years since fire, half of the sites each or, with
// few, so many in the second.
type world struct {
	sites, units int // in all; units in each site
	mean         float64
	k            float64 // clumping of a unit; 0 = 0.45
	siteSD       float64 // of the log of a site's effect; 0 = 0.35
	ratio        float64 // density of the second year to the first; or of kinds
	few          int     // sites in the second year; 0: half
	areas        float64 // area of a plot of the second year to one of the first; 0: 1
	weights      float64 // of the second year's places to those of the first; 0: 1
	seed         uint64  // of its samples
	rich         float64 // share of the units that hold all finds of the second of two kinds; the first is even
}

// of is the class, area and weight of a site.
func (w world) of(s int) (class int, area, weight float64) {
	area, weight = 1, 1
	if w.few > 0 && s < w.few || w.few == 0 && s%2 == 1 {
		return 1, cmp.Or(w.areas, 1), cmp.Or(w.weights, 1)
	}
	return 0, area, weight
}

// draw gives sites with the finds of two kinds that share the soil of a unit.
// The first kind differs between years by the ratio.
func (w world) draw(stream uint64, i int) Classes {
	rng := rand.New(rand.NewPCG(w.seed+stream, uint64(i)))
	k, sd := w.k, w.siteSD
	if k == 0 {
		k, sd = 0.45, 0.35
	}
	c := Classes{Class: make([]int, w.sites), Weight: make([]float64, w.sites), Area: make([]float64, w.sites), First: make([]float64, w.sites), Base: make([]float64, w.sites)}
	for s := range w.sites {
		class, area, weight := w.of(s)
		c.Class[s], c.Area[s], c.Weight[s] = class, area*float64(w.units), weight
		site := math.Exp(sd*rng.NormFloat64() - sd*sd/2)
		for range w.units {
			soil := distuv.Gamma{Alpha: k, Beta: k, Src: rng}.Rand()
			first, base := w.mean*area, w.mean*area
			if c.Class[s] == 1 {
				first *= w.ratio
			}
			c.First[s] += distuv.Poisson{Lambda: 1e-12 + first*soil*site, Src: rng}.Rand()
			c.Base[s] += distuv.Poisson{Lambda: 1e-12 + base*soil*site*distuv.Gamma{Alpha: 2, Beta: 2, Src: rng}.Rand(), Src: rng}.Rand()
		}
	}
	return c
}

// naive is the chi-square test that takes each find for independent.
func naive(c Classes) float64 {
	var finds, area [2]float64
	for i, k := range c.Class {
		finds[k] += c.First[i]
		area[k] += c.Area[i]
	}
	y, a := finds[0]+finds[1], area[0]+area[1]
	if y == 0 {
		return 1
	}
	var x float64
	for k := range finds {
		e := y * area[k] / a
		x += (finds[k] - e) * (finds[k] - e) / e
	}
	return distuv.ChiSquared{K: 1}.Survival(x)
}

// rates are the shares of samples with a p of 0.05 or less: of densities, of
// ratios, of modes, of the same by mid-p, and of the chi-square on finds. Each
// row of the table has samples of its own, so that the rows err independently.
func (w world) rates(row int) [7]float64 {
	w.seed = calibrationSeed + 10*uint64(row)
	var found [7]float64
	for i := range samples {
		// Each sample has arrangements of its own: 999 that all share would err alike.
		o := Options{Limit: 1000, Replicates: 999, Seed: uint64(i)}
		c := w.draw(0, i)
		modes := world{sites: w.sites, units: w.units, mean: w.mean, k: w.k, siteSD: w.siteSD, rich: w.rich, ratio: 1, seed: w.seed}.kinds(i, w.ratio)
		density, ratio, mode := Densities(c, o), Ratios(c, o), Modes(modes.First, modes.Base, o)
		for j, p := range [7]float64{density.P, ratio.P, mode.P, density.MidP, ratio.MidP, mode.MidP, naive(c)} {
			if p <= 0.05 {
				found[j] += 1.0 / samples
			}
		}
	}
	return found
}

// kinds draws two kinds alike in all but their density, each with its own soil.
func (w world) kinds(i int, ratio float64) Classes {
	if w.rich > 0 {
		return w.evenAndRich(i, ratio)
	}
	a := w
	a.mean *= ratio
	first, base := a.draw(1, i), w.draw(2, i)
	return Classes{First: first.First, Base: base.First}
}

// evenAndRich has an even kind, and one in a share of the units.
func (w world) evenAndRich(i int, ratio float64) Classes {
	rng := rand.New(rand.NewPCG(w.seed+3, uint64(i)))
	c := Classes{First: make([]float64, w.sites), Base: make([]float64, w.sites)}
	for s := range w.sites {
		for range w.units {
			c.First[s] += distuv.Poisson{Lambda: w.mean * ratio, Src: rng}.Rand()
			if rng.Float64() < w.rich {
				c.Base[s] += distuv.Poisson{Lambda: w.mean / w.rich, Src: rng}.Rand()
			}
		}
	}
	return c
}

// unbalanced are worlds in which classes or kinds are not alike in all but density.
func unbalanced() []world {
	var all []world
	for _, w := range []world{
		{sites: 44, few: 4, weights: 3}, {sites: 44, few: 4, areas: 3}, {sites: 44, few: 4, areas: 1. / 3},
		{sites: 40, few: 10, areas: 3}, {sites: 40, few: 10, areas: 1. / 3}, {sites: 30, few: 15, weights: 5}, {sites: 30, few: 15, areas: 3},
		{sites: 30, rich: 0.15}, {sites: 60, rich: 0.15},
	} {
		w.units = 1
		for _, w.mean = range []float64{1, 5} {
			for _, w.ratio = range []float64{1, 3} {
				all = append(all, w)
			}
		}
	}
	return all
}

func worlds() []world {
	var all []world
	for _, sites := range []int{12, 16, 24, 40} {
		for _, mean := range []float64{0.5, 4} {
			for _, ratio := range []float64{1, 2, 4} {
				all = append(all, world{sites: sites, units: 3, mean: mean, ratio: ratio})
			}
		}
	}
	return append(all, unbalanced()...)
}

// what says how classes or kinds are unlike.
func (w world) what() string {
	switch {
	case w.rich > 0:
		return fmt.Sprintf("one kind in %g of the units", w.rich)
	case w.few == 0:
		return ""
	}
	s := fmt.Sprintf("%d and %d sites", w.sites-w.few, w.few)
	if w.weights > 0 {
		s += fmt.Sprintf(", weights 1 : %.2g", w.weights)
	}
	if w.areas > 0 {
		s += fmt.Sprintf(", areas 1 : %.2g", w.areas)
	}
	return s
}

func tableRow(w world, r [7]float64) string {
	what := "error rate"
	if w.ratio != 1 {
		what = "power"
	}
	return fmt.Sprintf("| %d x %d | %s | %g | %g | %s | %.3f | %.3f | %.3f | %.3f | %.3f | %.3f | %.3f |\n", w.sites, w.units, w.what(), w.mean, w.ratio, what, r[0], r[1], r[2], r[3], r[4], r[5], r[6])
}

const tableHead = `# How often a permutation test calls a difference

Made by

    go test ./stats/permute -run TestCalibration -update

with seed %d and %d samples a row, each a survey of a simulated area: sites that differ (standard deviation 0.35 on the log scale), three
units in each, counts of a unit clumped by a gamma of shape 0.45 (the k of a negative binomial). Whole sites are permuted; all arrangements where there
are no more than 1000, else 999 drawn. The cells are shares of samples with p of 0.05 or less.

- layout: sites x units in each; half of the sites in each of two years. mean: finds per unit in the first year. ratio: the effect to detect.
  At ratio 1 there is none, and the share should be 0.05: 0.040 to 0.060 is within two standard errors of the simulation. Rows have samples of their own.
- densities: of one kind between years. ratios: of two kinds that share the soil of their units, between years. modes: two kinds in the same units,
  each with its own clumps.
- unlike: sites are single units, and classes or kinds differ in more than density. *40 and 4 sites*: so many in the first and second year. *weights*, *areas*:
  of the second year's places, or units, to those of the first, with the same finds per area. *one kind in 0.15 of the units*: for the modes, one kind
  is even and the other is found in so many units; the years do not differ.
- Densities: 0.037 to 0.056 where classes differ in number and weight, and where their units differ in area. Where the class of the smaller units
  expects under 20 finds the rate is 0.051 to 0.080, and the test has a warning.
- Ratios: 0.036 to 0.053 where classes differ in number or weight and the smaller one has ten sites or more. With four sites of larger units the rate is
  0.069 to 0.074; where the class of few sites has the smaller units, 0.010 to 0.035.
- Modes: 0.035 to 0.046 where one kind is even and the other in few rich units; a test by the difference of totals would reject 0.09 to 0.12 there.
  Elsewhere the test is exact up to ties: of 20,000 samples on 12 and on 24 sites it rejects 0.050 (TestModesAreExact).
- mid-p: the p-value that counts half of the arrangements that tie with the one observed.
- Under some 40 finds in all (a mean of 0.5 on 12 sites) many arrangements tie with the one observed, a ninth of them in the middle, and the exact p
  rejects too seldom, 0.031 to 0.039; the mid-p rejects 0.046 to 0.048. The mid-p has no guarantee against rejecting too often, so the exact p is
  reported, with the mid-p beside it.
- chi-square on finds: the result of taking each find as independent. Its "power" is mostly its error.

| layout | unlike | mean | ratio | | densities | ratios | modes | densities, mid-p | ratios, mid-p | modes, mid-p | chi-square on finds |
|---|---|---|---|---|---|---|---|---|---|---|---|
`

// TestCalibration checks the table's first rows, or makes it with -update.
func TestCalibration(t *testing.T) {
	const name = "CALIBRATION.md"
	all := worlds()
	if *update {
		var table bytes.Buffer
		fmt.Fprintf(&table, tableHead, calibrationSeed, samples)
		for row, w := range all {
			table.WriteString(tableRow(w, w.rates(row)))
		}
		if err := os.WriteFile(name, table.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	table, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if rows := bytes.Count(table, []byte("\n|")) - 2; rows != len(all) {
		t.Errorf("%d rows in %s, want %d", rows, name, len(all))
	}
	if testing.Short() {
		return
	}
	const row = 3 // 12 sites, 4 finds per unit, no difference
	for _, w := range all[row : row+1] {
		r := w.rates(row)
		if row := tableRow(w, r); !bytes.Contains(table, []byte(row)) {
			t.Errorf("%s has no row\n%sMake it anew with -update.", name, row)
		}
		for j, rate := range r[:6] {
			if math.Abs(rate-0.05) > within(samples) {
				t.Errorf("error rate %v of test %d", rate, j)
			}
		}
		if r[6] < 0.2 {
			t.Errorf("the chi-square on finds errs in %v only: the counts are not clumped", r[6])
		}
	}
}

// within is three standard errors of a share of 0.05 of so many samples.
func within(samples float64) float64 { return 3 * math.Sqrt(0.05*0.95/samples) }

// TestModesAreExact holds the test of modes closer to its level: it is exact by
// its construction, up to ties.
func TestModesAreExact(t *testing.T) {
	statstest.Long(t)
	const samples = 20_000
	for _, sites := range []int{12, 24} {
		w := world{sites: sites, units: 3, mean: 4, ratio: 1, seed: calibrationSeed}
		called := 0.0
		for i := range samples {
			c := w.kinds(i, 1)
			if Modes(c.First, c.Base, Options{Limit: 1000, Replicates: 999, Seed: uint64(i)}).P <= 0.05 {
				called++
			}
		}
		if rate := called / samples; math.Abs(rate-0.05) > within(samples) {
			t.Errorf("%d sites: error rate %.4f", sites, rate)
		}
	}
}
