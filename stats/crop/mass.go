package crop

import (
	"math"

	"ashtally/stats"
)

// leastWeighed is how many fruit bodies of a kind must be weighed for it to
// have a mean of its own: with fewer, one odd fruit body in ten carries it, and
// the mean over all kinds is nearer.
const leastWeighed = 10

// pools gives each kind the kinds that its mean mass is taken over: itself, or
// all of them where too few of it were weighed.
func pools(weighed []float64) [][]int {
	every := make([]int, len(weighed))
	for g := range every {
		every[g] = g
	}
	of := make([][]int, len(weighed))
	for g, n := range weighed {
		of[g] = every
		if n >= leastWeighed {
			of[g] = every[g : g+1]
		}
	}
	return of
}

func over(values []float64, kinds []int) float64 {
	var sum float64
	for _, g := range kinds {
		sum += values[g]
	}
	return sum
}

// means are the mass of a fruit body of each kind, g.
func (t sums) means(pool [][]int) []float64 {
	m := make([]float64, len(pool))
	for g, kinds := range pool {
		m[g] = over(t.massG, kinds) / over(t.weighed, kinds)
	}
	return m
}

// Mass estimates the mass of a fruit body over some kinds, in g, from all units
// of some strata:
//
//	m = sum g / sum n
//
// over the rows with a mass, g their mass and n their count, with the
// linearised variance of a ratio over sites and Student's t on the log scale.
//
// Special cases, each with a warning: nothing weighed (nothing), weighed in one
// site alone (m without standard error or limits), under 20 fruit bodies or 5
// sites (the interval may not keep its level), all masses alike.
//
// Reference: Cochran (1977), Sampling Techniques, 3rd ed., section 6.4.
func Mass(strata []Stratum, kinds []int, confidence float64) stats.Estimate {
	return mass(numbered(strata), kinds, confidence)
}

func mass(strata []Stratum, kinds []int, confidence float64) stats.Estimate {
	var massG, weighed float64
	for _, s := range strata {
		for _, u := range s.Units {
			massG, weighed = massG+over(u.MassG, kinds), weighed+over(u.Weighed, kinds)
		}
	}
	if weighed == 0 {
		return stats.Missing(confidence, 0, nothingWeighed())
	}
	m := massG / weighed
	v := variance(strata, func(_ int, u *Unit) [2]float64 {
		return [2]float64{(over(u.MassG, kinds) - m*over(u.Weighed, kinds)) / weighed}
	})
	sites := weighing(strata, kinds)
	e := stats.Estimate{Value: m, SE: math.Sqrt(v[0]), Interval: stats.NoInterval(confidence), N: sites, Warnings: fewWarnings(sites, weighed)}
	switch {
	case sites == 1:
		e.SE = math.NaN()
	case v[0] <= noVariance*m*m:
		e.SE, e.Lower, e.Upper, e.Method = 0, m, m, "log-t"
		e.Warnings = append(e.Warnings, allAlike())
	default:
		e.Interval = logT(m, e.SE, float64(sites-1), confidence)
	}
	return e
}

// noVariance is the share of a square under which a variance is the rounding
// of one that is 0.
const noVariance = 1e-24

func logT(value, se, df, confidence float64) stats.Interval {
	t := stats.QuantileT((1+confidence)/2, df)
	c := math.Exp(t * math.Sqrt(math.Log1p(se*se/(value*value))))
	return stats.Interval{Lower: value / c, Upper: value * c, Confidence: confidence, DF: df, Method: "log-t"}
}

// weighing is the number of sites where a fruit body of some kinds was weighed.
func weighing(strata []Stratum, kinds []int) int {
	n := 0
	for _, s := range strata {
		known := make([]bool, s.sites)
		for i := range s.Units {
			if at := s.site[i]; !known[at] && over(s.Units[i].Weighed, kinds) > 0 {
				known[at] = true
				n++
			}
		}
	}
	return n
}

// variance adds up, over strata and sites, the squares of what each site adds
// to two figures, about the mean of its stratum, and their product:
//
//	m / (m - 1) * sum_s (z_s - z)^2
//
// Strata of a single site that a density stands for are collapsed with another
// ([strata.Collapse]) and have one mean with it. A site alone in a stratum that
// only weighs has nothing to be held against, and counts from 0.
func variance(strata []Stratum, adds func(stratum int, u *Unit) [2]float64) (v [3]float64) {
	groups := collapse(strata)
	z := map[int][][2]float64{} // by group; after them the strata without one
	var order []int
	for h, s := range strata {
		g := groups.Group[h]
		if g < 0 {
			g = len(strata) + h
		}
		if z[g] == nil {
			order = append(order, g)
		}
		z[g] = append(z[g], bySite(s, func(u *Unit) [2]float64 { return adds(h, u) })...)
	}
	for _, g := range order {
		squares(&v, z[g])
	}
	return v
}

// bySite sums what the units of a stratum add, site by site.
func bySite(s Stratum, adds func(u *Unit) [2]float64) [][2]float64 {
	z := make([][2]float64, s.sites)
	for i, at := range s.site {
		add := adds(&s.Units[i])
		z[at][0], z[at][1] = z[at][0]+add[0], z[at][1]+add[1]
	}
	return z
}

// squares adds those of some sites about their mean, and their products.
func squares(v *[3]float64, z [][2]float64) {
	m := float64(len(z))
	var mean [2]float64
	factor := 1.0
	if m > 1 {
		factor = m / (m - 1)
		for _, one := range z {
			mean[0], mean[1] = mean[0]+one[0]/m, mean[1]+one[1]/m
		}
	}
	for _, one := range z {
		a, b := one[0]-mean[0], one[1]-mean[1]
		v[0], v[1], v[2] = v[0]+factor*a*a, v[1]+factor*b*b, v[2]+factor*a*b
	}
}
