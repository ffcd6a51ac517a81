package density

import "math"

// Spread is the variance of the density sum y / sum a with what was found made
// up for what was missed: [Stratum]'s variance of counts that need not be
// whole. DF are the degrees of freedom of its estimate.
//
// Under two sites there is none: NaN. Without any spread it is 0. Systematic is
// one of [Systematics] or empty for [Random], and counts where the sample has an
// order. It panics where Stratum does, but for counts that are not whole.
func Spread(s Sample, systematic string) (variance, df float64) {
	whole := s
	whole.Count = make([]float64, len(s.Count))
	for i, y := range s.Count {
		if !(y >= 0) || math.IsInf(y, 1) {
			panic("density: count is negative")
		}
		whole.Count[i] = math.Trunc(y)
	}
	whole.check()
	t := s.totals()
	if len(t.count) < 2 {
		return math.NaN(), math.NaN()
	}
	o := Options{Systematic: systematic}.settled()
	variance, df = random(t)
	if s.Order != nil {
		if v, of := t.layout.Variance(o.Systematic, t.count, t.area); v > noVariance*t.density()*t.density() {
			variance, df = v, of
		}
	}
	left, _ := t.populationFactor(s.LandHa)
	return variance * left, df
}
