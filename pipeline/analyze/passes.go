package analyze

import (
	"fmt"
	"slices"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/removal"
)

// searchDay is one day's search of a unit, pass by pass.
type searchDay struct {
	stratum int
	visits  []int
	catches []float64 // fruit bodies of each pass
	whole   bool      // passes are numbered from 1 without a gap
}

// passed is what the passes of a method tell.
type passed struct {
	method string
	pooled string // of its strata: All, or Reached
	days   []searchDay
	gaps   int // days whose passes have a gap
	single int // days of one pass
	fit    *removal.Fit
	err    error
}

// passes gathers the days of search of a method's units that count; nil where
// none had two passes.
func (s *Season) passes(method string, elements []fieldwork.UnitSeason) *passed {
	p := &passed{method: method}
	totals := s.totals()
	several := false
	for _, e := range elements {
		for _, visits := range s.Days(e.Counted) {
			d := searchDay{stratum: e.Unit.Stratum, visits: visits, whole: true}
			for k, v := range visits {
				d.catches = append(d.catches, totals[v])
				d.whole = d.whole && s.Visits[v].Pass == int64(k+1)
			}
			several = several || len(visits) > 1
			p.gaps += stats.Indicator(!d.whole)
			p.single += stats.Indicator(len(visits) == 1)
			p.days = append(p.days, d)
		}
	}
	if !several {
		return nil
	}
	p.fit, p.err = removal.Zippin(p.catches(-1), s.Settings.Confidence)
	return p
}

// catches are those of each day in a stratum (-1: in all) whose passes have no gap.
func (p *passed) catches(stratum int) [][]float64 {
	var units [][]float64
	for _, d := range p.days {
		if d.whole && (stratum < 0 || d.stratum == stratum) {
			units = append(units, d.catches)
		}
	}
	return units
}

func (p *passed) doubts() []stats.Warning {
	var w []stats.Warning
	if p.single > 0 {
		w = append(w, stats.Warning{Code: "single-passes", Text: fmt.Sprintf("%d of %d searches were a single pass; what they missed is made up for as if each was as thorough as a first pass of the others", p.single, len(p.days))})
	}
	if p.gaps > 0 {
		w = append(w, stats.Warning{Code: "pass-gap", Text: fmt.Sprintf("the passes of %d searches are not numbered from 1 without a gap; they tell nothing of what was missed, and are made up for as if only the passes with a row were made; give a pass without finds its row in the visits", p.gaps)})
	}
	return w
}

// makeUp is what each visit's finds were with those missed.
func (p *passed) makeUp() makeUp {
	m := makeUp{by: survey.Passes, doubts: p.doubts()}
	if p.fit == nil {
		m.reason = removal.Reason(p.err)
		return m
	}
	m.known = true
	m.doubts = slices.Concat(p.fit.Warnings, m.doubts)
	m.chance = [][]float64{{p.fit.Variance()}}
	m.visits = map[int]made{}
	for _, d := range p.days {
		k := len(d.visits)
		for at, v := range d.visits {
			if d.catches[at] > 0 {
				m.add(v, d.catches[at], p.fit.CorrectionFactor(k), []float64{p.fit.Slope(k)})
			}
		}
	}
	m.factor = p.fit.Present.Value / p.fit.Found
	return m
}

// rows tell of the passes over all of a method's units, and over those of each
// stratum that had several, each by its own catches.
func (p *passed) rows(s *Season) []PassRow {
	rows := p.rowsOf(s, p.pooled, -1)
	if len(s.Strata) == 1 {
		return rows
	}
	for at, h := range s.Strata {
		if slices.ContainsFunc(p.days, func(d searchDay) bool { return d.stratum == at && len(d.visits) > 1 }) {
			rows = append(rows, p.rowsOf(s, h.Name, at)...)
		}
	}
	return rows
}

// The estimators of results/passes.
const (
	zippin     = "zippin"
	carleStrub = "carle-strub"
)

func (p *passed) rowsOf(s *Season, stratum string, at int) []PassRow {
	units := p.catches(at)
	row := PassRow{Method: p.method, Stratum: stratum, Estimator: zippin, Selected: column.Bool{Value: fieldwork.OverStrata(stratum) && p.fit != nil, Known: true}}
	describeCatches(&row, units)
	other := row
	other.Estimator, other.Selected.Value = carleStrub, false
	f, err := removal.Zippin(units, s.Settings.Confidence)
	if err != nil {
		row.Warnings = []stats.Warning{removal.Reason(err)}
	} else {
		row.Chance, row.Together, row.Present, row.FitP = figures(f.Chance), figures(f.Together), figures(f.Present), column.Finite(f.FitP)
		row.Warnings = f.Warnings
	}
	if fieldwork.OverStrata(stratum) {
		row.Warnings = slices.Concat(row.Warnings, p.doubts())
	}
	other.weighted(units)
	return []PassRow{row, other}
}

func describeCatches(row *PassRow, units [][]float64) {
	var by []float64
	searches, found := 0, 0.0
	for _, unit := range units {
		found += fieldwork.Sum(unit)
		if len(unit) < 2 {
			continue // what a single pass found tells nothing of how catches fall
		}
		searches++
		for k, n := range unit {
			if k == len(by) {
				by = append(by, 0)
			}
			by[k] += n
		}
	}
	texts := make([]string, len(by))
	for k, n := range by {
		texts[k] = fmt.Sprintf("%.0f", n)
	}
	row.Searches, row.Passes, row.Found = column.Count(searches), column.Count(len(by)), column.Count(int(found))
	row.Catches = strings.Join(texts, "; ")
}

// weighted fills in the answer of Carle and Strub, which takes all units for
// one and so asks for as many passes over each.
func (r *PassRow) weighted(units [][]float64) {
	var by []float64
	for _, unit := range units {
		if by == nil {
			by = make([]float64, len(unit))
		}
		if len(unit) != len(by) || len(by) < 2 {
			r.Warnings = []stats.Warning{{Code: "passes-differ", Text: "searches differ in their number of passes, which this estimator does not allow"}}
			return
		}
		for k, n := range unit {
			by[k] += n
		}
	}
	if len(by) < 2 {
		r.Warnings = []stats.Warning{removal.Reason(removal.ErrOnePass)}
		return
	}
	n, p := removal.CarleStrub(by)
	r.Present.Value, r.Chance.Value = column.Finite(n), column.Finite(p)
	r.Warnings = []stats.Warning{{Code: "no-interval", Text: "shown beside the other estimator, without a standard error; nothing is made up for by it"}}
	if n == 0 {
		r.Warnings = append(r.Warnings, removal.Reason(removal.ErrNothing))
		return
	}
	r.Together.Value = column.Finite(float64(r.Found.Value) / n)
}
