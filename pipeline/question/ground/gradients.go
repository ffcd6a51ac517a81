package ground

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/regress"
	"ashtally/stats/regress/terms"
)

var (
	tooFewFinds  = warnings.New("gradients-too-few-finds", stats.Unavailable, "Gradients of density without finds enough")
	notFitted    = warnings.New("gradients-not-fitted", stats.Unavailable, "Gradients of density that could not be fitted")
	tooManyUnits = warnings.New("gradients-too-many-units", stats.Unavailable, "Surveys too large for gradients of density")
	seldomKnown  = warnings.New("gradient-seldom-recorded", stats.Unavailable, "Attributes of the ground that too few units have")
	meanInPlace  = warnings.New("gradient-mean-in-place", stats.Note, "Attributes of the ground that some units lack")
	fewSites     = warnings.New("gradient-few-sites", stats.Coverage, "Gradients of density on few sites")
	collinear    = warnings.New("gradient-collinear", stats.Coverage, "Attributes of the ground that go with others")
)

const (
	// leastRecorded is the share of units that must have an attribute (common practice,
	// no source).
	leastRecorded = 0.8
	// highestInflation is the variance inflation factor from which on a coefficient is
	// said to go with others (O'Brien 2007, Quality & Quantity 41: 673-690, discusses
	// 4 to 10 as rules of thumb; 5 is ours).
	highestInflation = 5
	// enoughSites is how many sites there were in the simulated burns whose limits covered
	// 0.934 to 0.943; with 12 and 24 they covered 0.915 to 0.951 (SIMULATION.md).
	enoughSites = 48
)

// gradient is a measure of the ground in the model, in steps.
type gradient struct {
	name, per string
	of        func(*fieldwork.Season, fieldwork.UnitSeason) column.Float // in steps
}

func steps(v column.Float, step float64) column.Float {
	v.Value /= step
	return v
}

// fromSouth is the step of the cosine of the aspect.
const fromSouth = "from south to north"

var gradients = []gradient{
	{"north-facing", fromSouth, func(_ *fieldwork.Season, e fieldwork.UnitSeason) column.Float {
		a := e.Unit.AspectDeg
		a.Value = math.Cos(a.Value*math.Pi/180) / 2
		return a
	}},
	{"slope", "10 percent", func(_ *fieldwork.Season, e fieldwork.UnitSeason) column.Float { return steps(e.Unit.SlopePercent, 10) }},
	{"elevation", "100 m", func(_ *fieldwork.Season, e fieldwork.UnitSeason) column.Float { return steps(e.Unit.ElevationM, 100) }},
	{"ground cover", "10 percent", func(s *fieldwork.Season, e fieldwork.UnitSeason) column.Float { return steps(s.MeanCover(e), 10) }},
}

// counts are the unit-seasons of a method as a model of counts takes them.
type counts struct {
	season   *fieldwork.Season
	method   string
	units    []fieldwork.UnitSeason
	byVisit  []int64        // finds of each visit
	sample   regress.Sample // without counts
	model    terms.Model
	sites    int
	chosen   []int     // of gradients, those in the model
	lacking  []int     // units without each of the gradients
	inflated []float64 // of the gradients chosen
}

// models are what the counts of a method are fitted for: ratios for steps of the ground,
// of all finds and of the two modes, and the combinations by expected density.
func (c counts) models() (ratios []GradientRow, ranked []PlaceRow, err error) {
	if c.recorded() == 0 {
		return nil, nil, nil
	}
	for _, mode := range []string{result.All, survey.Saprotrophic, survey.HostAssociated} {
		f, err := c.fit(mode)
		if err != nil {
			return nil, nil, fmt.Errorf("ground of %s counts: %w", c.method, err)
		}
		ratios = append(ratios, c.rowsOf(mode, f)...)
		if mode == result.All {
			ranked = c.ranked(f)
		}
	}
	return ratios, ranked, nil
}

// newCounts lays out the units: strata and years since fire as factors, where there
// are several, and the gradients that enough units have, less their means.
func newCounts(s *fieldwork.Season, method string, seasons []fieldwork.UnitSeason) counts {
	c := counts{season: s, method: method, lacking: make([]int, len(gradients))}
	for _, d := range s.Domains(method, seasons) {
		if d.Years == result.All {
			c.units = append(c.units, d.Units...)
		}
	}
	c.byVisit = s.FindsByVisit()
	c.sample.Cluster, c.sites = fieldwork.SiteNumbers(c.units)
	stratum, years := newFactor("stratum"), newFactor("years")
	for _, e := range c.units {
		c.sample.Exposure = append(c.sample.Exposure, e.Unit.AreaHa)
		stratum.add(s.Strata[e.Unit.Stratum].Name)
		years.add(e.Years)
	}
	c.sample.Frame.Rows = len(c.units)
	for _, f := range []*factor{stratum, years} {
		if len(f.Levels) > 1 {
			c.sample.Frame.Factors = append(c.sample.Frame.Factors, f.Factor)
			c.model = append(c.model, terms.Term{f.Name})
		}
	}
	for i, g := range gradients {
		values, lacking, varies := c.values(g)
		c.lacking[i] = lacking
		if !varies || float64(lacking) > (1-leastRecorded)*float64(len(c.units)) {
			continue
		}
		c.chosen = append(c.chosen, i)
		c.sample.Frame.Numbers = append(c.sample.Frame.Numbers, terms.Number{Name: g.name, Of: values})
		c.model = append(c.model, terms.Term{g.name})
	}
	if len(c.units)*c.sample.Frame.Columns(c.model) <= estimate.LargestModel {
		c.inflated = inflation(c.sample.Frame.Design(c.model), len(c.chosen))
	}
	return c
}

