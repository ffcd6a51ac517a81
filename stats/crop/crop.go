package crop

import (
	"math"

	"ashtally/stats"
)

// Crop is what a part of the land carries.
type Crop struct {
	LandHa      float64
	Bodies      stats.Estimate // fruit bodies
	Kg          stats.Estimate // their mass
	Grams       stats.Estimate // mean mass of a fruit body of this crop, g
	Correlation float64        // of density and mean mass; NaN where it is not known
	Weighed     float64        // fruit bodies weighed, by whichever unit
	Counted     float64        // fruit bodies counted by these units
}

// Of estimates the crop of a part of the land,
//
//	C = D A,  M = D A m,  m = sum_hg A_h D_hg m_g / sum_hg A_h D_hg
//
// with m_g the mean mass of kind g over all units that weighed, and D_hg the
// density of the kind in stratum h. The standard error of M is by the delta
// method,
//
//	cv(M)^2 = cv(D)^2 + cv(m)^2 + 2 r cv(D) cv(m)
//
// with D's own as it was reported, and cv(m) and the correlation r from what
// each site adds to D and to m, by linearisation. The limits of M carry those of
// D over, uneven as they are: on the log scale, with a the distance from D to its
// limit and b that from m to its,
//
//	log M -+ sqrt(a^2 + b^2 + 2 r a b)
//
// so that no Monte Carlo is needed where D is skewed and the delta method alone
// would fail.
//
// It takes the fruit bodies that were weighed for a fair sample of all of them,
// which they are not where the large ones were picked for it.
//
// Special cases, each with a warning:
//
//	no density                nothing, with the reason
//	nothing weighed           C, and no mass
//	no finds                  C = M = 0; the upper limit of M is that of C times the mean mass
//	weighed in one site       M without standard error or limits
//	a stratum of one site     it is collapsed with another ([strata.Collapse])
//	a kind weighed too little its mean is that of all kinds
//	D from elsewhere (Apart)  r is taken as 0
//
// It panics on slices of unequal length, an area that is negative or, of
// searched ground, not positive, and a confidence outside (0, 1).
//
// References: Cochran (1977), Sampling Techniques, 3rd ed., chapter 6; Zou &
// Donner (2008), Statistics in Medicine 27: 1693-1702, for the limits; Donner &
// Zou (2012), Statistical Methods in Medical Research 21: 347-359, for those
// of correlated figures.
func Of(p Part) Crop {
	p.check()
	p.Strata = numbered(p.Strata)
	land := p.landHa()
	c := Crop{LandHa: land, Correlation: math.NaN()}
	if math.IsNaN(p.Density) || land == 0 {
		c.Bodies = stats.Missing(p.Confidence, 0, noDensity.With("there is no density here, so there is no crop"))
		c.Kg, c.Grams = c.Bodies, c.Bodies
		return c
	}
	c.Bodies = stats.Estimate{Value: p.Density * land, SE: p.SE * land, Interval: stats.Interval{
		Lower: p.Lower * land, Upper: p.Upper * land, Confidence: p.Confidence, DF: math.NaN(), Method: "density"}}
	if math.IsNaN(p.Lower) {
		c.Bodies.Interval = stats.NoInterval(p.Confidence)
	}
	t := sumUp(p.Kinds, p.Strata...)
	for _, s := range p.Strata {
		if s.LandHa > 0 {
			c.Counted += over(sumUp(p.Kinds, s).count, every(p.Kinds))
		}
	}
	c.Weighed = over(t.weighed, every(p.Kinds))
	if c.Weighed == 0 {
		c.Kg, c.Grams = stats.Missing(p.Confidence, 0, nothingWeighed()), stats.Missing(p.Confidence, 0, nothingWeighed())
		return c
	}
	if p.Density == 0 || c.Counted == 0 {
		c.Grams = mass(p.Strata, every(p.Kinds), p.Confidence)
	} else {
		c.Grams, c.Correlation = p.grams(t)
	}
	c.Kg = p.kilograms(c)
	c.Kg.Warnings = append(c.Kg.Warnings, p.warnings(t, c)...)
	return c
}

func every(kinds int) []int {
	list := make([]int, kinds)
	for g := range list {
		list[g] = g
	}
	return list
}

