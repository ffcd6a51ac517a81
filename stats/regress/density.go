package regress

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"ashtally/stats"
	"ashtally/stats/regress/terms"
)

// Mix is a weighted sum of densities at points of the model. With weights of 1 over
// trees it is the density of all trees together, with shares of area over strata
// a marginal mean.
type Mix []Share

// Share is one term of the sum, a point with its weight.
type Share struct {
	Weight float64 // above 0
	At     terms.Point
}

// Density is the predicted density of a mix per unit of exposure,
//
//	D = sum_j w_j exp(x_j'b)
//
// with the interval of its logarithm: log D -+ t s, where s follows from the
// gradient sum_j w_j exp(x_j'b) x_j / D by the delta method. Points of density 0
// add 0. Where all are, D is 0, and its upper limit is the largest
// density that would leave a count of 0 half of what the confidence lacks to 1,
// with k as fitted:
//
//	sum_i k log(1 + a_i D/k) = -log((1 - confidence)/2)
//
// over the rows i of the point, which for k = +Inf is the exact Poisson limit
// of Garwood (1936). Of several points it is the largest, each with its weight:
// all of the sum may lie in one.
//
// A density that is not estimable has no value.
func (c *Covariance) Density(m Mix) Effect {
	l, reason := c.logDensity(m)
	switch {
	case reason != nil:
		return c.missing(*reason)
	case l.log == math.Inf(-1):
		return c.emptyDensity(m)
	}
	e := c.effect(l.log, l.gradient)
	e.T, e.P = math.NaN(), math.NaN() // no one asks whether a density is 1
	return e
}

// places are the points of a mix with a density above 0, as rows in the coordinates
// of Q.
type places []weightedRow

type weightedRow struct {
	weight float64
	row    []float64
}

func (f *Fit) places(m Mix) (places, *stats.Warning) {
	var list places
	for _, s := range m {
		if !(s.Weight > 0) {
			panic("regress: a weight is not positive")
		}
		x := f.design.Row(s.At)
		t, ok := f.all.reduce(x)
		if !ok || f.recession.sign(x) > 0 {
			return nil, &notEstimable
		}
		if f.Finds == 0 || f.recession.sign(x) < 0 {
			continue
		}
		if f.base != f.all {
			if t, ok = f.base.reduce(x); !ok {
				return nil, &notEstimable
			}
		}
		list = append(list, weightedRow{s.Weight, t})
	}
	return list, nil
}

// logDensity is log D, -Inf where all places are empty, with its gradient in the
// coordinates of Q.
type logDensity struct {
	log      float64
	gradient []float64
}

func (p places) at(g []float64) logDensity {
	l := logDensity{log: math.Inf(-1), gradient: make([]float64, len(g))}
	var sum float64
	for _, place := range p {
		d := place.weight * math.Exp(dot(place.row, g))
		sum += d
		axpy(d, place.row, l.gradient)
	}
	if sum > 0 {
		l.log = math.Log(sum)
		for k := range l.gradient {
			l.gradient[k] /= sum
		}
	}
	return l
}

// hessian is the matrix of second derivatives of log D: the covariance of the rows
// by their shares of D.
func (p places) hessian(g []float64) *mat.SymDense {
	l := p.at(g)
	m := mat.NewSymDense(len(g), nil)
	for _, place := range p {
		share := place.weight * math.Exp(dot(place.row, g)-l.log)
		m.SymRankOne(m, share, mat.NewVecDense(len(g), place.row))
	}
	m.SymRankOne(m, -1, mat.NewVecDense(len(g), l.gradient))
	return m
}

func (c *Covariance) logDensity(m Mix) (logDensity, *stats.Warning) {
	p, reason := c.fit.places(m)
	if reason != nil {
		return logDensity{}, reason
	}
	return p.at(c.fit.maximum.g), nil
}

// emptyDensity is the density of a mix whose points all have density 0.
func (c *Covariance) emptyDensity(m Mix) Effect {
	e := c.missing(nothingHere)
	e.Value = 0
	upper := 0.0
	for _, s := range m {
		upper = max(upper, s.Weight*c.zeroLimit(c.fit.design.Row(s.At)))
	}
	if upper > 0 && !math.IsInf(upper, 1) {
		e.Interval = stats.Interval{Lower: 0, Upper: upper, Confidence: c.Confidence, DF: math.NaN(), Method: ZeroCount}
	}
	return e
}

// zeroLimit is the upper limit of a density of 0 by the equation of
// [Covariance.Density], for the rows that equal x; +Inf without any.
func (c *Covariance) zeroLimit(x []float64) float64 {
	f := c.fit
	var areas []float64
	total := 0.0
	for i := range f.Rows {
		if slices.Equal(f.design.At(i), x) {
			areas = append(areas, f.sample.Exposure[i])
			total += f.sample.Exposure[i]
		}
	}
	if total == 0 {
		return math.Inf(1)
	}
	want := -math.Log((1 - c.Confidence) / 2)
	d := want / total // the Poisson's, and below the root for every k
	if math.IsNaN(f.K) || math.IsInf(f.K, 1) {
		return d
	}
	// The sum is concave in D, so that Newton steps from below do not overshoot.
	for range maxSteps {
		var value, slope float64
		for _, a := range areas {
			value += f.K * math.Log1p(a*d/f.K)
			slope += a / (1 + a*d/f.K)
		}
		step := (want - value) / slope
		d += step
		if math.Abs(step) <= 1e-13*d {
			break
		}
	}
	return d
}

// Ratio is the density of one mix over that of another, with the interval of
// its logarithm and P of a ratio of 1.
//
// Where nothing was found of the first, the ratio is 0 and its upper limit that
// of the first density over the lower one of the second; where nothing was
// found of the second it has a lower limit likewise. Each of the two limits is
// at a tail of half of what the confidence lacks to 1, so that their quotient
// has the nominal coverage. There is no P then.
func (c *Covariance) Ratio(first, second Mix) Effect {
	a, reason := c.logDensity(first)
	if reason != nil {
		return c.missing(*reason)
	}
	b, reason := c.logDensity(second)
	if reason != nil {
		return c.missing(*reason)
	}
	switch none := math.Inf(-1); {
	case a.log == none && b.log == none:
		return c.missing(nothingBoth)
	case a.log == none:
		e := c.missing(nothingAbove)
		e.Value = 0
		limit, base := c.Density(first), c.Density(second)
		if upper := limit.Upper / base.Lower; !math.IsNaN(upper) && !math.IsInf(upper, 0) {
			e.Interval = stats.Interval{Lower: 0, Upper: upper, Confidence: c.Confidence, DF: math.NaN(), Method: ZeroCount}
		}
		return e
	case b.log == none:
		e := c.missing(nothingBelow)
		above, limit := c.Density(first), c.Density(second)
		if lower := above.Lower / limit.Upper; !math.IsNaN(lower) && !math.IsInf(lower, 0) {
			e.Interval = stats.Interval{Lower: lower, Upper: math.NaN(), Confidence: c.Confidence, DF: math.NaN(), Method: ZeroCount}
		}
		return e
	}
	size := norm(a.gradient)
	axpy(-1, b.gradient, a.gradient)
	if norm(a.gradient) <= tolerance*size {
		return c.missing(notTold)
	}
	return c.effect(a.log-b.log, a.gradient)
}
