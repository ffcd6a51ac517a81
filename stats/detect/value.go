package detect

import "math"

// jetAt is g at a distance in metres and a row of covariates, with its
// gradient in the parameters of the model.
func (f *Fit) jetAt(x float64, row []float64) (g float64, gradient []float64) {
	l := f.likelihood
	p, a := l.at(f.peak.X, row)
	var here jet
	l.addValue(&here, 1, spotAt(x/f.sample.scale), &p, a)
	gradient = make([]float64, l.size())
	l.expand(row, &here, gradient, nil)
	return here.value, gradient
}

func (f *Fit) gAt(x float64, row []float64) float64 {
	g, _ := f.jetAt(x, row)
	return g
}

// cumulative is the share of detections expected up to a distance in metres.
func (f *Fit) cumulative(x float64, row []float64) float64 {
	l := f.likelihood
	t, start := x/f.sample.scale, f.sample.start()
	if t <= start {
		return 0
	}
	if x >= f.sample.right {
		return 1
	}
	p, a := l.at(f.peak.X, row)
	q := new(nodes)
	part := l.integral(start, t, &p, a, q)
	whole := l.whole(&p, a, q)
	return math.Min(1, part.value/whole.value)
}
