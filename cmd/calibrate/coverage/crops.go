package coverage

import (
	"fmt"
	"math"
	"math/rand/v2"

	"ashtally/stats"
	"ashtally/stats/crop"
	"ashtally/stats/density"
	"ashtally/stats/harvest"
)

// The methods scored of crops: the limits of the mass on the land, of the share of it
// that a harvest takes, and the most that may be taken, as an upper limit alone.
const (
	ofMass  = "mass"
	ofShare = "share-taken"
	ofMost  = "most-taken"
)

// Crops are the mass that the land carries, and what a harvest takes of it.
func Crops() Figure {
	return Figure{
		Name: "crops", Title: "Crop in mass, and the share that a harvest takes", About: aboutCrops,
		Default: ofMass, Methods: []string{ofMass, ofShare, ofMost}, Sizes: []int{6, 12, 30, 60},
		LeastPieces: 12, LeastFinds: 20, MostCovered: 0.975, Tolerance: 2,
		doubtful: onCoverage(crop.Warnings, density.Warnings),
	}
}

func cropCells() []Cell {
	var worlds []World
	for _, mean := range []float64{2, 8} {
		for _, w := range []cropWorld{
			{name: "NB k 1", factor: func(r *rand.Rand) float64 { return gamma(r, 1) }, power: gammaPower(1)},
			{name: "NB k 0.3", factor: func(r *rand.Rand) float64 { return gamma(r, 0.3) }, power: gammaPower(0.3)},
			{name: "log-normal, sd 1", factor: func(r *rand.Rand) float64 { return lognormal(r, 1) }, power: lognormalPower(1)},
		} {
			for _, crowded := range []float64{0, 0.3} {
				w.mean, w.crowded = mean, crowded
				worlds = append(worlds, w.world())
			}
		}
	}
	return Crops().over(worlds)
}

// cropWorld is a stratum of plots whose fruit bodies were weighed in every second
// one. Fruit bodies differ in mass by a log-normal of sd 0.6, and the plots in that
// of theirs by one of sd 0.3; where they stand crowded they are smaller.
type cropWorld struct {
	name    string
	factor  func(r *rand.Rand) float64 // of a plot's finds; mean 1
	power   func(p float64) float64    // mean of the factor to a power
	mean    float64                    // finds of a plot
	crowded float64                    // mass falls with the factor to this power
}

const (
	cropLandHa   = 500.0
	cropGrams    = 20.0 // of a fruit body where the factor is 1
	cropBodySD   = 0.6
	cropPlotSD   = 0.3
	cropShare    = 0.25 // that is not to be passed
	cropLimitKg  = 1.0  // of a person and day
	cropLeastFor = 0.95 // chance with which the most that may be taken keeps under the share
)

func (w cropWorld) world() World {
	name := fmt.Sprintf("weighed in half of the plots, %s, mean %g", w.name, w.mean)
	if w.crowded > 0 {
		name += ", smaller where crowded"
	}
	return World{Name: name, Family: "crops", Truth: w.truth(), PerUnit: w.mean, try: w.try}
}

// truth is the crop, kg: land times E[factor * factor^-crowded] mean / area times grams.
func (w cropWorld) truth() float64 {
	return cropLandHa * w.mean * w.power(1-w.crowded) / plotHa * cropGrams / 1000
}

func (w cropWorld) try(c Cell, r *rand.Rand, _ int) trial {
	s, units := w.draw(r, c.N)
	e := density.Area([]density.NamedSample{{Sample: s}}, density.Options{}).Area
	kg := crop.Of(crop.Part{
		Kinds: 1, Strata: []crop.Stratum{{LandHa: s.LandHa, Units: units}},
		Density: e.Value, SE: e.SE, Lower: e.Lower, Upper: e.Upper, Confidence: e.Confidence,
	}).Kg
	kg.Warnings = append(kg.Warnings, e.Warnings...)
	t := trial{truth: w.truth(), by: make([]*stats.Estimate, len(c.Methods))}
	var taken harvest.Result
	days := math.Max(1, math.Round(cropShare*w.truth()/cropLimitKg/10))
	if kg.Value > 0 {
		taken = harvest.Of(harvest.Scenario{People: 10, Days: days, Limit: cropLimitKg, Filled: 1, Share: cropShare, Chance: cropLeastFor}, kg, kg)
	} else {
		taken.Share = stats.Missing(e.Confidence, c.N, density.NoLimits.With("no crop"))
		taken.Most.Taken = math.NaN()
	}
	share := over(taken.Share, 10*days*cropLimitKg/(w.truth()*w.truth()))
	share.Warnings = kg.Warnings
	most := kg
	// The most that may be taken must stay under the share of the true crop: a lower limit of it.
	most.Lower, most.Upper = taken.Most.Taken/cropShare, math.Inf(1)
	for j, name := range c.Methods {
		t.by[j] = map[string]*stats.Estimate{ofMass: &kg, ofShare: &share, ofMost: &most}[name]
	}
	return t
}

// draw surveys n plots.
func (w cropWorld) draw(r *rand.Rand, n int) (density.Sample, []crop.Unit) {
	s := density.Sample{LandHa: cropLandHa}
	var units []crop.Unit
	for i := range n {
		factor := w.factor(r)
		count := poisson(r, w.mean*factor)
		s.AreaHa, s.Count = append(s.AreaHa, plotHa), append(s.Count, count)
		u := crop.Unit{Site: i, AreaHa: plotHa, Count: []float64{count}, Weighed: []float64{0}, MassG: []float64{0}}
		if i%2 == 0 {
			u.Weighed[0] = count
			here := cropGrams * math.Pow(factor, -w.crowded) * lognormal(r, cropPlotSD)
			for range int(count) {
				u.MassG[0] += here * lognormal(r, cropBodySD)
			}
		}
		units = append(units, u)
	}
	return s, units
}

// gammaPower is the mean of a power of a gamma of mean 1,
//
//	E X^p = Gamma(k + p) / (Gamma(k) k^p)
func gammaPower(k float64) func(p float64) float64 {
	return func(p float64) float64 {
		a, _ := math.Lgamma(k + p)
		b, _ := math.Lgamma(k)
		return math.Exp(a - b - p*math.Log(k))
	}
}

// lognormalPower is the same of a log-normal, exp(sd^2 (p^2 - p)/2).
func lognormalPower(sd float64) func(p float64) float64 {
	return func(p float64) float64 { return math.Exp(sd * sd * (p*p - p) / 2) }
}
