package detectability

import (
	"math"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate"
	"ashtally/pipeline/estimate/transect"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/chain"
	"ashtally/stats/detect/lines"
	"ashtally/stats/missed"
	"ashtally/stats/observers"
	"ashtally/stats/removal"
)

// correction is how the counts of a method are corrected for imperfect detection.
type correction struct {
	by         string        // observers or passes
	known      bool          // whether there is one
	reason     stats.Warning // why not
	visits     []corrected   // all, those without finds with no gradient; nil where nothing is corrected
	covariance missed.Chance // of the parameters of the detection probability
	factor     float64       // present over counted, over all
	warnings   []stats.Warning
}

// corrected is the corrected count of a visit, with its derivatives by the parameters
// of the detection probability.
type corrected struct {
	present  float64
	gradient []float64
	missed   float64 // those of them that the visit missed, recorded later or not
}

// add counts n at a visit, times a factor of correction with its gradient.
func (c *correction) add(visit int, n, factor float64, gradient []float64) {
	at := &c.visits[visit]
	if at.gradient == nil {
		at.gradient = make([]float64, len(c.covariance))
	}
	at.present += n * factor
	for k, g := range gradient {
		at.gradient[k] += n * g
	}
}

// correctionOf is how the counts of a method are corrected, by what the settings ask
// for and the survey has; of lines with the detection probability on the line. It is
// false where nothing is corrected, or asked to be.
func correctionOf(s *fieldwork.Season, method string, domains []fieldwork.Domain, t *transect.Lines, two *doubleObserver, passes *removalSample) (m correction, onLine stats.Estimate, ok bool) {
	asked := s.Settings.Missed.Correction
	switch {
	case two != nil && (asked == survey.AsRecorded || asked == survey.Observers):
		if method == result.Line {
			m, onLine = two.onLine(t)
			return m, onLine, true
		}
		return two.correction(s), onLine, true
	case passes != nil && (asked == survey.AsRecorded || asked == survey.Passes):
		m = passes.correction(s)
		if method == result.Line {
			m.reason = passesAlongLines.With("what later passes along a line find gives no information on the line itself, so nothing is corrected " +
				"by it; two observers who note who saw each find would tell")
			m.known = false
		}
		return m, onLine, true
	case len(domains) > 0 && (asked == survey.Observers || asked == survey.Passes):
		return correction{by: asked, reason: notRecorded[asked]}, onLine, true
	}
	return m, onLine, false
}

// notRecorded are the reasons why there is no correction that the settings ask for.
var notRecorded = map[string]stats.Warning{
	survey.Observers: observers.NoTwoObservers.With("the settings ask for a correction by observers, and no visit that counts has two who " +
		"searched on their own, so nothing is corrected"),
	survey.Passes: removal.OnePass.With("the settings ask for a correction by passes, and no day that counts has two passes, so nothing is corrected"),
}

// corrector corrects the densities of a method.
type corrector struct {
	season  *fieldwork.Season
	lines   *transect.Lines
	method  string
	domains []fieldwork.Domain
	m       correction
	onLine  stats.Estimate // of lines, the detection probability on the line
	missed  float64        // probability that a visit misses a fruit body
	returns revisits
}

// newCorrector takes care that what was missed on one visit and recorded on a later one
// is corrected for once.
func newCorrector(s *fieldwork.Season, t *transect.Lines, method string, domains []fieldwork.Domain, m correction, onLine stats.Estimate) corrector {
	miss := 1 - onLine.Value
	if method != result.Line {
		miss = 1 - 1/m.factor
	}
	c := corrector{season: s, lines: t, method: method, domains: domains, m: m, onLine: onLine}
	if m.known && miss > 0 {
		c.missed = miss
		c.returns = revisitsOf(s, domains, miss)
		c.m = m.once(s, c.returns)
	}
	return c
}

// correctedDensity is a row with the estimates that later questions ask for: the
// density and the factor that leads to it from the one counted.
type correctedDensity struct {
	row             CorrectedRow
	density, factor stats.Estimate
}

// rows are those of the survey area and of each stratum, by years since fire.
func (c corrector) rows() ([]correctedDensity, error) {
	var rows []correctedDensity
	strata := make([]correctedDensity, len(c.domains))
	for _, y := range estimate.Groups(c.domains) {
		sets := slices.Clone(y.Areas)
		for j := range y.Places {
			sets = append(sets, []int{j})
		}
		list, err := c.over(fieldwork.Pick(c.domains, y.Places), sets)
		if err != nil {
			return nil, err
		}
		for a, years := range y.Years {
			row := &list[a].row
			row.Stratum, row.Years = c.season.PooledStratum(c.domains), years
			row.Warnings = append(row.Warnings, c.season.NotReached(c.method, c.domains, years)...)
		}
		rows = append(rows, list[:len(y.Years)]...)
		for j, i := range y.Places {
			strata[i] = list[len(y.Years)+j]
			strata[i].row.Stratum, strata[i].row.Years = c.season.Strata[c.domains[i].Stratum].Name, c.domains[i].Years
		}
	}
	for at := range c.season.Strata {
		for i, f := range c.domains {
			if f.Stratum == at {
				rows = append(rows, strata[i])
			}
		}
	}
	return rows, nil
}

// allYears are the domains of all years since fire.
func (c corrector) allYears() []fieldwork.Domain {
	return slices.DeleteFunc(slices.Clone(c.domains), func(f fieldwork.Domain) bool { return f.Years != result.All })
}