// factor is a factor that grows by the names of its levels.
type factor struct {
	terms.Factor
	at map[string]int
}

func newFactor(name string) *factor { return &factor{terms.Factor{Name: name}, map[string]int{}} }

func (f *factor) add(level string) {
	if _, ok := f.at[level]; !ok {
		f.at[level] = len(f.Levels)
		f.Levels = append(f.Levels, level)
	}
	f.Of = append(f.Of, f.at[level])
}

// values are those of a gradient less their mean; 0, the mean, where it is not known.
func (c counts) values(g gradient) (values []float64, lacking int, varies bool) {
	values = make([]float64, len(c.units))
	var sum float64
	least, most := math.Inf(1), math.Inf(-1)
	known := make([]bool, len(c.units))
	for i, e := range c.units {
		v := g.of(c.season, e)
		if known[i] = v.Known; !v.Known {
			lacking++
			continue
		}
		values[i] = v.Value
		sum += v.Value
		least, most = min(least, v.Value), max(most, v.Value)
	}
	mean := sum / float64(len(c.units)-lacking)
	for i := range values {
		if known[i] {
			values[i] -= mean
		}
	}
	return values, lacking, most-least > 1e-9
}

// recorded is the number of gradients that any unit has.
func (c counts) recorded() int {
	n := 0
	for _, lacking := range c.lacking {
		if lacking < len(c.units) {
			n++
		}
	}
	return n
}

// fitted is the model of the finds of a mode; the reason where there is none.
type fitted struct {
	finds  int
	fit    *regress.Fit
	cov    *regress.Covariance
	reason stats.Warning
}

// fit fits the finds of a mode.
func (c counts) fit(mode string) (fitted, error) {
	sample := c.sample
	var f fitted
	sample.Count = countsOf(c.season, c.units, mode)
	f.finds = int(fieldwork.Sum(sample.Count))
	columns := sample.Frame.Columns(c.model)
	switch {
	case f.finds < estimate.FindsPerCoefficient*columns:
		f.reason = tooFewFinds.With("%d finds are too few for the %d coefficients of the model: under %d for each", f.finds, columns, estimate.FindsPerCoefficient)
		return f, nil
	case len(c.units)*columns > estimate.LargestModel:
		f.reason = tooManyUnits.With("%d units are more than the model is made for; stratum by stratum it can be had", len(c.units))
		return f, nil
	}
	var err error
	f.fit, err = regress.NegativeBinomial(sample, c.model)
	switch {
	case errors.Is(err, regress.ErrNotConverged):
		f.fit, f.reason = nil, notFitted.With("the search for the best fit of the model did not end")
	case err != nil:
		return f, err
	default:
		f.cov = f.fit.Covariance(estimate.CovarianceKind(c.season.Settings), c.season.Settings.Confidence)
	}
	return f, nil
}

// rowsOf has a row for each gradient that any unit has, filled in from the fit if there
// is one.
func (c counts) rowsOf(mode string, f fitted) []GradientRow {
	row := GradientRow{Method: c.method, Mode: mode, Units: column.Count(len(c.units)), Sites: column.Count(c.sites), Finds: column.Count(f.finds)}
	var rows []GradientRow
	for i, g := range gradients {
		if c.lacking[i] == len(c.units) {
			continue
		}
		one := row
		one.Attribute, one.Per = g.name, g.per
		chosen := slices.Index(c.chosen, i)
		switch {
		case chosen < 0:
			one.Warnings = []stats.Warning{seldomKnown.With("%d of %d units have it, or all have the same; at least %.0f %% and two values are needed",
				len(c.units)-c.lacking[i], len(c.units), 100*leastRecorded)}
		case f.fit == nil:
			one.Warnings = []stats.Warning{f.reason}
		default:
			j := c.columnOf(f.fit, g.name)
			e := f.cov.Coefficient(j)
			one.Ratio, one.DF = result.Of(e.Estimate), column.Finite(e.DF)
			var doubts []stats.Warning
			one.Tested, doubts = estimate.Tested(c.season.Settings, e.P, func(o regress.SignFlips) regress.Score { return f.fit.TestCoefficient(j, o) })
			one.Warnings = stats.Distinct(e.Warnings, doubts)
			if vif := c.inflated[chosen]; vif > highestInflation {
				one.Warnings = append(one.Warnings, collinear.With("it varies with the other attributes, strata and years; its variance is %.2g times "+
					"what it would be if it did not", vif))
			}
			if c.sites < enoughSites {
				one.Warnings = append(one.Warnings, fewSites.With("%d sites are few: in simulated burns with 12 and 24 the 95 %% limits covered the "+
					"ratio 92 to 95 %% of the time", c.sites))
			}
			if c.lacking[i] > 0 {
				one.Warnings = append(one.Warnings, meanInPlace.With("%d of %d units lack it and are taken to have its mean", c.lacking[i], len(c.units)))
			}
		}
		rows = append(rows, one)
	}
	return rows
}

// columnOf is the column of a gradient in the design of a fit.
func (c counts) columnOf(fit *regress.Fit, name string) int {
	for j, col := range fit.Design().Of {
		if len(col.Parts) == 1 && col.Parts[0].Variable == name {
			return j
		}
	}
	panic("ground: the model has no " + name)
}