// grams is the mean mass of a fruit body of the crop, with its correlation with
// the density.
func (p Part) grams(t sums) (stats.Estimate, float64) {
	pool := pools(t.weighed)
	mean := t.means(pool)
	c := p.composed(mean)
	m := c.grams / c.all
	v := p.variances(t, pool, mean, c)
	kinds := every(p.Kinds)
	sites := weighing(p.Strata, kinds)
	e := stats.Estimate{Value: m, SE: m * math.Sqrt(v[1]), Interval: stats.NoInterval(p.Confidence),
		N: sites, Warnings: fewWarnings(sites, over(t.weighed, kinds))}
	switch {
	case sites == 1:
		e.SE = math.NaN()
		return e, math.NaN()
	case v[1] <= noVariance:
		e.SE, e.Lower, e.Upper, e.Method = 0, m, m, "log-t"
		e.Warnings = append(e.Warnings, allAlike())
		return e, 0
	}
	e.Interval = logT(m, e.SE, float64(sites-1), p.Confidence)
	if p.Apart || v[0] == 0 {
		return e, 0
	}
	return e, math.Max(-1, math.Min(1, v[2]/math.Sqrt(v[0]*v[1])))
}

// composed is a crop by its kinds.
type composed struct {
	here  []sums      // of each stratum with land
	rate  [][]float64 // of each of them, the density of each kind in the strata it was collapsed with
	kinds []float64   // fruit bodies of the crop, by kind
	all   float64     // of all kinds
	grams float64     // their mass
}

func (p Part) composed(mean []float64) composed {
	c := composed{here: make([]sums, len(p.Strata)), kinds: make([]float64, p.Kinds)}
	for h, s := range p.Strata {
		if s.LandHa == 0 || len(s.Units) == 0 {
			continue
		}
		c.here[h] = sumUp(p.Kinds, s)
		for g, y := range c.here[h].count {
			n := s.LandHa * y / c.here[h].area
			c.kinds[g] += n
			c.all += n
			c.grams += n * mean[g]
		}
	}
	c.rate = p.rates(c.here)
	return c
}

// rates are the densities of the kinds in each stratum with land, and in those
// that it was collapsed with.
func (p Part) rates(here []sums) [][]float64 {
	groups := collapse(p.Strata)
	rate := make([][]float64, len(p.Strata))
	for h, g := range groups.Group {
		if g < 0 {
			continue
		}
		rate[h] = make([]float64, p.Kinds)
		var land float64
		for i, s := range p.Strata {
			if groups.Group[i] != g {
				continue
			}
			w := 1.0
			if groups.Joint(i) {
				w = s.LandHa
			}
			land += w
			for k, y := range here[i].count {
				rate[h][k] += w * (y / here[i].area)
			}
		}
		for k := range rate[h] {
			rate[h][k] /= land
		}
	}
	return rate
}

// variances are, relative to the figures, those of the density and of the mean
// mass, and their covariance.
func (p Part) variances(t sums, pool [][]int, mean []float64, c composed) [3]float64 {
	return variance(p.Strata, func(h int, u *Unit) [2]float64 {
		var d, m float64
		if s := p.Strata[h]; s.LandHa > 0 {
			here := c.here[h]
			for g, y := range u.Count {
				z := s.LandHa * (y - c.rate[h][g]*u.AreaHa) / here.area
				d += z / c.all
				m += mean[g] * z / c.grams
			}
		}
		m -= d
		for g, kinds := range pool {
			m += c.kinds[g] / c.grams * (over(u.MassG, kinds) - mean[g]*over(u.Weighed, kinds)) / over(t.weighed, kinds)
		}
		return [2]float64{d, m}
	})
}

// kilograms puts density and mean mass together.
func (p Part) kilograms(c Crop) stats.Estimate {
	value := c.Bodies.Value * c.Grams.Value / gramsPerKg
	e := stats.Estimate{Value: value, SE: math.NaN(), Interval: stats.NoInterval(p.Confidence), N: c.Grams.N, Warnings: c.Grams.Warnings}
	switch {
	case math.IsNaN(c.Grams.Lower) || math.IsNaN(p.Lower):
		return e
	case value == 0:
		e.Lower, e.Upper, e.Method = 0, c.Bodies.Upper*c.Grams.Value/gramsPerKg, "product"
		return e
	}
	r := c.Correlation
	cvD, cvM := p.SE/p.Density, c.Grams.CV()
	e.SE = value * math.Sqrt(math.Max(0, cvD*cvD+cvM*cvM+2*r*cvD*cvM))
	below := joined(math.Log(p.Density/p.Lower), math.Log(c.Grams.Value/c.Grams.Lower), r)
	above := joined(math.Log(p.Upper/p.Density), math.Log(c.Grams.Upper/c.Grams.Value), r)
	e.Lower, e.Upper, e.DF, e.Method = value*math.Exp(-below), value*math.Exp(above), math.NaN(), "product"
	return e
}

const gramsPerKg = 1000

// joined is how far the limit of a product lies off, on the log scale.
func joined(a, b, r float64) float64 {
	if math.IsInf(a, 1) { // a lower limit of 0
		return a
	}
	return math.Sqrt(math.Max(0, a*a+b*b+2*r*a*b))
}
