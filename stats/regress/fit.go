package regress

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"ashtally/stats"
	"ashtally/stats/regress/terms"
)

// The families of counts.
const (
	NB2           = "negative binomial"
	PoissonFamily = "Poisson"
)

// Fit is a fitted model.
type Fit struct {
	Family string
	// K is the dispersion parameter k of the negative binomial, the smaller the
	// more clumped: +Inf for the Poisson and where the counts are no more
	// clumped than that, NaN where nothing was found at all.
	K float64
	// SELogK is the standard error of log K from the observed information; NaN
	// without a finite K.
	SELogK float64
	// LogLik holds every constant; rows that are sent to 0 add 0 to it.
	LogLik, Deviance, AIC float64
	Rows, Finds           int
	Clusters              int // that hold rows of the finite part
	Parameters            int // coefficients that were fitted, k not among them
	Warnings              []stats.Warning

	sample      Sample
	design      *terms.Design
	recession   recession
	kept        []int  // rows of the finite part
	base        *basis // of these
	all         *basis // of all rows
	likelihood  *likelihood
	maximum     point
	derivatives derivatives
	poisson     point // the maximum without overdispersion
	slopes      derivatives
}

// NegativeBinomial fits the model of the package comment by maximum likelihood
// in b and k together. Where the counts are no more clumped than chance has
// it, the fit is the Poisson's, with K = +Inf and the warning "no-clumping".
//
// It panics on a sample that is none: without rows, with counts that are not
// whole numbers from 0, exposures that are not positive, or a model whose
// variables the frame lacks. The only error is [ErrNotConverged].
//
// The standard errors of the model come from the observed information of b and
// k together; see [Observed].
func NegativeBinomial(s Sample, m terms.Model) (*Fit, error) {
	f := newFit(s, m)
	f.Family = NB2
	if f.base.rank() == 0 {
		return f, nil
	}
	if err := f.maximizePoisson(); err != nil {
		return nil, err
	}
	top, own, err := f.likelihood.maximize(f.poisson.g, f.likelihood.momentAlpha(f.poisson), true)
	if err != nil {
		return nil, err
	}
	// A likelihood that is the Poisson's to its last digits is at the boundary.
	const same = 1e-9
	if top.logLik <= f.poisson.logLik+same*(1+math.Abs(f.poisson.logLik)) {
		f.reached(f.poisson, f.slopes)
		f.Warnings = append(f.Warnings, noClumping)
		return f, nil
	}
	f.reached(top, own)
	return f, nil
}

// Poisson fits the model without overdispersion: var = mu. Its standard errors
// assume that fruit bodies are independent.
func Poisson(s Sample, m terms.Model) (*Fit, error) {
	f := newFit(s, m)
	f.Family = PoissonFamily
	if f.base.rank() == 0 {
		return f, nil
	}
	if err := f.maximizePoisson(); err != nil {
		return nil, err
	}
	f.reached(f.poisson, f.slopes)
	return f, nil
}

func (f *Fit) maximizePoisson() (err error) {
	f.poisson, f.slopes, err = f.likelihood.maximize(f.likelihood.startingValues(), 0, false)
	return err
}

// Poisson is the fit without overdispersion to the same counts, as [Poisson] has it: a fit
// of the negative binomial begins with it.
func (f *Fit) Poisson() *Fit {
	p := *f
	p.Family, p.K, p.SELogK = PoissonFamily, math.NaN(), math.NaN()
	p.Warnings = slices.DeleteFunc(slices.Clone(f.Warnings), func(w stats.Warning) bool { return w.Code == noClumping.Code })
	if f.base.rank() > 0 {
		p.reached(f.poisson, f.slopes)
	}
	return &p
}

// newFit finds directions of recession and aliased columns, and prepares the
// likelihood of the others.
func newFit(s Sample, m terms.Model) *Fit {
	s.check()
	d := s.Frame.Design(m)
	f := &Fit{sample: s, design: d, Rows: d.Rows, Finds: int(s.finds()), K: math.NaN(), SELogK: math.NaN()}
	f.recession = findRecession(d, s.Count)
	f.kept = f.recession.finiteRows()
	f.all = newBasis(d, every(d.Rows))
	f.base = f.all
	if len(f.kept) < d.Rows {
		f.base = newBasis(d, f.kept)
	}
	_, f.Clusters = s.clusters(f.kept)
	f.Parameters = f.base.rank()
	f.Warnings = append(f.aliasWarnings(), f.emptyWarnings()...)
	if f.Finds == 0 {
		f.Warnings = []stats.Warning{nothingFound}
		return f
	}
	f.likelihood = newLikelihood(f.base, s, f.kept)
	return f
}

// basisOver is the basis of some rows of the design.
func (f *Fit) basisOver(rows []int) *basis {
	switch {
	case len(rows) == f.Rows:
		return f.all
	case slices.Equal(rows, f.kept):
		return f.base
	}
	return newBasis(f.design, rows)
}

// reached fills in maximum, k, deviance and AIC.
func (f *Fit) reached(p point, s derivatives) {
	f.maximum, f.derivatives = p, s
	f.LogLik, f.Deviance = p.logLik, f.likelihood.deviance(p)
	f.K = 1 / p.alpha
	parameters := f.Parameters
	if p.alpha > 0 {
		parameters++
		var chol mat.Cholesky
		if chol.Factorize(s.information) {
			f.SELogK = 1 / math.Sqrt(s.curvature-dot(solve(&chol, s.cross), s.cross))
		}
	}
	f.AIC = 2 * (float64(parameters) - p.logLik)
}

// Design is the design matrix of the model, with the names of its columns.
func (f *Fit) Design() *terms.Design { return f.design }

// Zero reports whether the fitted density of a row is 0, because nothing was
// found in the cell it belongs to.
func (f *Fit) Zero(row int) bool { return f.recession.zero[row] }

// Mean is the fitted count of a row.
func (f *Fit) Mean(row int) float64 {
	if f.recession.zero[row] {
		return 0
	}
	t, _ := f.base.reduce(f.design.At(row))
	return f.sample.Exposure[row] * math.Exp(dot(t, f.maximum.g))
}

// LimitsOfK are the limits of K at a level, by a normal log K; NaN without a
// finite K.
func (f *Fit) LimitsOfK(confidence float64) (lower, upper float64) {
	half := normal(confidence) * f.SELogK
	return f.K * math.Exp(-half), f.K * math.Exp(half)
}
