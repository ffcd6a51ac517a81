package analyze

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/season"
)

// totals makes up for what the visits could not see, by the curve of all units:
// for each method the land as a whole, then each stratum.
func (y *yearly) totals(whole *season.Flush, others []otherStanding) []SeasonTotalRow {
	var rows []SeasonTotalRow
	for _, method := range y.season.methods() {
		if method == AddedMethod {
			continue // plots beside rich ones stand for no part of the land
		}
		var frames []frame
		for _, f := range y.season.frames(method, y.elements) {
			if f.years == All {
				frames = append(frames, f)
			}
		}
		land := y.totalRow(method, y.season.pooledStratum(frames), frames, whole)
		land.Warnings = append(land.Warnings, y.standingWarning(land, method, frames, others)...)
		land.Warnings = append(land.Warnings, y.season.missedWarning(method, frames, All)...)
		rows = append(rows, land)
		for at, h := range y.season.strata {
			i := slices.IndexFunc(frames, func(f frame) bool { return f.stratum == at })
			if i < 0 {
				rows = append(rows, y.totalRow(method, h.name, nil, whole))
				continue
			}
			rows = append(rows, y.totalRow(method, h.name, frames[i:i+1], whole))
		}
	}
	return rows
}

func (y *yearly) totalRow(method, stratum string, frames []frame, whole *season.Flush) SeasonTotalRow {
	row := SeasonTotalRow{Method: method, Stratum: stratum, Year: y.year, Figure: SeasonFigure}
	if y.season.settings.Counting.Rule == survey.Standing {
		row.Figure = PeakFigure
	}
	parts := make([]season.Part, len(frames))
	var units int
	var area, finds, found, land float64
	for k, f := range frames {
		parts[k].Stratum, parts[k].LandHa = y.season.choice(f), y.season.strata[f.stratum].landHa
		var here float64
		for _, e := range f.elements {
			i := y.at(e)
			parts[k].Plans, parts[k].Count = append(parts[k].Plans, y.plan(i)), append(parts[k].Count, y.yield(i))
			here += float64(e.finds())
		}
		units += len(f.elements)
		finds += here
		area += sum(f.areaHa)
		found += parts[k].LandHa * here / sum(f.areaHa)
		land += parts[k].LandHa
	}
	row.Units, row.Finds = column.Count(units), column.Count(int(finds))
	if method == LineMethod {
		return row.without(y.season, stats.Warning{Code: "lines-not-totalled", Text: "what is found along a line thins out with distance; the density of lines makes up for that, and no season is worked out from it"})
	}
	row.SearchedHa = column.Finite(area)
	if units == 0 {
		return row.without(y.season, stats.Warning{Code: "no-units", Text: fmt.Sprintf("no %s was searched here in %d", method, y.year)})
	}
	row.FoundPerHa = column.Finite(found / land)
	return row.with(whole.Total(parts), frames)
}

func (r SeasonTotalRow) without(s *Season, reason stats.Warning) SeasonTotalRow {
	r.Estimate, r.Warnings = figures(stats.Missing(s.settings.Confidence, 0, reason)), []stats.Warning{reason}
	return r
}

func (r SeasonTotalRow) with(t season.Total, frames []frame) SeasonTotalRow {
	r.Estimate, r.Seen, r.Warnings = figures(t.Estimate), column.Finite(t.Seen), t.Warnings
	switch {
	case !r.Value.Known:
	case t.Observed:
		r.Basis = Observed
	default:
		r.Basis = Extrapolated
	}
	codes := map[string]bool{"unequal-visits": true, "one-visit": true} // the curve makes up for these
	for _, f := range frames {
		for _, w := range f.warnings {
			if !codes[w.Code] {
				codes[w.Code] = true
				r.Warnings = append(r.Warnings, w)
			}
		}
	}
	return r
}

// at is the place of an element of this year.
func (y *yearly) at(e element) int {
	i, _ := slices.BinarySearchFunc(y.elements, e, func(a, b element) int {
		return cmp.Or(cmp.Compare(a.unit.stratum, b.unit.stratum), cmp.Compare(a.unit.id, b.unit.id))
	})
	return i
}

// yield is all that the visits to an element recorded.
func (y *yearly) yield(i int) float64 {
	var n float64
	for _, at := range y.of[i] {
		n += y.visits[at].count
	}
	return n
}

