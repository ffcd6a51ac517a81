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
	"ashtally/stats/detect/lines"
	"ashtally/stats/missed"
	"ashtally/stats/observers"
	"ashtally/stats/removal"
)

// correction is how the counts of a method are corrected for imperfect detection.
type correction struct {
	by         string            // observers or passes
	known      bool              // whether there is one
	reason     stats.Warning     // why not
	visits     map[int]corrected // those with finds
	covariance missed.Chance     // of the parameters of the detection probability
	factor     float64           // present over counted, over all
	warnings   []stats.Warning
}

// corrected is the corrected count of a visit, with its derivatives by the parameters
// of the detection probability.
type corrected struct {
	present  float64
	gradient []float64
}

// add counts n at a visit, times a factor of correction with its gradient.
func (c *correction) add(visit int, n, factor float64, gradient []float64) {
	at, ok := c.visits[visit]
	if !ok {
		at.gradient = make([]float64, len(c.covariance))
	}
	at.present += n * factor
	for k, g := range gradient {
		at.gradient[k] += n * g
	}
	c.visits[visit] = at
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
		m = passes.correction()
		if method == result.Line {
			m.reason = passesAlongLines.With("what later passes along a line find says nothing of the line itself, so nothing is made up for by it; two observers who note who saw each find would tell")
			m.known = false
		}
		return m, onLine, true
	case len(domains) > 0 && (asked == survey.Observers || asked == survey.Passes):
		return correction{by: asked, reason: notRecorded[asked]}, onLine, true
	}
	return m, onLine, false
}

// correctedBy corrects the densities of a method.
func correctedBy(s *fieldwork.Season, method string, domains []fieldwork.Domain, t *transect.Lines, m correction, onLine stats.Estimate) ([]CorrectedRow, error) {
	if method == result.Line {
		return correctedLines(s, t, m, onLine)
	}
	return correctedRows(s, method, domains, m), nil
}

// notRecorded are the reasons why there is no correction that the settings ask for.
var notRecorded = map[string]stats.Warning{
	survey.Observers: observers.NoTwoObservers.With("the settings ask for a correction by observers, and no visit that counts has two who searched on their own, so nothing is corrected"),
	survey.Passes:    removal.OnePass.With("the settings ask for a correction by passes, and no day that counts has two passes, so nothing is corrected"),
}

// correctedRows are those of the survey area and of each stratum, by years since fire.
func correctedRows(s *fieldwork.Season, method string, domains []fieldwork.Domain, m correction) []CorrectedRow {
	counted := make([]estimate.Density, len(domains))
	var rows []CorrectedRow
	for _, y := range estimate.Groups(domains) {
		members := fieldwork.Pick(domains, y.Places)
		strata, areas := estimate.Jointly(s, members, y.Areas, estimate.AllFinds(members))
		for j, i := range y.Places {
			counted[i] = strata[j]
		}
		for a, years := range y.Years {
			row := correctedRow(s, method, fieldwork.Pick(members, y.Areas[a]), fieldwork.Pick(strata, y.Areas[a]), areas[a], m)
			row.Stratum, row.Years = s.PooledStratum(domains), years
			row.Warnings = append(row.Warnings, s.NotReached(method, domains, years)...)
			rows = append(rows, row)
		}
	}
	for at, stratum := range s.Strata {
		for i, f := range domains {
			if f.Stratum != at {
				continue
			}
			row := correctedRow(s, method, []fieldwork.Domain{f}, counted[i:i+1], counted[i], m)
			row.Stratum, row.Years = stratum.Name, f.Years
			rows = append(rows, row)
		}
	}
	return rows
}

