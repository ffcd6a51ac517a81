package lines

import (
	"fmt"
	"math"

	"ashtally/stats"
	"ashtally/stats/detect"
	"ashtally/stats/strata"
	"gonum.org/v1/gonum/stat/distuv"
)

// Quotient is the ratio of two densities; 1 means no difference.
type Quotient struct {
	stats.Estimate
	P float64 // two-sided, of the ratio being 1; NaN if there is none
}

// Ratio estimates how many times denser the first of two kinds of objects is
// than the second, along the same lines and under one detection function:
//
//	R = D_a / D_b,  D = sum_h W_h sum_{j in h} c_j / mu(z_j) / sum_i sides_i l_i
//
// with the letters of [Survey.Counted]. Where the function has no covariates mu
// cancels, and R is the ratio of what was counted. The limits are R exp(-+ t
// sqrt(v)), where v adds the differences between lines or sites i and the
// detection function's part,
//
//	v = sum_h m_h/(m_h - 1) sum_i z_i^2 + u' V u
//	z_i = W_h / L_h [ (y_a,i - D_a,h l_i) / D_a - (y_b,i - D_b,h l_i) / D_b ]
//
// y being sums of c/mu, L_h the effort of the stratum and u the gradient of log R in the
// parameters. Both kinds share their lines, and so are never two samples. Degrees
// of freedom are Satterthwaite's with a part for each line, at least 2 and at most those
// with one for each stratum, as in package compare, whose simulations chose them.
//
// It assumes what Counted does. Group sizes are taken as they were seen. There is
// no interval, with a warning, where one kind was not found or the lines with finds
// are too few. A stratum of one line is collapsed with another. Errors and panics are those of Counted.
func (s Survey) Ratio(fit *detect.Fit, a, b []float64, o Options) (Quotient, error) {
	o = o.settled()
	if err := s.check(fit.Sample()); err != nil {
		return Quotient{}, err
	}
	if len(a) != len(s.On) || len(b) != len(s.On) {
		panic("lines: slice length mismatch")
	}
	for i := range a {
		if !(a[i] >= 0 && b[i] >= 0) || math.IsInf(a[i]+b[i], 1) {
			return Quotient{}, fmt.Errorf("%w: detection %d counts %g and %g", ErrSurvey, i+1, a[i], b[i])
		}
	}
	first, second := s.tally(fit), s.tally(fit)
	first.count(a)
	second.count(b)
	densityA, densityB := first.density(), second.density()
	q := Quotient{P: math.NaN()}
	if densityA == 0 || densityB == 0 {
		q.Estimate = stats.Missing(o.Confidence, 0, warn(NoFinds, "one of the kinds was not found, so their ratio has no interval"))
		if densityB > 0 {
			q.Value = 0
		}
		return q, nil
	}
	v, df := contrast(first, second, densityA, densityB)
	c := first.coefficients(first.weights)
	for j, other := range second.coefficients(second.weights) {
		c[j] = c[j]/densityA - other/densityB
	}
	_, detection := fit.OverWidths(c)
	return s.quotient(densityA/densityB, v+detection, df*square(v+detection)/square(v), first, o), nil
}

func (s Survey) quotient(value, variance, df float64, t tally, o Options) Quotient {
	q := Quotient{Estimate: stats.Estimate{Value: value, SE: math.NaN(), Interval: stats.NoInterval(o.Confidence), N: t.primaryUnitsIn(t.weights)}, P: math.NaN()}
	if !(variance > 0 && df > 0) {
		q.Warnings = []stats.Warning{warn(OneTransect, "too few lines with finds to tell how the ratio differs between them, so it has no interval")}
		return q
	}
	se := math.Sqrt(variance)
	c := math.Exp(stats.QuantileT((1+o.Confidence)/2, df) * se)
	q.SE = value * se
	q.Interval = stats.Interval{Lower: value / c, Upper: value * c, Confidence: o.Confidence, DF: df, Method: "log-t"}
	q.P = 2 * distuv.StudentsT{Sigma: 1, Nu: min(df, 1e8)}.CDF(-math.Abs(math.Log(value))/se)
	return q
}

// density is that of what the tally counts, per square metre.
func (t tally) density() float64 {
	found := make([]float64, len(t.Strata))
	for at, p := range t.units {
		found[p.stratum] += t.found[at]
	}
	var sum float64
	for h, w := range t.weights {
		if w > 0 {
			sum += w * found[h] / t.effort[h]
		}
	}
	return sum
}

// contrast is the variance of log D_a / D_b between lines, with its degrees of
// freedom: NaN and 0 where a stratum has one line and there is no other.
func contrast(a, b tally, densityA, densityB float64) (variance, df float64) {
	var byLine, byGroup float64
	c := a.collapse(a.weights)
	for g, pieces := range c.Clusters {
		if pieces < 2 {
			return math.NaN(), 0
		}
		m := float64(pieces)
		mean := meanContrast(a, b, c, g, densityA, densityB)
		var sum float64
		for at, p := range a.units {
			if c.Group[p.stratum] != g {
				continue
			}
			z := a.weights[p.stratum] / a.effort[p.stratum] * (a.found[at]/densityA - b.found[at]/densityB - mean*p.effort)
			part := m / (m - 1) * z * z
			sum += part
			byLine += part * part
		}
		variance += sum
		byGroup += sum * sum / (m - 1)
	}
	const fewestDF = 2
	return variance, min(max(square(variance)/byLine, fewestDF), square(variance)/byGroup)
}

// meanContrast is that of the lines of a group of strata per metre of effort.
func meanContrast(a, b tally, c strata.Collapsed, group int, densityA, densityB float64) float64 {
	sums := make([]float64, len(a.Strata))
	for at, p := range a.units {
		sums[p.stratum] += a.found[at]/densityA - b.found[at]/densityB
	}
	var mean, weight float64
	for h, sum := range sums {
		if c.Group[h] != group {
			continue
		}
		w := 1.0
		if c.Joint(h) {
			w = a.weights[h]
		}
		mean += w * (sum / a.effort[h])
		weight += w
	}
	return mean / weight
}

func square(x float64) float64 { return x * x }
