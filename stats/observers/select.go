package observers

import (
	"cmp"
	"errors"
	"math"
	"slices"
)

// Ranked is a model that was tried.
type Ranked struct {
	Model  Model
	Name   string
	Fit    *Fit    // nil if there is none
	Err    error   // why
	Delta  float64 // AIC above that of the best; NaN without a fit
	Weight float64 // Akaike weight; 0 without a fit
}

// Select fits every model and ranks them by AIC, those without a fit last. A
// model with covariates that is held at a limit comes after all that are not: its
// AIC is that of a likelihood without a top. The weights are among those that
// could be chosen.
func (d Data) Select(models []Model, confidence float64) []Ranked {
	ranking := make([]Ranked, len(models))
	for i, m := range models {
		f, err := d.Fit(m, confidence)
		ranking[i] = Ranked{Model: m, Name: d.String(m), Fit: f, Err: err, Delta: math.NaN()}
	}
	slices.SortStableFunc(ranking, func(a, b Ranked) int {
		return cmp.Or(cmp.Compare(a.rank(), b.rank()), cmp.Compare(a.aic(), b.aic()))
	})
	best := ranking[0].Fit
	if best == nil {
		return ranking
	}
	var sum float64
	for i, r := range ranking {
		if r.Fit == nil {
			continue
		}
		ranking[i].Delta = r.Fit.AIC - best.AIC
		if r.rank() == ranking[0].rank() {
			ranking[i].Weight = math.Exp(-ranking[i].Delta / 2)
			sum += ranking[i].Weight
		}
	}
	for i := range ranking {
		ranking[i].Weight /= sum
	}
	return ranking
}

func (r Ranked) rank() int {
	switch {
	case r.Fit == nil:
		return 2
	case r.Fit.AtLimit() && len(r.Model.Covariates) > 0:
		return 1
	}
	return 0
}

func (r Ranked) aic() float64 {
	if r.Fit == nil {
		return 0
	}
	return r.Fit.AIC
}

// Reason says why a fit could not be had, as a warning.
func Reason(err error) (code, text string) {
	switch {
	case errors.Is(err, ErrNoPair):
		return noPair.Code, noPair.Text
	case errors.Is(err, ErrNoneTwice):
		return noneTwice.Code, noneTwice.Text
	}
	return "no-chances", "the chances to see could not be worked out: " + err.Error()
}
