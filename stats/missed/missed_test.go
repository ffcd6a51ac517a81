package missed

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"ashtally/stats"
	"ashtally/stats/density"
	"ashtally/stats/observers"
	"ashtally/stats/removal"
	"ashtally/stats/statstest"
	"ashtally/stats/strata"
)

// plots are a stratum of units of 0.01 ha with so many counted, all with the
// same chance p to be found, of which the variance is known.
func plots(landHa float64, counts []float64, p float64) Stratum {
	s := Stratum{AreaHa: landHa, Factor: 1 / p, Slope: []float64{0}}
	s.LandHa = landHa
	for _, y := range counts {
		s.Sample.AreaHa, s.Count, s.Present = append(s.Sample.AreaHa, 0.01), append(s.Count, y), append(s.Present, y/p)
		s.Slope[0] -= y / (p * p)
	}
	s.Counted = density.Stratum(s.Sample, density.Options{})
	return s
}

var made = []float64{0, 3, 1, 7, 0, 2, 12, 4, 0, 5, 1, 0, 9, 2, 3, 0}

// TestConstantChance: D / p, and the squared coefficients of variation add up
// (Nichols et al. 2000, Auk 117: 393-408).
func TestConstantChance(t *testing.T) {
	s := plots(40, made, 0.8)
	r := Density([]Stratum{s}, Chance{{0.05 * 0.05}}, Options{})
	statstest.Relative(t, "D", r.Density.Value, s.Counted.Value/0.8, 1e-12)
	statstest.Relative(t, "cv", math.Pow(r.Density.CV(), 2), math.Pow(s.Counted.CV(), 2)+math.Pow(0.05/0.8, 2), 1e-12)
	statstest.Relative(t, "share", r.FromChance, math.Pow(0.05/0.8/r.Density.CV(), 2), 1e-12)
	statstest.Relative(t, "chance", r.Found.Value, 0.8, 1e-12)
	statstest.Relative(t, "its SE", r.Found.SE, 0.05, 1e-12)
	// By hand: the limits of the counts, and of 1/p by a log-normal on 1/4, together on the log scale.
	c := math.Exp(1.959963984540054 * math.Sqrt(math.Log1p(math.Pow(0.05/0.64/0.25, 2))))
	down := math.Hypot(math.Log(s.Counted.Value/s.Counted.Lower), math.Log(1.25/(1+0.25/c)))
	up := math.Hypot(math.Log(s.Counted.Upper/s.Counted.Value), math.Log((1+0.25*c)/1.25))
	statstest.Relative(t, "lower", r.Density.Lower, r.Density.Value*math.Exp(-down), 1e-12)
	statstest.Relative(t, "upper", r.Density.Upper, r.Density.Value*math.Exp(up), 1e-12)
	statstest.WellFormed(t, r.Density)
}

// TestStrataShareTheChance: over two strata the chance's part does not average
// out as the units' part does.
func TestStrataShareTheChance(t *testing.T) {
	a, b := plots(30, made, 0.7), plots(10, made[4:], 0.7)
	v := Chance{{0.04 * 0.04}}
	r := Density([]Stratum{a, b}, v, Options{})
	raw := density.Land([]density.Part{{AreaHa: 30, Estimate: a.Counted}, {AreaHa: 10, Estimate: b.Counted}}, 0.95)
	statstest.Relative(t, "D", r.Density.Value, raw.Value/0.7, 1e-12)
	statstest.Relative(t, "cv", math.Pow(r.Density.CV(), 2), math.Pow(raw.CV(), 2)+math.Pow(0.04/0.7, 2), 1e-12)
	// Known for sure, the limits are those of the counts.
	sure := Density([]Stratum{a, b}, Chance{{0}}, Options{})
	statstest.Scaled(t, "a chance known for sure", sure.Density, raw, 1/0.7, 1e-12)
	if sure.FromChance != 0 || sure.Density.Method != raw.Method {
		t.Errorf("%+v", sure)
	}
}

