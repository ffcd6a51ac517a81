package analyze

import (
	"context"
	"fmt"
	"math"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate"
	"ashtally/pipeline/estimate/transect"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/detect/lines"
	"ashtally/stats/missed"
)

// makeUp is what a method's densities are made up by.
type makeUp struct {
	by     string        // observers or passes
	known  bool          // whether anything can be made up
	reason stats.Warning // why not
	visits map[int]made  // those with finds
	chance missed.Chance // covariance of the parameters
	factor float64       // there were for each found, over all
	doubts []stats.Warning
}

// made is what stood at a visit, those missed among them, with its slope by
// the parameters of the chance to be found.
type made struct {
	present float64
	slope   []float64
}

func (m *makeUp) add(visit int, n, factor float64, gradient []float64) {
	at, ok := m.visits[visit]
	if !ok {
		at.slope = make([]float64, len(m.chance))
	}
	at.present += n * factor
	for k, g := range gradient {
		at.slope[k] += n * g
	}
	m.visits[visit] = at
}

// missedAnswers are the tables and figures of what was missed.
type missedAnswers struct {
	observers []ObserverRow
	passes    []PassRow
	corrected []CorrectedRow
	shares    []SeenShares
}

// missed answers, for each method whose visits can tell, what was missed.
func (s *Season) missed(ctx context.Context, elements []fieldwork.UnitSeason, t *transect.Lines) (missedAnswers, error) {
	var a missedAnswers
	for _, method := range s.DensityMethods() {
		if err := ctx.Err(); err != nil {
			return a, err
		}
		frames, truncation := s.Domains(method, elements), 0.0
		if method == LineMethod {
			frames, truncation = t.Domains, t.Range.Right
		}
		var here []fieldwork.UnitSeason
		for _, f := range frames {
			if f.Years == All {
				here = append(here, f.Units...)
			}
		}
		two, passes := s.twoObservers(method, here, truncation), s.passes(method, here)
		if two != nil {
			two.pooled = s.PooledStratum(frames)
			a.observers = append(a.observers, two.rows(s)...)
			a.shares = append(a.shares, two.shares())
		}
		if passes != nil {
			passes.pooled = s.PooledStratum(frames)
			a.passes = append(a.passes, passes.rows(s)...)
		}
		rows, err := s.correctedBy(method, frames, t, two, passes)
		if err != nil {
			return a, err
		}
		a.corrected = append(a.corrected, rows...)
	}
	return a, nil
}

// correctedBy makes the densities of a method up by what the settings ask for and the survey has.
func (s *Season) correctedBy(method string, frames []fieldwork.Domain, t *transect.Lines, two *doubled, passes *passed) ([]CorrectedRow, error) {
	asked := s.Settings.Missed.Correction
	switch {
	case two != nil && (asked == survey.AsRecorded || asked == survey.Observers):
		if method == LineMethod {
			m, onLine := two.onLine(t)
			return s.correctedLines(t, m, onLine)
		}
		return s.correctedRows(method, frames, two.makeUp(s)), nil
	case passes != nil && (asked == survey.AsRecorded || asked == survey.Passes):
		m := passes.makeUp()
		if method == LineMethod {
			m.reason = stats.Warning{Code: "passes-along-lines", Text: "what later passes along a line find says nothing of the line itself, so nothing is made up for by it; two observers who note who saw each find would tell"}
			m.known = false
			return s.correctedLines(t, m, stats.Estimate{})
		}
		return s.correctedRows(method, frames, m), nil
	case len(frames) > 0 && (asked == survey.Observers || asked == survey.Passes):
		m := makeUp{by: asked, reason: notRecorded[asked]}
		if method == LineMethod {
			return s.correctedLines(t, m, stats.Estimate{})
		}
		return s.correctedRows(method, frames, m), nil
	}
	return nil, nil
}

// notRecorded are the reasons why what the settings ask for cannot be had.
var notRecorded = map[string]stats.Warning{
	survey.Observers: {Code: "no-two-observers", Text: "the settings ask for a correction by observers, and no visit that counts has two who searched on their own, so nothing is corrected"},
	survey.Passes:    {Code: "one-pass", Text: "the settings ask for a correction by passes, and no day that counts has two passes, so nothing is corrected"},
}

// correctedRows are those of the land and of each stratum, by years since fire.
func (s *Season) correctedRows(method string, frames []fieldwork.Domain, m makeUp) []CorrectedRow {
	counted := make([]estimate.Density, len(frames))
	var rows []CorrectedRow
	for _, y := range estimate.Groups(frames) {
		members := fieldwork.Pick(frames, y.Places)
		strata, areas := estimate.Jointly(s.Season, members, y.Areas, estimate.AllFinds(members))
		for j, i := range y.Places {
			counted[i] = strata[j]
		}
		for a, years := range y.Years {
			row := s.correctedRow(method, fieldwork.Pick(members, y.Areas[a]), fieldwork.Pick(strata, y.Areas[a]), areas[a], m)
			row.Stratum, row.Years = s.PooledStratum(frames), years
			row.Warnings = append(row.Warnings, s.NotReached(method, frames, years)...)
			rows = append(rows, row)
		}
	}
	for at, stratum := range s.Strata {
		for i, f := range frames {
			if f.Stratum != at {
				continue
			}
			row := s.correctedRow(method, []fieldwork.Domain{f}, counted[i:i+1], counted[i], m)
			row.Stratum, row.Years = stratum.Name, f.Years
			rows = append(rows, row)
		}
	}
	return rows
}

