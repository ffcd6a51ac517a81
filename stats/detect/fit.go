package detect

import (
	"fmt"
	"math"

	"ashtally/stats"
)

// Fit is a detection function fitted to a sample by maximum likelihood.
type Fit struct {
	Model      Model
	N          int // detections
	Parameters []Parameter

	LogLik float64 // with densities per metre, or probabilities if grouped
	AIC    float64 // 2 p - 2 LogLik with p parameters
	AICc   float64 // AIC + 2 p (p+1) / (n-p-1); +Inf where n does not allow it

	// HalfWidth is the effective strip half-width mu in metres: the width of a
	// strip on one side in which as many would be found if none were missed.
	// With covariates it is the harmonic mean over the detections.
	HalfWidth stats.Estimate
	// Detected is mu over the width searched: the share found of what is
	// there. NaN without a finite half-width.
	Detected stats.Estimate

	Converged bool
	Status    string // how the maximization ended, in words
	Warnings  []stats.Warning

	sample     *Sample
	likelihood *likelihood
	peak       peak
	covariance [][]float64 // of peak.X; nil if there is none, rows of 0 for parameters at a bound
	confidence float64
}

// Parameter is one number of a fitted model. The scale is in metres, or,
// with covariates, its log is a sum of parameters named "log scale" (at 0 of
// measured covariates and the first level of others) and "log scale: NAME"
// (per unit of NAME, or against the first level).
type Parameter struct {
	Name    string
	Value   float64
	SE      float64 // NaN if there is none
	AtLimit bool    // held at the end of its range; then SE takes it as known
}

// Fit finds the detection function of maximum likelihood. The limits of
// HalfWidth and Detected have the given confidence.
//
//	l = sum_i log( g(x_i; z_i) / mu(z_i) ),  mu(z) = integral_left^right g(x; z) dx
//
// or, for distances in intervals, the multinomial likelihood of the
// intervals. Variances are the inverse of the observed information, carried
// over by the delta method:
//
//	var mu = (d mu / d theta)' I^-1 (d mu / d theta)
//
// It assumes that all on the line (x = 0) are found, that objects do not move
// before they are seen, that distances are exact or in the right interval,
// and that lines lie independently of the objects.
//
// Special cases, each with a warning: a series that would rise with distance
// is held level where it would, and the variance, which is that of the
// likelihood without the hold, is then as a rule too large, but can be too small; a
// parameter at the end of its range is taken as known, which makes the variance
// too small, even 0. A bootstrap ([Fit.Refit]) has neither fault. A maximum not
// reached, or with a singular information, has no variance.
//
// Errors: [ErrModel] for a model that does not exist or does not suit the
// sample, [ErrTooFew] unless there are more detections than parameters.
// It panics on a confidence outside (0, 1).
//
// References: Buckland et al. (2001), Introduction to Distance Sampling,
// Oxford, chapters 2 and 3; Marques & Buckland (2003), Biometrics 59: 924-935 for
// covariates; from memory.
func (s *Sample) Fit(m Model, confidence float64) (*Fit, error) {
	if !(confidence > 0 && confidence < 1) {
		panic("detect: confidence is not between 0 and 1")
	}
	if err := s.allows(m); err != nil {
		return nil, err
	}
	d, err := s.design(m.Covariates)
	if err != nil {
		return nil, err
	}
	l := s.likelihood(m, d, nil)
	if s.N() <= l.size() {
		return nil, fmt.Errorf("%w: %d for the %s of %s", ErrTooFew, s.N(), plural(l.size(), "parameter"), m)
	}
	f := &Fit{Model: m, confidence: confidence, sample: s, likelihood: l}
	f.take(l.maximize(l.starts(), m.FreeShape))
	f.describe()
	return f, nil
}

// allows checks the model by itself and against the truncation.
func (s *Sample) allows(m Model) error {
	if err := m.check(); err != nil {
		return err
	}
	if math.IsInf(s.right, 1) && (m.Key != HalfNormal || m.Terms > 0) {
		return fmt.Errorf("%w: %s needs a finite half-width", ErrModel, m)
	}
	return nil
}

// take reads the likelihood off the peak.
func (f *Fit) take(p peak) {
	f.peak = p
	f.Converged, f.Status = p.Converged, p.status()
	n, k := f.likelihood.total(), float64(f.likelihood.size())
	f.N = int(math.Round(n))
	f.LogLik = p.Value
	if f.sample.bins == nil {
		f.LogLik -= n * math.Log(f.sample.scale)
	}
	f.AIC = 2*k - 2*f.LogLik
	f.AICc = math.Inf(1)
	if n-k-1 > 0 {
		f.AICc = f.AIC + 2*k*(k+1)/(n-k-1)
	}
}

// describe adds the variance and all that is only said of a fit to the data
// themselves, not of the refits of a bootstrap.
func (f *Fit) describe() {
	f.covariance = parameterCovariance(f)
	f.Parameters = parameters(f)
	f.HalfWidth = f.halfWidth()
	f.Detected = f.share(f.HalfWidth)
	f.Warnings = append(f.sample.Warnings(), fitWarnings(f)...)
}

// Refit fits the same model with detection i of the sample (in the order of
// [Sample.Used]) counted weight[i] times: what a bootstrap drew. It starts from
// this fit, and with a series from one other place, for that alone has several
// hills as a rule; it gives no variance, no parameters and no warnings.
//
// It fails with [ErrTooFew] or [ErrNoSpread] if what was drawn cannot be
// fitted, and panics unless there is a weight from 0 for every detection.
func (f *Fit) Refit(weight []float64) (*Fit, error) {
	if len(weight) != f.sample.N() {
		panic("detect: slice length mismatch")
	}
	l := f.sample.likelihood(f.Model, f.likelihood.design, weight)
	if l.total() <= float64(l.size()) {
		return nil, fmt.Errorf("%w: %g drawn", ErrTooFew, l.total())
	}
	if !l.varies() {
		return nil, fmt.Errorf("%w: among those drawn", ErrNoSpread)
	}
	refit := &Fit{Model: f.Model, confidence: f.confidence, sample: f.sample, likelihood: l}
	starts := [][]float64{f.peak.X}
	if len(l.orders) > 0 {
		starts = append(starts, l.starts()[0])
	}
	refit.take(l.maximize(starts, f.Model.FreeShape))
	if !refit.Converged && len(l.orders) == 0 && l.size() > 0 {
		refit.take(l.maximize(l.starts(), f.Model.FreeShape))
	}
	return refit, nil
}

// varies tells whether two detections with weight differ in distance or interval.
func (l *likelihood) varies() bool {
	first := -1
	for i, t := range l.sample.t {
		switch w := l.weightOf(i); {
		case w < 0 || math.IsNaN(w):
			panic("detect: weight is not a number from 0")
		case w == 0:
		case first < 0:
			first = i
		case l.sample.bins == nil && t != l.sample.t[first]:
			return true
		case l.sample.bins != nil && l.sample.bin[i] != l.sample.bin[first]:
			return true
		}
	}
	return false
}

// Covariance is that of the parameters that Fit found, on the scales it
// climbed on: logs of scale and shape, effects of covariates centred and
// scaled. It is nil if there is none.
func (f *Fit) Covariance() [][]float64 { return f.covariance }

// Sample is what the curve was fitted to.
func (f *Fit) Sample() *Sample { return f.sample }
