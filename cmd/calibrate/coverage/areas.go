package coverage

import (
	"fmt"
	"math"
	"math/rand/v2"

	"ashtally/stats"
	"ashtally/stats/density"
)

// AreasEvery is one sample in so many that areas of several strata get of those
// asked for.
const AreasEvery = 3

// MoverEvery is one of those in so many that has limits put together from profile
// likelihoods of the strata: they are as slow as all others together.
const MoverEvery = 4

// The methods scored in areas: the limits of the area by the default, those of one
// stratum of it by the same, log-t about the stratified estimate with
// Satterthwaite's degrees of freedom, and limits put together from those of the
// strata, each by its own profile likelihood.
const (
	ofStratum     = "of-stratum"
	stratifiedT   = "log-t"
	fromStrata    = "nb-profile-mover"
	ofArea        = density.ModelAveraged
	openFromFinds = 10 // finds in the area from which every limit has to be there
)

// Areas are the densities of areas of one to eight strata from plots.
func Areas() Figure {
	return Figure{
		Name: "areas", Title: "Densities of areas of one to eight strata", About: aboutAreas,
		Default: ofArea, Methods: []string{stratifiedT, ofArea, fromStrata, ofStratum}, Sizes: []int{3, 5, 6, 8, 12, 20},
		LeastPieces: 5, LeastFinds: 10, MostCovered: 0.975, Tolerance: 2,
		doubtful: func(code string) bool { return code == density.BelowNominal.Code },
	}
}

// strataTried are the numbers of strata of an area.
var strataTried = []int{1, 2, 4, 8}

func areaCells() []Cell {
	var worlds []World
	for _, w := range areaWorlds() {
		for _, strata := range strataTried {
			if !w.unlike || strata > 1 {
				worlds = append(worlds, w.world(strata))
			}
		}
	}
	cells := Areas().over(worlds)
	for i := range cells {
		cells[i].Every = AreasEvery
	}
	return cells
}

// areaWorld is a kind of ground that the strata of an area are made of. Strata
// differ in share and, sevenfold where there are several, in density.
type areaWorld struct {
	family, name string
	mean         float64 // finds expected in a unit, over the area
	k            float64 // of a negative binomial world; 0 for others
	unlike       bool    // strata differ in clumping: there are two or more
	plots        float64 // of 100 m2 in a unit or site, on average; 0: one
	oddPlots     float64 // the same of every second stratum; 0: as plots
	alike        bool    // strata of one density

	// draw surveys n units, or sites, of a stratum with a mean.
	draw func(r *rand.Rand, mean float64, n, stratum int) density.Sample
}

func (w areaWorld) world(strata int) World {
	return World{
		Name: fmt.Sprintf("%s, mean %.3g, %s", w.name, w.mean, plural(strata)), Ground: fmt.Sprintf("%s, mean %.3g", w.name, w.mean), Family: "areas, " + w.family,
		Truth: w.mean / plotHa, PerUnit: w.mean * w.plotsOverStrata(strata), Strata: strata,
		try: func(c Cell, r *rand.Rand, i int) trial { return w.try(c, r, strata, i) },
	}
}

func plural(strata int) string {
	if strata == 1 {
		return "1 stratum"
	}
	return fmt.Sprintf("%d strata", strata)
}

// parts are the shares of the strata and their means over that of the area.
func (w areaWorld) parts(strata int) (share, relative []float64) {
	var sum, mean float64
	for h := range strata {
		share = append(share, 1+float64(7*h%3))
		relative = append(relative, 1)
		if strata > 1 && !w.alike {
			relative[h] = math.Exp(2*float64(5*h%strata)/float64(strata-1) - 1)
		}
		sum += share[h]
	}
	for h := range strata {
		share[h] /= sum
		mean += share[h] * relative[h]
	}
	for h := range strata {
		relative[h] /= mean
	}
	return share, relative
}

// plotsOverStrata is the sum over the strata of the plots in a unit times the relative
// mean: what one unit in each stratum finds, over the mean of the area.
func (w areaWorld) plotsOverStrata(strata int) (sum float64) {
	_, relative := w.parts(strata)
	for h, m := range relative {
		plots := w.plots
		if h%2 == 1 && w.oddPlots > 0 {
			plots = w.oddPlots
		}
		sum += m * max(1, plots)
	}
	return sum
}

func (w areaWorld) survey(r *rand.Rand, strata, n int) []density.NamedSample {
	share, relative := w.parts(strata)
	samples := make([]density.NamedSample, strata)
	for h := range samples {
		samples[h].Sample = w.draw(r, w.mean*relative[h], n, h)
		samples[h].LandHa = 10_000 * share[h] // no finite population factor
	}
	return samples
}

func (w areaWorld) try(c Cell, r *rand.Rand, strata, i int) trial {
	samples := w.survey(r, strata, c.N)
	t := trial{truth: w.mean / plotHa, by: make([]*stats.Estimate, len(c.Methods)), finds: finds(samples)}
	joint := density.Area(samples, density.Options{Interval: ofArea})
	area := joint.Area
	t.estimate, t.units, t.k = area.Value, joint.Units, joint.K
	if w.k > 0 {
		t.shortest = knownClumping(samples, w.k)
	}
	for j, name := range c.Methods {
		switch name {
		case ofArea:
			t.by[j] = &area
		case stratifiedT:
			e := logTOf(area)
			t.by[j] = &e
		case fromStrata:
			if i%(AreasEvery*MoverEvery) != 0 {
				continue
			}
			e := density.Area(samples, density.Options{Interval: "nb-profile"}).Area
			t.by[j] = &e
		case ofStratum:
			h := i / AreasEvery % strata
			_, relative := w.parts(strata)
			e := over(joint.Strata[h], relative[h])
			t.by[j] = &e
		}
	}
	return t
}

// over is an estimate over a factor, so that that of a stratum is held against
// the truth of the area.
func over(e stats.Estimate, by float64) stats.Estimate {
	e.Value, e.SE, e.Lower, e.Upper = e.Value/by, e.SE/by, e.Lower/by, e.Upper/by
	return e
}

// logTOf is the interval D exp(-+ t sqrt(log(1 + cv^2))) of an estimate by its own
// degrees of freedom; without a standard error it has none but its own.
func logTOf(e stats.Estimate) stats.Estimate {
	if math.IsNaN(e.SE) {
		return e
	}
	c := math.Exp(stats.QuantileT(0.975, e.DF) * math.Sqrt(math.Log1p(e.CV()*e.CV())))
	e.Lower, e.Upper = e.Value/c, e.Value*c
	return e
}

func finds(samples []density.NamedSample) (sum float64) {
	for _, s := range samples {
		for _, y := range s.Count {
			sum += y
		}
	}
	return sum
}