// correctedRow corrects what was counted in some frames; raw is the density of
// these together.
func (s *Season) correctedRow(method string, members []fieldwork.Domain, counted []estimate.Density, raw estimate.Density, m makeUp) CorrectedRow {
	row := CorrectedRow{Method: method, Correction: m.by, Units: column.Count(fieldwork.UnitsIn(members))}
	var strata []missed.Stratum
	for i, f := range members {
		h := s.madeUp(f, m)
		h.Counted = counted[i].Estimate
		strata = append(strata, h)
	}
	row.Finds, row.Counted = column.Count(int(raw.Finds)), figures(raw.Estimate)
	if !m.known {
		row.Corrected = figures(stats.Missing(s.Settings.Confidence, raw.N, m.reason))
		row.Warnings = append([]stats.Warning{m.reason}, m.doubts...)
		return row
	}
	r := missed.Density(strata, m.chance, estimate.Options(s.Season))
	row.Corrected, row.Chance, row.DF = figures(r.Density), figures(r.Found), column.Finite(r.Density.DF)
	row.FromUnits, row.FromMissed = percentOf(r.FromUnits), percentOf(r.FromChance)
	row.Warnings = slices.Concat(r.Density.Warnings, m.doubts, s.mayReturn(members))
	if method == AdaptiveMethod {
		row.Warnings = append(row.Warnings, stats.Warning{Code: "added-by-sight", Text: "plots were added where finds were seen, so what was missed may have kept some from being added; that is not made up for"})
	}
	return row
}

func percentOf(share float64) column.Float { return column.Finite(100 * share) }

// madeUp is a frame with what was counted and what was there.
func (s *Season) madeUp(f fieldwork.Domain, m makeUp) missed.Stratum {
	counts := fieldwork.FindsOf(f)
	c := s.CollapsedWith(f)
	h := missed.Stratum{Name: c.Name, Mean: c.Mean, With: c.With, AreaHa: s.Strata[f.Stratum].AreaHa, Present: make([]float64, len(f.Units)), Slope: make([]float64, len(m.chance)), Factor: m.factor}
	for i, e := range f.Units {
		for _, v := range e.Counted {
			here, ok := m.visits[v]
			if !ok {
				continue
			}
			h.Present[i] += here.present
			for k, g := range here.slope {
				h.Slope[k] += g
			}
		}
		h.Present[i] = max(h.Present[i], counts[i])
	}
	h.Unlike = f.Grid != nil
	h.Sample = estimate.Sample(s.Season, f, counts)
	return h
}

// mayReturn is the doubt of a season that is a sum of days: what one day
// missed another may have recorded as new.
func (s *Season) mayReturn(members []fieldwork.Domain) []stats.Warning {
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
	return []stats.Warning{{Code: "missed-may-return", Text: fmt.Sprintf(
		"%d of %d units were searched on several days, and a season is their sum: a fruit body that was missed on one day and still stood on the next was recorded then, and is made up for all the same; unless days lie so far apart that none stands on two, the figure is too high", n, all)}}
}

// onLine is what the densities of lines are made up by: the chance that what
// lies on the line itself is seen.
func (d *doubled) onLine(t *transect.Lines) (m makeUp, chance stats.Estimate) {
	m = makeUp{by: onTheLine, reason: d.reason, doubts: d.doubts()}
	switch {
	case t.Fit == nil:
		m.reason = t.Reason
	case d.fit != nil:
		m.known = true
		m.doubts = slices.Concat(d.fit.Warnings, m.doubts)
		chance = d.fit.OnLine(d.distance)
	}
	return m, chance
}

// correctedLines divides the densities of lines by the chance on the line.
func (s *Season) correctedLines(t *transect.Lines, m makeUp, onLine stats.Estimate) ([]CorrectedRow, error) {
	var rows []CorrectedRow
	add := func(members []fieldwork.Domain, stratum, years string, more []stats.Warning) error {
		row, err := s.correctedLine(t, members, m, onLine)
		row.Stratum, row.Years = stratum, years
		row.Warnings = append(row.Warnings, more...)
		rows = append(rows, row)
		return err
	}
	for _, years := range append([]string{All}, fieldwork.YearClasses(t.Domains)...) {
		members := slices.DeleteFunc(slices.Clone(t.Domains), func(f fieldwork.Domain) bool { return f.Years != years })
		if err := add(members, s.PooledStratum(t.Domains), years, s.NotReached(LineMethod, t.Domains, years)); err != nil {
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

// onTheLine is the correction of lines that two walked.
const onTheLine = "observers on the line"

func (s *Season) correctedLine(t *transect.Lines, members []fieldwork.Domain, m makeUp, onLine stats.Estimate) (CorrectedRow, error) {
	row := CorrectedRow{Method: LineMethod, Correction: m.by, Units: column.Count(fieldwork.UnitsIn(members))}
	if !m.known {
		onLine.Value = math.NaN()
	}
	f, r, err := t.Corrected(members, onLine)
	if err != nil {
		return row, err
	}
	row.Finds, row.Counted = column.Count(int(f.Finds)), figures(f.Estimate)
	if !m.known {
		row.Corrected = figures(stats.Missing(s.Settings.Confidence, f.N, m.reason))
		row.Warnings = append([]stats.Warning{m.reason}, m.doubts...)
		return row, nil
	}
	row.Corrected, row.Chance, row.DF = figures(r.Density), figures(onLine), column.Finite(r.Density.DF)
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
	row.Warnings = slices.Concat(r.Density.Warnings, t.Warnings, m.doubts, s.WarningsOf(members), s.mayReturn(members))
	return row, nil
}