// correctedRow corrects what was counted in some domains; raw is the density of
// these together.
func correctedRow(s *fieldwork.Season, method string, members []fieldwork.Domain, counted []estimate.Density, raw estimate.Density, m correction) CorrectedRow {
	row := CorrectedRow{Method: method, Correction: m.by, Units: column.Count(fieldwork.UnitsIn(members))}
	var strata []missed.Stratum
	for i, f := range members {
		h := correctedStratum(s, f, m)
		h.Counted = counted[i].Estimate
		strata = append(strata, h)
	}
	row.Finds, row.Counted = column.Count(int(raw.Finds)), result.Of(raw.Estimate)
	if !m.known {
		row.Corrected = result.Of(stats.Missing(s.Settings.Confidence, raw.N, m.reason))
		row.Warnings = append([]stats.Warning{m.reason}, m.warnings...)
		return row
	}
	r := missed.Density(strata, m.covariance, estimate.Options(s))
	row.Corrected, row.Probability = result.Of(r.Density), result.Of(r.Found)
	row.FromUnits, row.FromMissed = percentOf(r.FromUnits), percentOf(r.FromChance)
	row.Warnings = slices.Concat(r.Density.Warnings, m.warnings, mayReturn(s, members))
	if method == result.Adaptive {
		row.Warnings = append(row.Warnings, addedBySight.With("plots were added where finds were seen, so what was missed may have kept some from being added; that is not made up for"))
	}
	return row
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
			here, ok := m.visits[v]
			if !ok {
				continue
			}
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

// mayReturn is the warning of a season that is a sum of days: what was missed on one
// day may have been recorded as new on another.
func mayReturn(s *fieldwork.Season, members []fieldwork.Domain) []stats.Warning {
	if s.Settings.Counting.Rule != survey.New {
		return nil
	}
	n, all := 0, 0
	for _, f := range members {
		for _, e := range f.Units {
			all++
			n += stats.Indicator(len(s.Days(e.Counted)) > 1)
		}
	}
	if n == 0 {
		return nil
	}
	return []stats.Warning{missedMayReturn.With("%d of %d units were searched on several days, and a season is their sum: a fruit body that was missed on one day and still stood on the next was recorded then, and is made up for all the same; unless days lie so far apart that none stands on two, the figure is too high", n, all)}
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

// correctedLines divides the densities of lines by the detection probability on the
// line.
func correctedLines(s *fieldwork.Season, t *transect.Lines, m correction, onLine stats.Estimate) ([]CorrectedRow, error) {
	var rows []CorrectedRow
	add := func(members []fieldwork.Domain, stratum, years string, more []stats.Warning) error {
		row, err := correctedLine(s, t, members, m, onLine)
		row.Stratum, row.Years = stratum, years
		row.Warnings = append(row.Warnings, more...)
		rows = append(rows, row)
		return err
	}
	for _, years := range append([]string{result.All}, fieldwork.YearClasses(t.Domains)...) {
		members := slices.DeleteFunc(slices.Clone(t.Domains), func(f fieldwork.Domain) bool { return f.Years != years })
		if err := add(members, s.PooledStratum(t.Domains), years, s.NotReached(result.Line, t.Domains, years)); err != nil {
			return nil, err
		}
	}
	for at, stratum := range s.Strata {
		for _, f := range t.Domains {
			if f.Stratum != at {
				continue
			}
			if err := add([]fieldwork.Domain{f}, stratum.Name, f.Years, nil); err != nil {
				return nil, err
			}
		}
	}
	return rows, nil
}

// onTheLine is the correction of lines that two observers walked.
const onTheLine = "observers on the line"

func correctedLine(s *fieldwork.Season, t *transect.Lines, members []fieldwork.Domain, m correction, onLine stats.Estimate) (CorrectedRow, error) {
	row := CorrectedRow{Method: result.Line, Correction: m.by, Units: column.Count(fieldwork.UnitsIn(members))}
	if !m.known {
		onLine.Value = math.NaN()
	}
	f, r, err := t.Corrected(members, onLine)
	if err != nil {
		return row, err
	}
	row.Finds, row.Counted = column.Count(int(f.Finds)), result.Of(f.Estimate)
	if !m.known {
		row.Corrected = result.Of(stats.Missing(s.Settings.Confidence, f.N, m.reason))
		row.Warnings = append([]stats.Warning{m.reason}, m.warnings...)
		return row, nil
	}
	row.Corrected, row.Probability = result.Of(r.Density), result.Of(onLine)
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
	row.Warnings = slices.Concat(r.Density.Warnings, t.Warnings, m.warnings, s.WarningsOf(members), mayReturn(s, members))
	return row, nil
}
