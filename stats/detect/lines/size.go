package lines

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// SizeMethod says how the mean size of a group is estimated.
type SizeMethod string

// The methods for group size.
const (
	// SizeByEvidence regresses if larger groups are seen farther off, and
	// takes the mean otherwise.
	SizeByEvidence SizeMethod = ""
	SizeMean       SizeMethod = "mean"
	SizeRegression SizeMethod = "regression"
)

// sizeEvidence is the one-sided p of the slope under which SizeByEvidence
// regresses: the level that Buckland et al. (2001), section 3.5.4, advise (from
// memory). Bias does more harm here than a slope that is not needed.
const sizeEvidence = 0.15

// groupSize is an estimate of the mean size of the groups there are, those
// not seen among them.
type groupSize struct {
	value, cv, df float64
	method        SizeMethod
}

// sizeOf estimates from sizes s, detection probabilities g at their distances
// and weights w (nil: 1), under a model without covariates.
//
//	mean        E = sum s / n,  var = sum (s - E)^2 / (n (n-1))
//	regression  log s = a + b g + e,  E = exp(a + b + v/2)
//
// with v the residual variance: at g = 1 every group is seen, whatever its
// size. The regression takes e as normal; then, by the delta method,
//
//	var log E = v (1/n + (1 - mean g)^2 / sum (g - mean g)^2) + v^2 / (2 (n-2))
//
// It needs three groups and two distances; with less it is the mean.
func sizeOf(method SizeMethod, s, g, w []float64) groupSize {
	mean := meanSize(s, w)
	if method == SizeMean {
		return mean
	}
	line := regress(s, g, w)
	if !line.possible() {
		return mean
	}
	if method == SizeByEvidence && !(line.slopeP() < sizeEvidence) {
		return mean
	}
	return line.size()
}

func weightAt(w []float64, i int) float64 {
	if w == nil {
		return 1
	}
	return w[i]
}

func meanSize(s, w []float64) groupSize {
	var n, sum, squares float64
	for i, v := range s {
		n += weightAt(w, i)
		sum += weightAt(w, i) * v
	}
	mean := sum / n
	for i, v := range s {
		squares += weightAt(w, i) * (v - mean) * (v - mean)
	}
	return groupSize{value: mean, cv: math.Sqrt(squares/(n*(n-1))) / mean, df: n - 1, method: SizeMean}
}

// line is the regression of log size on g.
type line struct{ n, meanG, sxx, intercept, slope, residual float64 }

func regress(s, g, w []float64) line {
	var l line
	var meanZ, sxy, szz float64
	for i := range s {
		l.n += weightAt(w, i)
		l.meanG += weightAt(w, i) * g[i]
		meanZ += weightAt(w, i) * math.Log(s[i])
	}
	l.meanG /= l.n
	meanZ /= l.n
	for i := range s {
		dx, dz := g[i]-l.meanG, math.Log(s[i])-meanZ
		l.sxx += weightAt(w, i) * dx * dx
		sxy += weightAt(w, i) * dx * dz
		szz += weightAt(w, i) * dz * dz
	}
	l.slope = sxy / l.sxx
	l.intercept = meanZ - l.slope*l.meanG
	l.residual = max(0, szz-l.slope*sxy) / (l.n - 2)
	return l
}

// possible asks for a residual degree of freedom and for g that differ by more
// than rounding.
func (l line) possible() bool { return l.n > 2 && l.sxx > 1e-12*l.n }

// slopeP is the chance of so steep a fall of size with g if there is none.
func (l line) slopeP() float64 {
	se := math.Sqrt(l.residual / l.sxx)
	if se == 0 {
		if l.slope < 0 {
			return 0
		}
		return 1
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: l.n - 2}.CDF(l.slope / se)
}

func (l line) size() groupSize {
	away := 1 - l.meanG
	variance := l.residual*(1/l.n+away*away/l.sxx) + l.residual*l.residual/(2*(l.n-2))
	return groupSize{
		value: math.Exp(l.intercept + l.slope + l.residual/2),
		cv:    math.Sqrt(variance), df: l.n - 2, method: SizeRegression,
	}
}
