package model

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"golang.org/x/sync/errgroup"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/stats"
	"ashtally/stats/regress"
	"ashtally/stats/regress/terms"
)

// ask fits the count model to each method and estimates from it, methods at the same
// time. A model whose maximization did not converge has a row that says so.
func ask(s *fieldwork.Season, unitSeasons []fieldwork.UnitSeason) (Answer, error) {
	methods := countDataByMethod(s, unitSeasons)
	each := make([]Answer, len(methods))
	var fitting errgroup.Group
	for i, m := range methods {
		fitting.Go(func() (err error) {
			each[i], err = m.answerOrReason()
			return err
		})
	}
	if err := fitting.Wait(); err != nil {
		return Answer{}, err
	}
	var a Answer
	for _, one := range each {
		a.fits, a.tests, a.coefficients = append(a.fits, one.fits...), append(a.tests, one.tests...), append(a.coefficients, one.coefficients...)
		a.predicted, a.contrasts = append(a.predicted, one.predicted...), append(a.contrasts, one.contrasts...)
		a.declines, a.curves = append(a.declines, one.declines...), append(a.curves, one.curves...)
	}
	return a, nil
}

// answerOrReason are the rows of one method, or one that says why there are no others.
func (m countData) answerOrReason() (Answer, error) {
	if m.tooLarge() {
		return Answer{fits: []FitRow{m.unfittedRow(modelTooLarge.With("%d counts are more than the model of counts is made for, and nothing is said "+
			"by it; stratum by stratum it can be had", len(m.sample.Count)))}}, nil
	}
	a, err := m.answer()
	if errors.Is(err, regress.ErrNotConverged) {
		return Answer{fits: []FitRow{m.unfittedRow(notFitted.With("the search for the best fit of the model of counts did not end, and nothing is " +
			"said by it; fewer terms in survey.toml may help"))}}, nil
	} else if err != nil {
		return Answer{}, fmt.Errorf("model of %s counts: %w", m.method, err)
	}
	return a, nil
}

// answer are the rows of one method. Its parts are independent of each other once the
// model is fitted, and found at the same time.
func (m countData) answer() (Answer, error) {
	f, err := m.fit()
	if err != nil {
		return Answer{}, err
	}
	a := Answer{fits: []FitRow{f.fitRow()}}
	var finding errgroup.Group
	finding.Go(func() (err error) { a.tests, err = f.testRows(); return err })
	finding.Go(func() (err error) { a.declines, a.curves, err = f.declines(); return err })
	finding.Go(func() error { a.coefficients = f.coefficientRows(); return nil })
	finding.Go(func() error { a.contrasts = f.contrastRows(); return nil })
	finding.Go(func() error { a.predicted = f.predictedRows(); return nil })
	if err := finding.Wait(); err != nil {
		return Answer{}, err
	}
	f.warnOfReach(&a)
	return a, nil
}

// warnOfReach warns of strata that were not reached beside estimates that weight
// strata by area.
func (f *fitted) warnOfReach(a *Answer) {
	for i, r := range a.predicted {
		a.predicted[i].Warnings = append(slices.Clip(r.Warnings), f.notReached(r.Years)...)
	}
	for i, r := range a.contrasts {
		a.contrasts[i].Warnings = append(slices.Clip(r.Warnings), f.notReached(r.Years)...)
	}
	for i, r := range a.declines {
		a.declines[i].Warnings = append(slices.Clip(r.Warnings), f.notReached(result.All)...)
	}
}

// tooLarge reports whether the model has more elements than one is fitted to.
func (m countData) tooLarge() bool {
	columns := 1
	for _, t := range m.model {
		more := 1
		for _, v := range t {
			more *= m.levels(v) - 1
		}
		columns += more
	}
	return len(m.sample.Count)*columns > estimate.LargestModel
}

// unfittedRow is the row of a model that was not fitted, for the reason given.
func (m countData) unfittedRow(reason stats.Warning) FitRow {
	return FitRow{
		Method: m.method, Terms: termList(m.model), Rows: column.Count(len(m.sample.Count)), Units: column.Count(len(m.unitSeasons)), Sites: column.Count(m.sites()),
		Fires: column.Count(len(m.fires(result.All))), Finds: column.Count(m.finds), LeftOut: column.Count(m.leftOut), Covariance: m.season.Settings.Model.Covariance,
		Warnings: []stats.Warning{reason},
	}
}

