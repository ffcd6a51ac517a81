package detectability

import (
	"fmt"
	"slices"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
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

// removalSample is the catches of a method's repeated passes, and the removal model
// that is fitted to them.
type removalSample struct {
	method string
	pooled string // of its strata: result.All, or result.Reached
	days   []searchDay
	gaps   int // days whose passes have a gap
	single int // days of one pass
	fit    *removal.Fit
	err    error
}

// newRemoval gathers the days of search of some unit-seasons; nil where none had two
// passes.
func newRemoval(s *fieldwork.Season, method string, seasons []fieldwork.UnitSeason) *removalSample {
	p := &removalSample{method: method}
	totals := totalsOf(s)
	several := false
	for _, e := range seasons {
		for _, visits := range s.Days(e.Counted) {
			d := searchDay{stratum: e.Unit.Stratum, visits: visits, whole: true}
			for k, v := range visits {
				d.catches = append(d.catches, totals[v])
				d.whole = d.whole && s.Visits[v].Pass == int32(k+1)
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
func (p *removalSample) catches(stratum int) [][]float64 {
	var units [][]float64
	for _, d := range p.days {
		if d.whole && (stratum < 0 || d.stratum == stratum) {
			units = append(units, d.catches)
		}
	}
	return units
}

// warnings are those that the visits give reason for, beside those of the fit.
func (p *removalSample) warnings() []stats.Warning {
	var w []stats.Warning
	if p.single > 0 {
		w = append(w, singlePasses.With("%d of %d searches were a single pass; counts are corrected as if each had the detection probability of a "+
			"first pass of the others", p.single, len(p.days)))
	}
	if p.gaps > 0 {
		w = append(w, passGap.With("the passes of %d searches are not numbered from 1 without a gap; they give no information on detection, and "+
			"are corrected as if only the passes with a row were made; give a pass without finds its row in the visits", p.gaps))
	}
	return w
}

// correction corrects each visit's count by the share that the passes of its day
// found.
func (p *removalSample) correction(s *fieldwork.Season) correction {
	m := correction{by: survey.Passes, warnings: p.warnings()}
	if p.fit == nil {
		m.reason = removal.Reason(p.err)
		return m
	}
	m.known = true
	m.warnings = slices.Concat(p.fit.Warnings, m.warnings)
	m.covariance = [][]float64{{p.fit.Variance()}}
	m.visits = make([]corrected, len(s.Visits))
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

// rows are those of results/passes: of all units of the method, and of each stratum
// that had several passes, by its own catches.
func (p *removalSample) rows(s *fieldwork.Season) []PassRow {
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

func (p *removalSample) rowsOf(s *fieldwork.Season, stratum string, at int) []PassRow {
	units := p.catches(at)
	row := PassRow{Method: p.method, Stratum: stratum, Estimator: zippin, Selected: column.Bool{Value: fieldwork.OverStrata(stratum) && p.fit != nil, Known: true}}
	describeCatches(&row, units)
	other := row
	other.Estimator, other.Selected.Value = carleStrub, false
	f, err := removal.Zippin(units, s.Settings.Confidence)
	if err != nil {
		row.Warnings = []stats.Warning{removal.Reason(err)}
	} else {
		row.Probability, row.Together, row.Present, row.FitP = result.Of(f.Chance), result.Of(f.Together), result.Of(f.Present), column.Finite(f.FitP)
		row.Warnings = f.Warnings
	}
	if fieldwork.OverStrata(stratum) {
		row.Warnings = slices.Concat(row.Warnings, p.warnings())
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

// weighted fills in the weighted likelihood estimate of Carle and Strub, which pools
// units and so asks for as many passes over each.
func (r *PassRow) weighted(units [][]float64) {
	var by []float64
	for _, unit := range units {
		if by == nil {
			by = make([]float64, len(unit))
		}
		if len(unit) != len(by) || len(by) < 2 {
			r.Warnings = []stats.Warning{passesDiffer.With("searches differ in their number of passes, which this estimator does not allow")}
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
	r.Present.Value, r.Probability.Value = column.Finite(n), column.Finite(p)
	r.Warnings = []stats.Warning{noInterval.With("shown beside the other estimator, without a standard error; nothing is corrected by it")}
	if n == 0 {
		r.Warnings = append(r.Warnings, removal.Reason(removal.ErrNothing))
		return
	}
	r.Together.Value = column.Finite(float64(r.Found.Value) / n)
}
