package detect

import (
	"cmp"
	"math"
	"slices"
)

// Criterion ranks models.
type Criterion string

// The criteria. An empty one is AIC.
const (
	AIC  Criterion = "AIC"
	AICc Criterion = "AICc" // with the correction for small samples
)

// Of is the criterion's value for a fit; lower is better.
func (c Criterion) Of(f *Fit) float64 {
	if c == AICc {
		return f.AICc
	}
	return f.AIC
}

// Selection is a set of models ranked on one sample.
type Selection struct {
	Criterion Criterion
	Ranking   []Ranked // best first; those not converged, then those without a fit, last
}

// Ranked is a model of a selection.
type Ranked struct {
	Model  Model
	Fit    *Fit    // nil if there is none
	Err    error   // why there is none
	Delta  float64 // criterion above that of the best
	Weight float64 // exp(-Delta/2), scaled to add up to 1 over those that converged
}

// Select fits every model and ranks them. A model that does not converge, or
// cannot be fitted, stays in the ranking, out of the running. Equal models
// keep the order given, the one with fewer parameters first.
//
// Weights are Akaike's: the share of evidence for each, given that one of the
// set is near the truth. (Burnham & Anderson 2002, Model Selection and
// Multimodel Inference, section 2.9, from memory.) Where another model has a tenth of the
// weight or more, the best fit carries a warning that its standard error takes
// the choice as known. Select panics on a criterion that does not exist.
func (s *Sample) Select(models []Model, criterion Criterion, confidence float64) Selection {
	if criterion == "" {
		criterion = AIC
	}
	if criterion != AIC && criterion != AICc {
		panic("detect: unknown criterion " + string(criterion))
	}
	selection := Selection{Criterion: criterion}
	for _, m := range models {
		f, err := s.Fit(m, confidence)
		selection.Ranking = append(selection.Ranking, Ranked{Model: m, Fit: f, Err: err})
	}
	selection.rank()
	return selection
}

func (s *Selection) rank() {
	slices.SortStableFunc(s.Ranking, func(a, b Ranked) int {
		if c := cmp.Compare(a.class(), b.class()); c != 0 || a.Fit == nil {
			return c
		}
		return cmp.Or(
			cmp.Compare(s.Criterion.Of(a.Fit), s.Criterion.Of(b.Fit)),
			cmp.Compare(a.Fit.likelihood.size(), b.Fit.likelihood.size()))
	})
	best := s.Best()
	var sum float64
	for i := range s.Ranking {
		r := &s.Ranking[i]
		r.Delta = math.NaN()
		if r.Fit != nil && best != nil {
			r.Delta = s.Criterion.Of(r.Fit) - s.Criterion.Of(best)
		}
		if r.class() == 0 && r.Delta >= 0 { // NaN if the criterion is infinite for all
			r.Weight = math.Exp(-r.Delta / 2)
			sum += r.Weight
		}
	}
	for i := range s.Ranking {
		s.Ranking[i].Weight /= max(sum, 1)
	}
	s.doubt()
}

// rival is the weight from which another model makes the choice one of chance.
const rival = 0.1

// doubt warns the best fit of the models that it was preferred to.
func (s *Selection) doubt() {
	best, rivals := s.Best(), 0
	if best == nil {
		return
	}
	for _, r := range s.Ranking[1:] {
		if r.Weight >= rival {
			rivals++
		}
	}
	if rivals > 0 {
		best.Warnings = append(best.Warnings, warn(ModelChosen, "%s was chosen by %s before %s nearly as good; the standard error takes the "+
			"choice as known, a bootstrap over the models does not", best.Model, s.Criterion, plural(rivals, "model")))
	}
}

// class is 0 for a converged fit, 1 for another and 2 for none.
func (r Ranked) class() int {
	switch {
	case r.Fit == nil:
		return 2
	case !r.Fit.Converged:
		return 1
	}
	return 0
}

// hopeless is the difference in the criterion from which a model has no part in
// the doubt about the choice: its weight is under 1 in 150 (Burnham & Anderson
// 2002, Model Selection and Multimodel Inference, section 2.6, has "essentially no
// support" from 10 on).
const hopeless = 10

// Contenders are the fits that a bootstrap should choose from, the best first:
// those that converged and are not beyond hope.
func (s Selection) Contenders() []*Fit {
	var fits []*Fit
	for _, r := range s.Ranking {
		if r.class() == 0 && (r.Delta <= hopeless || len(fits) == 0) {
			fits = append(fits, r.Fit)
		}
	}
	return fits
}

// Best is the fit of the model ranked first; nil if none converged.
func (s Selection) Best() *Fit {
	if len(s.Ranking) == 0 || s.Ranking[0].class() > 0 {
		return nil
	}
	return s.Ranking[0].Fit
}
