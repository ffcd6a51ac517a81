package detect

import (
	"math"
	"slices"

	"ashtally/stats"
)

// width is the effective half-width at one row of covariates, in metres, with
// the gradient of its log in the parameters.
type width struct {
	value    float64
	gradient []float64
}

func (f *Fit) widthAt(row []float64) width {
	l := f.likelihood
	p, a := l.at(f.peak.X, row)
	whole := l.whole(&p, a, new(nodes))
	var log jet
	if !log.addLogOf(1, &whole, l.locals()) {
		return width{value: math.NaN(), gradient: make([]float64, l.size())}
	}
	w := width{value: math.Exp(log.value) * f.sample.scale, gradient: make([]float64, l.size())}
	l.expand(row, &log, w.gradient, nil)
	return w
}

// OverWidths is sum_i c_i / mu_i over the detections of the sample, in the
// order of [Sample.Used], with the part of its variance that comes from the
// parameters of the detection function; c may be nil for all 1. A density is
// such a sum, with c_i the size of group i over twice the length of its lines.
//
//	v = u' V u,  u = sum_i c_i d(1/mu_i)/d theta
//
// It panics unless there is one c for every detection.
func (f *Fit) OverWidths(c []float64) (value, variance float64) {
	if c != nil && len(c) != f.sample.N() {
		panic("detect: slice length mismatch")
	}
	gradient := make([]float64, f.likelihood.size())
	perRow := make([]float64, len(f.likelihood.rows))
	for i, r := range f.likelihood.row {
		if c == nil {
			perRow[r]++
		} else {
			perRow[r] += c[i]
		}
	}
	for r, sum := range perRow {
		if sum == 0 {
			continue
		}
		w := f.widthAt(f.likelihood.rows[r])
		value += sum / w.value
		for i, g := range w.gradient {
			gradient[i] -= sum / w.value * g
		}
	}
	return value, f.variance(gradient)
}

// Widths lists the effective half-width at each detection of the sample, in
// metres. They differ only with covariates.
func (f *Fit) Widths() []float64 {
	rows := make([]float64, len(f.likelihood.rows))
	for r, row := range f.likelihood.rows {
		rows[r] = f.widthAt(row).value
	}
	widths := make([]float64, f.sample.N())
	for i, r := range f.likelihood.row {
		widths[i] = rows[r]
	}
	return widths
}

// Classes numbers the distinct covariates of the model, and gives the number
// of each detection of the sample; all 0 without covariates. Detections of one
// class have one half-width.
func (f *Fit) Classes() []int { return slices.Clone(f.likelihood.row) }

// Seen lists the chance at which each detection of the sample was seen: g at
// its distance and covariates.
func (f *Fit) Seen() []float64 {
	seen := make([]float64, f.sample.N())
	for i, r := range f.likelihood.row {
		seen[i] = f.gAt(f.sample.t[i]*f.sample.scale, f.likelihood.rows[r])
	}
	return seen
}

// DF is the degrees of freedom of the detection function: detections less parameters.
func (f *Fit) DF() float64 { return float64(f.N - f.likelihood.size()) }

// halfWidth is n / sum 1/mu_i with a log-normal interval.
func (f *Fit) halfWidth() stats.Estimate {
	n := float64(f.N)
	sum, variance := f.OverWidths(nil)
	e := stats.Estimate{Value: n / sum, N: f.N}
	cv := math.Sqrt(variance) / sum
	e.SE = e.Value * cv
	e.Interval = LogNormal(e.Value, cv, f.DF(), f.confidence)
	return e
}

// share scales a half-width to the share found of what is there, whose
// interval ends at 1.
func (f *Fit) share(e stats.Estimate) stats.Estimate {
	span := f.sample.right - f.sample.left
	if math.IsInf(span, 1) {
		nan := math.NaN()
		e.Value, e.SE, e.Interval = nan, nan, stats.NoInterval(f.confidence)
		return e
	}
	e.Value /= span
	e.SE /= span
	e.Lower /= span
	e.Upper = min(e.Upper/span, max(1, e.Value))
	return e
}
