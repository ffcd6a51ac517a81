package observers

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"ashtally/stats"
)

// Ranked is a model that was tried.
type Ranked struct {
	Model  Model
	Name   string
	Fit    *Fit    // nil if there is none
	Err    error   // why
	Delta  float64 // AIC above that of the best; NaN without a fit
	Weight float64 // Akaike weight; 0 without a fit

	refused bool // whether a test speaks against it, so that it cannot be chosen
}

// Select fits every model and ranks them by AIC, those without a fit last. A
// model with covariates that is held at a limit comes after all that are not: its
// AIC is that of a likelihood without a top. The weights are among those that
// could be chosen.
//
// The best of them is also fitted with sight that varies among finds, where three
// observers or more searched. That model can be chosen where the test of even
// sight rejects the best of the others at 5 %.
func (d Data) Select(models []Model, confidence float64) []Ranked {
	ranking := make([]Ranked, len(models))
	for i, m := range models {
		f, err := d.Fit(m, confidence)
		ranking[i] = Ranked{Model: m, Name: d.String(m), Fit: f, Err: err, Delta: math.NaN()}
	}
	sortRanking(ranking)
	ranking = append(ranking, d.varying(ranking[0], confidence)...)
	sortRanking(ranking)
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

func sortRanking(ranking []Ranked) {
	slices.SortStableFunc(ranking, func(a, b Ranked) int {
		return cmp.Or(cmp.Compare(a.rank(), b.rank()), cmp.Compare(a.aic(), b.aic()))
	})
}

// varying is the best model with sight that varies among finds; none without
// three observers, or where it has it already.
func (d Data) varying(best Ranked, confidence float64) []Ranked {
	if best.Fit == nil || best.Model.Varying || !d.looks() {
		return nil
	}
	r := Ranked{Model: best.Model, Delta: math.NaN(), refused: !(best.Fit.SightP < unevenSight)}
	r.Model.Varying = true
	r.Name = d.String(r.Model)
	r.Fit, r.Err = d.Fit(r.Model, confidence)
	return []Ranked{r}
}

func (r Ranked) rank() int {
	switch {
	case r.Fit == nil:
		return 2
	case r.refused || r.Fit.parted():
		return 1
	}
	return 0
}

// parted reports whether a model with covariates has a parameter at its limit,
// beside the standard deviation of a random effect: then no likelihood had a top.
func (f *Fit) parted() bool {
	for k, p := range f.Parameters {
		if p.AtLimit && !f.design.columns[k].random {
			return len(f.Model.Covariates) > 0
		}
	}
	return false
}

func (r Ranked) aic() float64 {
	if r.Fit == nil {
		return 0
	}
	return r.Fit.AIC
}

// Reason says why a fit could not be had, as a warning.
func Reason(err error) stats.Warning {
	switch {
	case errors.Is(err, ErrNoPair):
		return noPair
	case errors.Is(err, ErrNoneTwice):
		return noneTwice
	}
	return NoProbabilities.With("the chances to see could not be worked out: %s", err.Error())
}
