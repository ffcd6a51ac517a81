package observers

import (
	"fmt"
	"math"
	"slices"
	"sync"

	"ashtally/stats"
	"ashtally/stats/detect/optimum"
)

// Fit is a model of the chances to see, fitted to finds.
type Fit struct {
	Model      Model
	Name       string  // the model in words
	N          float64 // finds that tell: made where two searched, and known who saw them
	Parameters []Parameter

	LogLik float64 // conditional on having been seen
	AIC    float64 // 2 k - 2 LogLik with k parameters

	// SightP is the p-value of the test of sight that is even among finds, by
	// [Fit.Frequencies]; NaN without three observers, and for a model in which it
	// varies.
	SightP float64

	Warnings []stats.Warning

	design     *design
	x          []float64
	covariance [][]float64 // rows of 0 for parameters at a bound
	confidence float64
	alike      func() alike
}

// Parameter is a number of the model on the logit scale. Measured covariates
// count in standard deviations from their mean.
type Parameter struct {
	Name    string
	Value   float64
	SE      float64 // NaN where there is none
	AtLimit bool    // held at the end of its range, and then taken as known
}

// The farthest that parameters may lie from 0. Where an observer saw all that
// others saw, or a covariate parts the finds seen from those missed, the
// likelihood rises for ever, and is held there. A slope of 6 takes a chance
// from a quarter of a percent to all but that within two standard deviations. A
// level of 16 still is one of certainty where such a slope works against it.
const (
	highest  = 16
	steepest = 6
)

// Fit fits a model by maximum likelihood, conditional on a find having been
// seen by somebody:
//
//	P(y_i | seen) = prod_j p_ij^y_ij (1 - p_ij)^(1 - y_ij) / p*_i,  p*_i = 1 - prod_j (1 - p_ij)
//	logit p_ij = x_ij' beta
//
// over the observers j who searched when find i was made. The covariance of
// beta is the inverse of the information.
//
// It takes observers for independent given the covariates. A find of size over
// 1 counts once: a group is seen as one.
//
// Special cases: a parameter held at its limit is taken as known, with a
// warning; a find with one observer, or of which nobody wrote down who saw it,
// tells nothing, and is made up for all the same; an observer who was never
// held against another sees as the mean of the others on the logit scale, with
// a warning.
//
// Errors: [ErrNoPair], [ErrNoneTwice], [ErrModel] for a covariate that does not
// vary or is not there, [ErrNotConverged]. It panics on data that contradict
// themselves and on a confidence outside (0, 1).
//
// References, with volumes and pages from memory: Huggins (1989), Biometrika 76:
// 133-140; Alho (1990), Biometrics 46: 623-635.
func (d Data) Fit(m Model, confidence float64) (*Fit, error) {
	checkConfidence(confidence)
	d.check()
	if err := d.enough(); err != nil {
		return nil, err
	}
	g, err := d.design(m)
	if err != nil {
		return nil, err
	}
	f := &Fit{Model: m, Name: d.String(m), design: g, confidence: confidence}
	f.alike = sync.OnceValue(f.findAlike)
	for _, s := range d.telling() {
		f.N += d.times(s)
	}
	if err := f.maximize(); err != nil {
		return nil, err
	}
	f.SightP = math.NaN()
	if !m.Varying && d.looks() {
		f.SightP = f.Frequencies().P
	}
	f.Warnings = f.doubts()
	return f, nil
}

// telling lists the finds that tell of the observers' eyes.
func (d Data) telling() []int {
	var list []int
	for i := range d.Searched {
		if d.tells(i) {
			list = append(list, i)
		}
	}
	return list
}

func (d Data) enough() error {
	list := d.telling()
	if len(list) == 0 {
		return ErrNoPair
	}
	if !slices.ContainsFunc(list, func(i int) bool { return d.seenBy(i) > 1 }) {
		return ErrNoneTwice
	}
	return nil
}

func (f *Fit) maximize() error {
	l := f.design.likelihood()
	n := l.size
	p := optimum.Problem{Objective: l.at}
	start := make([]float64, n)
	for k, col := range f.design.columns {
		low, high := -float64(steepest), float64(steepest)
		switch {
		case col.random:
			low, high, start[k] = 0, mostVaried, 1
		case col.covariate < 0:
			low, high = -highest, highest
		}
		p.Lower, p.Upper, p.Stride = append(p.Lower, low), append(p.Upper, high), append(p.Stride, 2)
	}
	top := p.Maximize(start)
	if !top.Converged {
		return fmt.Errorf("%w: %s", ErrNotConverged, top.Doubt)
	}
	f.covariance = inverse(top)
	if f.covariance == nil {
		return fmt.Errorf("%w: its top is flat", ErrNotConverged)
	}
	// The maximization ends where the likelihood's last digits no longer rise. One
	// more step, by the slope alone, gives the parameters theirs.
	for k := range top.X {
		top.X[k] = min(max(top.X[k]+dot(f.covariance[k], top.Gradient), p.Lower[k]), p.Upper[k])
	}
	f.x, f.LogLik = top.X, l.at(top.X, top.Gradient, top.Hessian)
	f.covariance = inverse(top)
	if f.covariance == nil {
		return fmt.Errorf("%w: its top is flat", ErrNotConverged)
	}
	f.AIC = 2*float64(n) - 2*f.LogLik
	for k, col := range f.design.columns {
		se := math.Sqrt(f.covariance[k][k])
		if top.AtBound[k] {
			se = math.NaN()
		}
		f.Parameters = append(f.Parameters, Parameter{col.name, top.X[k], se, top.AtBound[k]})
	}
	return nil
}

// inverse is the covariance over the parameters that no bound holds; nil if
// the information cannot be inverted.
func inverse(top optimum.Optimum) [][]float64 {
	var free []int
	for k, held := range top.AtBound {
		if !held {
			free = append(free, k)
		}
	}
	covariance, information := square(len(top.X)), square(len(free))
	if len(free) == 0 {
		return covariance
	}
	for a, k := range free {
		for b, l := range free {
			information[a][b] = -top.Hessian[k][l]
		}
	}
	inner := optimum.Inverse(information)
	if inner == nil {
		return nil
	}
	for a, k := range free {
		for b, l := range free {
			covariance[k][l] = inner[a][b]
		}
	}
	return covariance
}

func square(n int) [][]float64 {
	m := make([][]float64, n)
	for i := range m {
		m[i] = make([]float64, n)
	}
	return m
}

// AtLimit reports whether a parameter is held at the end of its range.
func (f *Fit) AtLimit() bool {
	return slices.ContainsFunc(f.Parameters, func(p Parameter) bool { return p.AtLimit })
}

// Covariance returns the covariance matrix of the parameters.
func (f *Fit) Covariance() [][]float64 {
	out := make([][]float64, len(f.covariance))
	for i, row := range f.covariance {
		out[i] = slices.Clone(row)
	}
	return out
}

// Paired reports whether observer j was ever held against another.
func (f *Fit) Paired(j int) bool { return f.design.paired[j] }