// over corrects the densities of some sets of domains, each given by its places among
// members, whose counts tell together of the limits of each.
func (c corrector) over(members []fieldwork.Domain, sets [][]int) ([]correctedDensity, error) {
	list := make([]correctedDensity, len(sets))
	if c.method == result.Line {
		for a, set := range sets {
			var err error
			if list[a], err = c.overLines(fieldwork.Pick(members, set)); err != nil {
				return nil, err
			}
		}
		return list, nil
	}
	strata, together := estimate.Jointly(c.season, members, sets, estimate.AllFinds(members))
	for a, set := range sets {
		list[a] = c.overUnits(fieldwork.Pick(members, set), fieldwork.Pick(strata, set), together[a])
	}
	return list, nil
}

// overUnits corrects what was counted in plots or strips of some domains; raw is the
// density of these together.
func (c corrector) overUnits(members []fieldwork.Domain, counted []estimate.Density, raw estimate.Density) correctedDensity {
	row := CorrectedRow{Method: c.method, Correction: c.m.by, Units: column.Count(fieldwork.UnitsIn(members))}
	row.Finds, row.Counted = column.Count(int(raw.Finds)), result.Of(raw.Estimate)
	if !c.m.known {
		row.Corrected = result.Of(stats.Missing(c.season.Settings.Confidence, raw.N, c.m.reason))
		row.Warnings = append([]stats.Warning{c.m.reason}, c.m.warnings...)
		return correctedDensity{row: row}
	}
	var strata []missed.Stratum
	for i, f := range members {
		h := correctedStratum(c.season, f, c.m)
		h.Counted = counted[i].Estimate
		strata = append(strata, h)
	}
	r := missed.Density(strata, c.m.covariance, estimate.Options(c.season))
	row.Corrected, row.Probability = result.Of(r.Density), result.Of(r.Found)
	row.FromUnits, row.FromMissed = percentOf(r.FromUnits), percentOf(r.FromChance)
	row.Warnings = slices.Concat(r.Density.Warnings, c.m.warnings, c.recordedLater(members))
	if c.method == result.Adaptive {
		row.Warnings = append(row.Warnings, addedBySight.With("plots were added where finds were seen, so finds that were missed may have kept "+
			"some from being added; that is not corrected for"))
	}
	return correctedDensity{row, r.Density, factorOf(r.Found, c.m.factor)}
}

func percentOf(share float64) column.Float { return column.Finite(100 * share) }

// correctedStratum is a domain with its counts and corrected counts.
func correctedStratum(s *fieldwork.Season, f fieldwork.Domain, m correction) missed.Stratum {
	counts := fieldwork.FindsOf(f)
	c := s.CollapsedWith(f)
	h := missed.Stratum{Name: c.Name, Mean: c.Mean, With: c.With, AreaHa: s.Strata[f.Stratum].AreaHa,
		Present: make([]float64, len(f.Units)), Slope: make([]float64, len(m.covariance)), Factor: m.factor}
	for i, e := range f.Units {
		for _, v := range e.Counted {
			here := m.visits[v]
			h.Present[i] += here.present
			for k, g := range here.gradient {
				h.Slope[k] += g
			}
		}
		h.Present[i] = max(h.Present[i], counts[i])
	}
	h.Unlike = f.Grid != nil
	h.Sample = estimate.Sample(s, f, counts)
	return h
}

// onLine is the correction of the densities of lines: the detection probability on
// the line itself, g(0).
func (d *doubleObserver) onLine(t *transect.Lines) (m correction, g0 stats.Estimate) {
	m = correction{by: onTheLine, reason: d.reason, warnings: d.warnings()}
	switch {
	case t.Fit == nil:
		m.reason = t.Reason
	case d.fit != nil:
		m.known = true
		m.warnings = slices.Concat(d.fit.Warnings, m.warnings)
		g0 = d.fit.OnLine(d.distance)
	}
	return m, g0
}

// onTheLine is the correction of lines that two observers walked.
const onTheLine = "observers on the line"

// overLines divides the density of lines of some domains by the detection probability
// on the line.
func (c corrector) overLines(members []fieldwork.Domain) (correctedDensity, error) {
	row := CorrectedRow{Method: result.Line, Correction: c.m.by, Units: column.Count(fieldwork.UnitsIn(members))}
	found := c.returns.found(members, c.onLine)
	if !c.m.known {
		found.Value = math.NaN()
	}
	f, r, err := c.lines.Corrected(members, found)
	if err != nil {
		return correctedDensity{}, err
	}
	row.Finds, row.Counted = column.Count(int(f.Finds)), result.Of(f.Estimate)
	if !c.m.known {
		row.Corrected = result.Of(stats.Missing(c.season.Settings.Confidence, f.N, c.m.reason))
		row.Warnings = append([]stats.Warning{c.m.reason}, c.m.warnings...)
		return correctedDensity{row: row}, nil
	}
	row.Corrected, row.Probability = result.Of(r.Density), result.Of(found)
	for _, p := range r.Parts {
		switch p.Source {
		case lines.FromUnits:
			row.FromUnits = percentOf(p.Share)
		case lines.FromLine:
			row.FromMissed = percentOf(p.Share)
		default: // the detection function, and the sizes that follow from it
			row.FromDistance = column.Finite(row.FromDistance.Or(0) + 100*p.Share)
		}
	}
	row.Warnings = slices.Concat(r.Density.Warnings, c.lines.Warnings, c.m.warnings, c.season.WarningsOf(members), c.recordedLater(members))
	return correctedDensity{row, r.Density, chain.Inverse(found)}, nil
}
