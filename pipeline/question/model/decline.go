package model

import (
	"slices"
	"strconv"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/regress"
	"ashtally/stats/regress/terms"
)

// DeclineCurve is the log-linear trend of one mode for its figure, with the predicted
// densities of the classes of years.
type DeclineCurve struct {
	Method, Mode string
	Classes      []DeclineClass
	Line         []DeclinePoint
}

// DeclineClass is the predicted density of a class of years.
type DeclineClass struct {
	Years int
	Units int
	Finds int
	result.Estimate
	Warnings []stats.Warning
}

// DeclinePoint is a point of the trend, per hectare; a limit that cannot be estimated
// is unknown.
type DeclinePoint struct {
	Years               float64
	Value, Lower, Upper column.Float
}

const ageTerm = "age"

// trend is the log-linear model of burned strata with the years since fire as a
// covariate. It has no term for strata: where each is of one age, that would be
// aliased with the trend, and where some are of several, only these would determine it.
type trend struct {
	fitted                 // to the burned units alone
	byClass        *fitted // to all
	ages           []int
	byMode, common *regress.Fit // a slope for each mode, one for both
	byModeCov      *regress.Covariance
	commonCov      *regress.Covariance
	lackOfFitP     column.Float
}

// declines are the rows of both modes together and of each, and the curves of each.
func (f *fitted) declines() ([]DeclineRow, []DeclineCurve, error) {
	if len(f.ages()) == 0 {
		return nil, nil, nil
	}
	b, err := f.fitTrend()
	if err != nil {
		return nil, nil, err
	}
	var rows []DeclineRow
	var curves []DeclineCurve
	for _, mode := range []string{result.All, survey.Saprotrophic, survey.HostAssociated} {
		rows = append(rows, b.row(mode))
		if mode != result.All && len(b.ages) > 1 {
			curves = append(curves, b.curve(mode))
		}
	}
	return rows, curves, nil
}

// fitTrend fits a common slope, and a slope for each mode (interaction). Terms for
// modes and trees are those of the count model.
func (f *fitted) fitTrend() (trend, error) {
	b := trend{fitted: *f, byClass: f, ages: f.ages()}
	b.unitSeasons = slices.DeleteFunc(slices.Clone(f.unitSeasons), func(e fieldwork.UnitSeason) bool { return e.Years == result.Unburned })
	b.tabulate()
	age := terms.Number{Name: ageTerm}
	for i := range b.sample.Count {
		at := b.sample.Frame.Factors[1].Of[i] // years
		n, _ := strconv.Atoi(b.years[at])     // of burned land they are numbers
		age.Of = append(age.Of, float64(n))
	}
	b.sample.Frame.Numbers = []terms.Number{age}
	base := terms.Model{{modeTerm}}
	if len(b.trees) > 1 && f.model.Has(terms.Term{treeTerm}) {
		base = append(base, terms.Term{treeTerm})
		if f.model.Has(terms.Term{modeTerm, treeTerm}) {
			base = append(base, terms.Term{modeTerm, treeTerm})
		}
	}
	base = append(base, terms.Term{ageTerm})
	var err error
	if b.common, err = regress.NegativeBinomial(b.sample, base); err != nil {
		return b, err
	}
	if b.byMode, err = regress.NegativeBinomial(b.sample, append(slices.Clip(base), terms.Term{modeTerm, ageTerm})); err != nil {
		return b, err
	}
	confidence := f.season.Settings.Confidence
	b.commonCov, b.byModeCov = b.common.Covariance(estimate.CovarianceKind(f.season.Settings),
		confidence), b.byMode.Covariance(estimate.CovarianceKind(f.season.Settings), confidence)
	return b, b.testLackOfFit(base)
}