// TestStratumOfOneUnit: with a chance that is the same everywhere, strata collapsed
// have the coefficient of variation of what was counted and that of the chance.
func TestStratumOfOneUnit(t *testing.T) {
	a, b := plots(30, made, 0.7), plots(1, made[7:8], 0.7)
	a.Name, b.Name = "slope", "flat"
	if !math.IsNaN(b.Counted.SE) {
		t.Fatal("one unit has a standard error")
	}
	v := Chance{{0.04 * 0.04}}
	r := Density([]Stratum{a, b}, v, Options{})
	raw := density.Land(density.Collapse([]density.Part{a.counted(), b.counted()}, Options{}), 0.95)
	statstest.Relative(t, "D", r.Density.Value, raw.Value/0.7, 1e-12)
	statstest.Relative(t, "cv", math.Pow(r.Density.CV(), 2), math.Pow(raw.CV(), 2)+math.Pow(0.04/0.7, 2), 1e-12)
	statstest.Relative(t, "share of the units", r.FromUnits, math.Pow(raw.CV()/r.Density.CV(), 2), 1e-12)
	statstest.WellFormed(t, r.Density)
	if !slices.ContainsFunc(r.Density.Warnings, func(w stats.Warning) bool { return w.Code == strata.CollapsedStrata.Code }) {
		t.Errorf("%+v", r.Density.Warnings)
	}
	sure := Density([]Stratum{a, b}, Chance{{0}}, Options{})
	statstest.Relative(t, "upper limit of a chance known for sure", sure.Density.Upper, raw.Upper/0.7, 1e-12)
}

func TestSpecialCases(t *testing.T) {
	v := Chance{{0.05 * 0.05}}
	nothing := Density([]Stratum{plots(40, make([]float64, 16), 0.8)}, v, Options{})
	garwood := density.Stratum(plots(40, make([]float64, 16), 0.8).Sample, density.Options{})
	if nothing.Density.Value != 0 || nothing.Density.Lower != 0 || !math.IsNaN(nothing.Found.Value) {
		t.Errorf("nothing found: %+v", nothing)
	}
	statstest.Relative(t, "upper limit of nothing", nothing.Density.Upper, garwood.Upper/0.8, 1e-12)
	one := Density([]Stratum{plots(40, []float64{6}, 0.8)}, v, Options{})
	statstest.WellFormed(t, one.Density)
	statstest.Relative(t, "one unit", one.Density.Value, 750, 1e-12)
	if !math.IsNaN(one.Density.SE) || !math.IsNaN(one.FromChance) || !math.IsNaN(one.Density.Upper) {
		t.Errorf("one unit: %+v", one)
	}
	half := Density([]Stratum{plots(30, made, 0.8), plots(10, make([]float64, 9), 0.8)}, v, Options{})
	statstest.WellFormed(t, half.Density)
	statstest.Relative(t, "a stratum without finds", half.Density.Value, 0.75*plots(30, made, 0.8).Counted.Value/0.8, 1e-12)
	level := Density([]Stratum{plots(40, []float64{3, 3, 3, 3}, 0.8)}, v, Options{})
	statstest.WellFormed(t, level.Density)
	if !(level.Density.SE > 0) {
		t.Errorf("units alike: %+v", level.Density)
	}
}

// TestUnlikeUnits: where units were not drawn alike the estimate that knows it
// is moved, not the mean of the units.
func TestUnlikeUnits(t *testing.T) {
	s := plots(40, made, 0.8)
	s.Unlike = true
	s.Counted.Value, s.Counted.SE, s.Counted.DF = 150, 40, 7
	s.Counted.Lower, s.Counted.Upper = 80, 260
	r := Density([]Stratum{s}, Chance{{0.05 * 0.05}}, Options{})
	statstest.Relative(t, "D", r.Density.Value, 150/0.8, 1e-12)
	statstest.Relative(t, "cv", math.Pow(r.Density.CV(), 2), math.Pow(40/150.0, 2)+math.Pow(0.05/0.8, 2), 1e-12)
	statstest.Relative(t, "chance", r.Found.Value, 0.8, 1e-12)
}