// fitted is the count model with its fits, negative binomial and Poisson.
type fitted struct {
	countData
	negbin, poisson *regress.Fit
	cov, poissonCov *regress.Covariance
}

func (m countData) fit() (fitted, error) {
	f := fitted{countData: m}
	var err error
	if f.negbin, err = regress.NegativeBinomial(m.sample, m.model); err != nil {
		return f, err
	}
	f.poisson = f.negbin.Poisson()
	confidence := m.season.Settings.Confidence
	f.cov, f.poissonCov = f.negbin.Covariance(estimate.CovarianceKind(m.season.Settings), confidence), f.poisson.Covariance(regress.KnownK, confidence)
	return f, nil
}

func (f *fitted) fitRow() FitRow {
	confidence := f.season.Settings.Confidence
	lower, upper := f.negbin.LimitsOfK(confidence)
	family := f.negbin.Family
	if math.IsInf(f.negbin.K, 1) {
		family = f.poisson.Family
	}
	row := FitRow{
		Method: f.method, Family: family, Terms: termList(f.model),
		Rows: column.Count(f.negbin.Rows), Units: column.Count(len(f.unitSeasons)), Sites: column.Count(f.sites()), Fires: column.Count(len(f.fires(result.All))),
		Finds: column.Count(f.finds), LeftOut: column.Count(f.leftOut), Coefficients: column.Count(f.negbin.Parameters),
		K: column.Finite(f.negbin.K), KLower: column.Finite(lower), KUpper: column.Finite(upper), Confidence: column.Finite(confidence),
		Covariance: f.season.Settings.Model.Covariance, Warnings: slices.Concat(f.negbin.Warnings, f.leftOutWarning(), f.withoutComparison(), f.warnings),
	}
	if f.negbin.Finds > 0 {
		row.LogLik, row.AIC, row.PoissonAIC = column.Finite(f.negbin.LogLik), column.Finite(f.negbin.AIC), column.Finite(f.poisson.AIC)
		row.PoissonDispersion = column.Finite(f.dispersion())
	}
	return row
}

func termList(m terms.Model) string {
	names := make([]string, len(m))
	for i, t := range m {
		names[i] = t.String()
	}
	if len(names) == 0 {
		return "constant"
	}
	return strings.Join(names, " + ")
}

// dispersion is the Pearson dispersion statistic of the Poisson fit: chi-square over
// its degrees of freedom.
func (f *fitted) dispersion() float64 {
	var sum float64
	rows := 0
	for i, y := range f.sample.Count {
		if mu := f.poisson.Mean(i); mu > 0 {
			sum += (y - mu) * (y - mu) / mu
			rows++
		}
	}
	if rows <= f.poisson.Parameters {
		return math.NaN()
	}
	return column.UnlessRounding(sum/float64(rows-f.poisson.Parameters), 1)
}

func (f *fitted) leftOutWarning() []stats.Warning {
	if f.leftOut == 0 {
		return nil
	}
	return []stats.Warning{uncalledLeftOut.With("%d of %d finds are left out of the model, as nobody called their mode or their tree; its "+
		"densities are too low by as much", f.leftOut, f.leftOut+f.finds)}
}

// coefficientRows have a coefficient each, the intercept first.
func (f *fitted) coefficientRows() []CoefficientRow {
	d := f.negbin.Design()
	var rows []CoefficientRow
	for j, c := range d.Of {
		e, plain := f.cov.Coefficient(j), f.poissonCov.Coefficient(j)
		row := CoefficientRow{
			Method: f.method, Term: "constant", Level: "",
			Coefficient: column.Finite(column.UnlessRounding(e.Log, 1)), SE: column.Finite(e.SELog), Ratio: result.Of(e.Estimate),
			DF: column.Finite(e.DF), T: column.Finite(e.T),
			PoissonLower: column.Finite(plain.Lower), PoissonUpper: column.Finite(plain.Upper), Warnings: e.Warnings,
		}
		if c.Term < 0 {
			row.T = column.Float{} // of a density of 1 nobody asks
		} else {
			row.Term, row.Level = d.Term(c.Term).String(), levelOf(c)
			var warnings []stats.Warning
			row.Tested, warnings = estimate.Tested(f.season.Settings, e.P, func(o regress.SignFlips) regress.Score { return f.negbin.TestCoefficient(j, o) })
			row.Warnings = stats.Distinct(row.Warnings, warnings)
		}
		rows = append(rows, row)
	}
	return rows
}

