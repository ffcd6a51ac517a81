package detect

import (
	"math"

	"ashtally/stats/detect/optimum"
)

// parameterCovariance is the covariance of the parameters: the inverse of the
// information over those not at a bound; nil if it cannot be inverted.
func parameterCovariance(f *Fit) [][]float64 {
	if !f.Converged {
		return nil
	}
	information := fisherInformation(f)
	var free []int
	for i, bound := range f.peak.AtBound {
		if !bound {
			free = append(free, i)
		}
	}
	inner := squareMatrix(len(free))
	for i, a := range free {
		for j, b := range free {
			inner[i][j] = information[a][b]
		}
	}
	inverse := optimum.Inverse(inner)
	if inverse == nil {
		return nil
	}
	covariance := squareMatrix(len(f.peak.X))
	for i, a := range free {
		for j, b := range free {
			covariance[a][b] = inverse[i][j]
		}
	}
	return covariance
}

// fisherInformation is the observed one, minus the Hessian. Where the shape is held,
// the slope is not 0 and the Hessian depends on how the curve is written; there
// it is the one expected if the fitted curve were true, which does not.
func fisherInformation(f *Fit) [][]float64 {
	if len(f.peak.Binding) > 0 {
		return f.likelihood.expected(f.peak.X)
	}
	information := squareMatrix(len(f.peak.X))
	for i, row := range f.peak.Hessian {
		for j, v := range row {
			information[i][j] = -v
		}
	}
	return information
}

// expected is the information expected of a model without covariates, as
// those are whose shape can be held:
//
//	n E[ (d log f)(d log f)' ],  f = g / integral g
//
// with the expectation over distances, or over the intervals of a grouped sample.
func (l *likelihood) expected(x []float64) [][]float64 {
	p, a := l.at(x, l.rows[0])
	whole := l.whole(&p, a, new(nodes))
	information := squareMatrix(l.size())
	add := func(share float64, log *jet) {
		log.addLogOf(-1, &whole, l.locals())
		for i := range information {
			for j := range information {
				information[i][j] += l.total() * share * log.gradient[i] * log.gradient[j]
			}
		}
	}
	q := new(nodes)
	for _, bin := range l.sample.bins {
		var log jet
		part := l.integral(bin.From, bin.To, &p, a, q)
		if log.addLogOf(1, &part, l.locals()) {
			add(part.value/whole.value, &log)
		}
	}
	if l.sample.bins == nil {
		l.spread(l.sample.start(), l.sample.end(), &p, q)
		for i, x := range q.point {
			var log jet
			if l.addLog(&log, 1, x, &p, a) {
				add(q.weight[i]*math.Exp(log.value)/whole.value, &log)
			}
		}
	}
	return information
}

func bilinear(x []float64, a [][]float64, y []float64) float64 {
	var sum float64
	for i := range x {
		sum += x[i] * dot(a[i], y)
	}
	return sum
}

func dot(a, b []float64) float64 {
	var sum float64
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

// variance is that of a function of the parameters with this gradient; NaN
// without a covariance.
func (f *Fit) variance(gradient []float64) float64 {
	if f.covariance == nil {
		return math.NaN()
	}
	return max(0, bilinear(gradient, f.covariance, gradient))
}