func sum(x []float64) float64 {
	var s float64
	for _, v := range x {
		s += v
	}
	return s
}

// unitRows says of each unit what its visits could see.
func (y *yearly) unitRows(whole *season.Flush) []SeasonUnitRow {
	plans := make([]season.Plan, len(y.elements))
	for i := range plans {
		plans[i] = y.plan(i)
	}
	seen := whole.Seen(plans)
	var rows []SeasonUnitRow
	for _, method := range y.season.methods() {
		for i, e := range y.elements {
			if e.unit.method != method {
				continue
			}
			days := y.of[i]
			row := SeasonUnitRow{
				Method: method, Stratum: y.season.strata[e.unit.stratum].name, Unit: e.unit.id, Year: y.year,
				Roadside: column.Bool{Value: e.unit.roadside, Known: true}, Visits: column.Count(len(days)), Finds: column.Count(int(y.yield(i))),
				First: column.DateInYear(y.year, int(y.visits[days[0]].to)), Last: column.DateInYear(y.year, int(y.visits[days[len(days)-1]].to)),
				Seen: column.Finite(seen.Each[i]),
			}
			row.Peak, row.Warnings = y.peakOn(whole, plans[i])
			rows = append(rows, row)
		}
	}
	return rows
}

// peakOn is the day of the peak on a unit, and why there is none.
func (y *yearly) peakOn(whole *season.Flush, p season.Plan) (column.Date, []stats.Warning) {
	if whole.None != nil {
		return column.Date{}, []stats.Warning{*whole.None}
	}
	day := whole.Peak.Value + (whole.Peak.Value - whole.AtReference(p, whole.Peak.Value))
	if math.Abs(day) > farthestDay {
		return column.Date{}, nil
	}
	return column.DateInYear(y.year, int(math.Round(day))), nil
}

// otherStanding is a season with another guess of how long fruit bodies stand.
type otherStanding struct {
	*yearly
	whole season.Flush
}

// How much shorter and longer the days that a fruit body stands may well be:
// nobody knows them to better than that. Nor do the visits tell: a fruit body is
// recorded once and has no name, so that nothing says how long it still stood,
// and the curve takes up what windows of other lengths would change. In made-up
// seasons of 60 and 120 units, half and twice the true days lowered the
// log-likelihood by less than 0.1 on the mean, by 0.7 at most.
var standingFactors = []float64{0.7, 1.4}

// otherStandings fits the season with fruit bodies that stand for a shorter and
// a longer time. There are none where that does not come into it.
func (s *Season) otherStandings(year int, elements []element, byVisit [][]groupCount, whole *season.Flush) []otherStanding {
	if whole.None != nil || s.settings.Counting.Rule == survey.Standing {
		return nil
	}
	list := make([]otherStanding, len(standingFactors))
	var fits sync.WaitGroup
	for i, by := range standingFactors {
		fits.Go(func() {
			y := s.newYear(year, by*s.settings.Curve.StandingDays, elements, byVisit)
			all := flushGroup{key: WholeSeason(year), members: indices(len(y.elements))}
			list[i] = otherStanding{y, season.Fit(y.sample(all).Sample, s.settings.Confidence)}
		})
	}
	fits.Wait()
	return slices.DeleteFunc(list, func(o otherStanding) bool { return o.whole.None != nil })
}

// leastShift is how far a total must move for a reader to be told.
const leastShift = 0.05

// standingWarning says what the season would come to if fruit bodies stood for
// a shorter or a longer time: no interval has that in it.
func (y *yearly) standingWarning(row SeasonTotalRow, method string, frames []frame, others []otherStanding) []stats.Warning {
	if !row.Value.Known || row.Value.Value == 0 {
		return nil
	}
	var parts []string
	var most float64
	for _, o := range others {
		t := o.totalRow(method, All, frames, &o.whole)
		if !t.Value.Known {
			continue
		}
		change := t.Value.Value/row.Value.Value - 1
		most = max(most, math.Abs(change))
		parts = append(parts, fmt.Sprintf("%+.0f %% for %.3g days", 100*change, o.stands))
	}
	if most < leastShift {
		return nil
	}
	return []stats.Warning{{Code: "rests-on-standing-days", Text: fmt.Sprintf(
		"visits lie so far apart that the total hangs on how long a fruit body can be found, taken as %.3g days; it would change by %s, which no interval takes in", y.stands, strings.Join(parts, " and "))}}
}