// levelOf names the levels of a column: "host-associated, pine".
func levelOf(c terms.Column) string {
	names := make([]string, len(c.Parts))
	for i, p := range c.Parts {
		names[i] = p.Level
	}
	return strings.Join(names, ", ")
}

// testRows have the tests of each term, and the reason for one that was left out.
func (f *fitted) testRows() ([]TestRow, error) {
	tests, err := f.tests()
	if err != nil {
		return nil, err
	}
	var rows []TestRow
	for _, t := range tests {
		row := TestRow{
			Method: f.method, Term: t.Term.String(), Kept: column.Bool{Value: true, Known: true}, DF: column.Count(t.DF),
			F: column.Finite(t.F), DenDF: column.Finite(t.DenDF),
			LR: column.Finite(t.LR), LRP: column.Finite(t.LRP), PoissonP: column.Finite(t.PoissonLRP),
		}
		var warnings []stats.Warning
		row.Tested, warnings = estimate.Tested(f.season.Settings, t.P, func(regress.SignFlips) regress.Score { return t.Score })
		row.Warnings = stats.Distinct(t.Warnings, warnings)
		if t.Term.Has(yearsTerm) {
			row.Warnings = slices.Concat(row.Warnings, f.confounding())
		}
		rows = append(rows, row)
	}
	for _, d := range f.dropped {
		rows = append(rows, TestRow{Method: f.method, Term: d.term, Kept: column.Bool{Known: true}, Warnings: []stats.Warning{d.reason}})
	}
	return rows, nil
}

// tests are those of the terms. Where years are aliased with strata, because each
// stratum is of one age, they are tested without the term for strata, whose
// differences within an age are then variance between sites.
func (f *fitted) tests() ([]regress.Test, error) {
	kind, signs := estimate.CovarianceKind(f.season.Settings), estimate.SignFlips(f.season.Settings)
	tests, err := regress.Compare(f.sample, f.model, regress.NegativeBinomial, kind, signs)
	if err != nil {
		return nil, err
	}
	years, stratum := terms.Term{yearsTerm}, terms.Term{stratumTerm}
	at := slices.IndexFunc(tests, func(t regress.Test) bool { return t.Term.Same(years) && t.DF == 0 })
	if at < 0 || !f.model.Has(stratum) {
		return tests, nil
	}
	own := f.model.Under(years).Without(stratum)
	if tests[at], err = regress.CompareTerm(f.sample, own, years, regress.NegativeBinomial, kind, signs); err != nil {
		return nil, err
	}
	tests[at].Warnings = append([]stats.Warning{strataWithinYears.With("each stratum is of one age, so that years are tested without strata, and " +
		"strata of one age count as alike")}, tests[at].Warnings...)
	return tests, nil
}

// predictedRows are the predicted densities of each mode and tree in each class of
// years, all classes together first.
func (f *fitted) predictedRows() []PredictedRow {
	var rows []PredictedRow
	for _, years := range classes(f.years) {
		for _, mode := range modes {
			for _, tree := range append([]string{result.All}, f.trees...) {
				e := f.cov.Density(f.mix(mode, tree, years))
				finds, units := f.findsIn(mode, tree, years)
				rows = append(rows, PredictedRow{
					Method: f.method, Years: years, Mode: mode, Tree: tree, Units: column.Count(units), Finds: column.Count(finds),
					Estimate: result.Of(e.Estimate), DF: column.Finite(e.DF), Warnings: e.Warnings,
				})
			}
		}
	}
	return rows
}

// classes are the classes of years, all of them first where there are several.
func classes(years []string) []string {
	if len(years) < 2 {
		return years
	}
	return append([]string{result.All}, years...)
}