// testLackOfFit tests the log-linear trend against classes of years.
func (b *trend) testLackOfFit(base terms.Model) error {
	if len(b.ages) < 3 {
		return nil
	}
	years := terms.Term{yearsTerm}
	test, err := regress.CompareTerm(b.sample, append(slices.Clip(base), years), years, regress.NegativeBinomial,
		estimate.CovarianceKind(b.season.Settings), estimate.SignFlips(b.season.Settings))
	if err != nil {
		return err
	}
	tested, _ := estimate.Tested(b.season.Settings, test.P, func(regress.SignFlips) regress.Score { return test.Score })
	b.lackOfFitP = tested.P
	return nil
}

// slope is the linear combination of coefficients that is the slope of a mode.
func slope(f *regress.Fit, mode int) []float64 {
	at := func(age float64) []float64 {
		return f.Design().Row(terms.Point{Level: map[string]int{modeTerm: mode, treeTerm: 0, yearsTerm: 0, stratumTerm: 0}, Value: map[string]float64{ageTerm: age}})
	}
	c := at(1)
	for j, v := range at(0) {
		c[j] -= v
	}
	return c
}

func (b *trend) row(mode string) DeclineRow {
	cov, fit, at := b.commonCov, b.common, 0
	if mode != result.All {
		cov, fit, at = b.byModeCov, b.byMode, slices.Index(modes, mode)
	}
	finds, units := b.findsIn(mode, result.All, result.All)
	row := DeclineRow{
		Method: b.method, Mode: mode, FirstYears: column.Count(b.ages[0]), LastYears: column.Count(b.ages[len(b.ages)-1]),
		Ages: column.Count(len(b.ages)), Fires: column.Count(len(b.fires(result.All))), Units: column.Count(units),
		Sites: column.Count(b.sites()), Finds: column.Count(finds),
		DepartureP: b.lackOfFitP,
	}
	if mode != result.All {
		row.DepartureP = column.Float{}
	}
	if len(b.ages) == 1 {
		row.PerYear, row.Tenth = missingEstimate(b), missingEstimate(b)
		row.Warnings = []stats.Warning{oneAge.With("all burned units have the same years since fire, so that nothing is known of a decline")}
		return row
	}
	trend := cov.Decline(slope(fit, at))
	row.PerYear, row.Tenth = result.Of(trend.PerYear.Estimate), result.Of(trend.Tenth)
	row.DF = column.Finite(trend.PerYear.DF)
	var warnings []stats.Warning
	row.Tested, warnings = estimate.Tested(b.season.Settings, trend.PerYear.P,
		func(o regress.SignFlips) regress.Score { return fit.TestEffect(slope(fit, at), o) })
	row.Warnings = stats.Distinct(trend.Tenth.Warnings, warnings, b.confounding())
	return row
}

func missingEstimate(b *trend) result.Estimate {
	return result.Of(stats.Missing(b.season.Settings.Confidence, 0, stats.Warning{}))
}

// curve has the trend of a mode at equidistant years.
func (b *trend) curve(mode string) DeclineCurve {
	c := DeclineCurve{Method: b.method, Mode: mode}
	for _, age := range b.ages {
		years := strconv.Itoa(age)
		e := b.byClass.cov.Density(b.byClass.mix(mode, result.All, years))
		finds, units := b.findsIn(mode, result.All, years)
		c.Classes = append(c.Classes, DeclineClass{Years: age, Units: units, Finds: finds, Estimate: result.Of(e.Estimate), Warnings: e.Warnings})
	}
	first, last := float64(b.ages[0]), float64(b.ages[len(b.ages)-1])
	const steps = 24
	for i := range steps + 1 {
		age := first + (last-first)*float64(i)/steps
		var mix regress.Mix
		for _, tree := range levelsFor(b.trees, result.All) {
			mix = append(mix, regress.Share{Weight: 1, At: terms.Point{
				Level: map[string]int{modeTerm: slices.Index(modes, mode), treeTerm: tree, yearsTerm: 0, stratumTerm: 0}, Value: map[string]float64{ageTerm: age}}})
		}
		e := b.byModeCov.Density(mix)
		c.Line = append(c.Line, DeclinePoint{Years: age, Value: column.Finite(e.Value), Lower: column.Finite(e.Lower), Upper: column.Finite(e.Upper)})
	}
	return c
}