func TestPanics(t *testing.T) {
	bad := func(change func(*Stratum)) func() {
		return func() {
			s := plots(40, made, 0.8)
			s.Present = slices.Clone(s.Present)
			change(&s)
			Density([]Stratum{s}, Chance{{0.01}}, Options{})
		}
	}
	statstest.Panics(t, map[string]func(){
		"lengths":         bad(func(s *Stratum) { s.Present = s.Present[1:] }),
		"slope":           bad(func(s *Stratum) { s.Slope = nil }),
		"fewer than seen": bad(func(s *Stratum) { s.Present[1] = 2 }),
		"factor":          bad(func(s *Stratum) { clear(s.Count); s.Counted = stats.Estimate{}; s.Factor = 0.5 }),
	})
}

// clumped draws a negative binomial count.
func clumped(r *rand.Rand, mean, k float64) int {
	rate := 0.0
	for range int(k * 2) { // a gamma of shape k in halves is a sum of squares
		z := r.NormFloat64()
		rate += z * z / 2
	}
	return poisson(r, rate*mean/k)
}

func poisson(r *rand.Rand, mean float64) int {
	n, left := -1, mean
	for left >= 0 {
		left -= r.ExpFloat64()
		n++
	}
	return n
}

// survey searches 24 plots of a mean of 6 each, clumped with k 1, by two
// observers or by passes, and makes the density up.
func survey(seed uint64, byPasses bool) (Result, bool) {
	r := rand.New(rand.NewPCG(27, seed))
	var there [24]int
	for i := range there {
		there[i] = clumped(r, 6, 1)
	}
	s := Stratum{AreaHa: 1e6, Factor: 1}
	var chance Chance
	counts := make([][]float64, len(there))
	if byPasses {
		for i, n := range there {
			counts[i] = make([]float64, 3)
			for range n {
				for k := range 3 {
					if r.Float64() < 0.45 {
						counts[i][k]++
						break
					}
				}
			}
		}
		f, err := removal.Zippin(counts, 0.95)
		if err != nil {
			return Result{}, false
		}
		chance = Chance{{f.Variance()}}
		s.Slope = []float64{f.Found * f.Slope(3)}
		for _, c := range counts {
			s.add(c[0]+c[1]+c[2], f.CorrectionFactor(3))
		}
	} else {
		d := observers.Data{Observers: 2}
		found := make([]float64, len(there))
		for i, n := range there {
			for range n {
				if saw := []bool{r.Float64() < 0.6, r.Float64() < 0.45}; saw[0] || saw[1] {
					found[i]++
					d.Searched, d.Saw = append(d.Searched, []int{0, 1}), append(d.Saw, saw)
				}
			}
		}
		f, err := d.Fit(observers.Model{ByObserver: true}, 0.95)
		if err != nil {
			return Result{}, false
		}
		chance, s.Slope = f.Covariance(), make([]float64, 2)
		factor, gradient := f.CorrectionFactor(0)
		for _, y := range found {
			s.add(y, factor)
			for k, g := range gradient {
				s.Slope[k] += y * g
			}
		}
	}
	s.Counted = density.Stratum(s.Sample, density.Options{})
	return Density([]Stratum{s}, chance, Options{}), true
}

func (s *Stratum) add(counted, factor float64) {
	s.Sample.AreaHa, s.Count, s.Present = append(s.Sample.AreaHa, 0.01), append(s.Count, counted), append(s.Present, counted*factor)
}

// TestCoverage: the limits hold the true density of what was there, the missed
// with the found, at their level; those of the counts alone do not.
func TestCoverage(t *testing.T) {
	if testing.Short() {
		t.Skip("a thousand surveys")
	}
	const surveys, truth = 400, 600.0
	for _, byPasses := range []bool{false, true} {
		held, had, sum := 0, 0, 0.0
		for i := range surveys {
			r, ok := survey(uint64(i), byPasses)
			if !ok {
				continue
			}
			had++
			sum += r.Density.Value
			if r.Density.Lower <= truth && !(r.Density.Upper < truth) {
				held++
			}
		}
		cover, mean := float64(held)/float64(had), sum/float64(had)
		t.Logf("by passes %v: covers %.3f of %d, mean %.1f", byPasses, cover, had, mean)
		if cover < 0.93 || cover > 0.97 || math.Abs(mean/truth-1) > 0.04 || had < surveys*99/100 {
			t.Errorf("by passes %v: covers %.3f of %d, mean %.1f", byPasses, cover, had, mean)
		}
	}
}
