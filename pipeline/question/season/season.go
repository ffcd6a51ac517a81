// Package season is the question of when fruit bodies come: onset, peak and end of
// the flush, by stratum, elevation, aspect and side of the road, by days and by
// degree days; what the visits could see of it; and what the whole season comes to.
package season

import (
	"context"
	"math"
	"runtime"
	"slices"
	"strconv"

	"golang.org/x/sync/errgroup"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/season"
)

// Answer is the flush of each group of units, the totals of the season, and the
// dates of each unit.
type Answer struct {
	rows     []Row
	totals   []TotalRow
	units    []UnitRow
	curves   []curve // of the rows that have one
	settings survey.Curve
	standing bool // visits record all that stand
}

// Tables are results/season, results/season_total and results/season_units.
func (a Answer) Tables() []result.Table {
	return []result.Table{table.Of(a.rows), totalTable.Of(a.totals), unitTable.Of(a.units)}
}

// Ask fits a curve to each group of units of each season. The work is shared among
// the cores, each curve in a place of its own.
func Ask(ctx context.Context, s *fieldwork.Season, known *question.Known) (Answer, error) {
	a := Answer{settings: s.Settings.Curve, standing: s.Settings.Counting.Rule == survey.Standing}
	seasons, byVisit := s.UnitSeasons(), s.FindsByVisit()
	years := fieldwork.CalendarYears(seasons)
	factors, tells := noFactors(s, years)
	known.Seasons = factors
	for _, year := range years {
		y := newYear(s, year, standing{days: s.Settings.Curve.StandingDays.Middle()}, seasons, byVisit)
		y.detection = known.Detection
		groups := groupsOf(y)
		rows, curves := make([]Row, len(groups)), make([][]curve, len(groups))
		var all season.Flush // of the first group, which is all units; nothing more is asked of the others
		g, ctx := errgroup.WithContext(ctx)
		g.SetLimit(runtime.GOMAXPROCS(0))
		for i := range groups {
			g.Go(func() error {
				f := y.fit(groups[i])
				rows[i] = f.row
				if f.flush.None == nil {
					curves[i] = []curve{y.curve(groups[i], &f)}
				}
				if i == 0 {
					all = f.flush.WithoutVisits()
				}
				return ctx.Err()
			})
		}
		if err := g.Wait(); err != nil {
			return Answer{}, err
		}
		a.rows, a.curves = append(a.rows, rows...), append(a.curves, slices.Concat(curves...)...)
		whole := newFlush(&all, y)
		others := y.otherStandings(whole.Flush)
		frames := framesOf(y)
		a.totals = append(a.totals, y.totals(frames, whole, others)...)
		if tells {
			y.addFactors(&known.Seasons, frames, whole, others)
		}
		a.units = append(a.units, y.unitRows(whole)...)
	}
	fieldwork.InFileOrder(s, a.rows, func(r *Row) (string, string) { return strconv.Itoa(r.Year), r.Stratum })
	fieldwork.InFileOrder(s, a.curves, func(c *curve) (string, string) { return strconv.Itoa(c.Year), c.Stratum })
	fieldwork.InFileOrder(s, a.totals, func(r *TotalRow) (string, string) { return r.Method + strconv.Itoa(r.Year), r.Stratum })
	fieldwork.InFileOrder(s, a.units, func(r *UnitRow) (string, string) { return r.Method + strconv.Itoa(r.Year), r.Stratum })
	return a, nil
}

// yearly is one season, ready for its curves.
type yearly struct {
	season   *fieldwork.Season
	year     int
	stands   standing
	elements []fieldwork.UnitSeason
	visits   []unitVisit
	of       [][]int       // visits of each element
	plans    []season.Plan // of each element, as stats/season takes them
	clusters []int         // of each element
	// elevation of each element, NaN where neither it nor its stratum tells.
	elevation []float64
	unknown   int       // elements without an elevation of their own
	weather   *weathers // nil: none in this year
	detection question.Factors
}

// standing is how long fruit bodies are assumed to stand and to be found.
type standing struct {
	days   float64 // on the mean
	varies bool    // exponentially; false: all for equally long
}

// from is the day from which on what a visit finds may have come up; the visit
// before is -Inf days ago where there was none.
func (s standing) from(before, day float64) float64 {
	if s.varies {
		return before
	}
	return max(before, day-s.days)
}

// unitVisit is a day on which a unit was searched.
type unitVisit struct {
	element  int
	from, to float64 // days of the year
	count    float64
}

func newYear(s *fieldwork.Season, year int, stands standing, elements []fieldwork.UnitSeason, byVisit []int64) *yearly {
	y := &yearly{season: s, year: year, stands: stands}
	sites := stats.NewNumbers[string](0)
	for _, e := range elements {
		if e.Year != year {
			continue
		}
		y.elements = append(y.elements, e)
		y.clusters = append(y.clusters, sites.Of(e.Cluster()))
	}
	y.elevations()
	y.search(byVisit)
	y.warm()
	return y
}

// search lists the visits to the elements.
func (y *yearly) search(byVisit []int64) {
	n := 0
	for _, e := range y.elements {
		n += len(e.Visits)
	}
	y.visits, y.of = make([]unitVisit, 0, n), make([][]int, len(y.elements))
	for i, e := range y.elements {
		first := len(y.visits)
		y.addDays(i, e, byVisit)
		y.of[i] = indicesFrom(first, len(y.visits))
	}
	y.windows()
}

// windows sets from when on what each visit finds may have come up, and the plans of the
// elements. Where visits record only what is new, that is since the visit before, as far
// as it still stands; where they record all that stand, each is a moment.
func (y *yearly) windows() {
	y.plans = make([]season.Plan, len(y.elements))
	moments := y.season.Settings.Counting.Rule == survey.Standing
	from, to := make([]float64, len(y.visits)), make([]float64, len(y.visits))
	for i := range y.plans {
		u := y.elements[i].Unit
		before := math.Inf(-1)
		for _, at := range y.of[i] {
			v := &y.visits[at]
			if v.from = y.stands.from(before, v.to); moments {
				v.from = v.to
			}
			from[at], to[at], before = v.from, v.to, v.to
		}
		first, end := y.of[i][0], y.of[i][len(y.of[i])-1]+1
		y.plans[i] = season.Plan{
			Exposure: exposure(u), ElevationM: y.elevation[i], Roadside: u.Roadside, Cluster: y.clusters[i],
			From: from[first:end:end], To: to[first:end:end],
		}
	}
}

func indicesFrom(first, end int) []int {
	list := make([]int, end-first)
	for i := range list {
		list[i] = first + i
	}
	return list
}

// addDays adds the visits to an element and joins the passes of a day. Where each records
// only what is new, their finds are added up; where each records all that stand, the
// fullest pass is what stood.
func (y *yearly) addDays(at int, e fieldwork.UnitSeason, byVisit []int64) {
	s, first := y.season, len(y.visits)
	for _, v := range e.Visits {
		n := float64(byVisit[v])
		day := float64(s.Visits[v].Date.YearDay())
		last := len(y.visits) - 1
		switch {
		case last < first || y.visits[last].to != day:
			y.visits = append(y.visits, unitVisit{element: at, to: day, count: n})
		case s.Settings.Counting.Rule == survey.Standing:
			y.visits[last].count = max(y.visits[last].count, n)
		default:
			y.visits[last].count += n
		}
	}
}

// mostUnknown is the share of units that may be without an elevation: they are
// put at the mean of their stratum, which blurs the curve a little.
const mostUnknown = 0.2

// elevations gives each element its own, or for want of one the mean of its
// stratum, or of all.
func (y *yearly) elevations() {
	var sum, n float64
	sums, ns := map[int]float64{}, map[int]float64{}
	for _, e := range y.elements {
		if !e.Unit.ElevationM.Known {
			y.unknown++
			continue
		}
		sum, n = sum+e.Unit.ElevationM.Value, n+1
		sums[e.Unit.Stratum] += e.Unit.ElevationM.Value
		ns[e.Unit.Stratum]++
	}
	for _, e := range y.elements {
		h := e.Unit.Stratum
		switch {
		case e.Unit.ElevationM.Known:
			y.elevation = append(y.elevation, e.Unit.ElevationM.Value)
		case ns[h] > 0:
			y.elevation = append(y.elevation, sums[h]/ns[h])
		default:
			y.elevation = append(y.elevation, sum/n) // NaN where nothing is known at all
		}
	}
}

// knowsElevations reports whether enough of some elements have one.
func (y *yearly) knowsElevations(members []int) (missing int, ok bool) {
	for _, i := range members {
		if !y.elements[i].Unit.ElevationM.Known {
			missing++
		}
	}
	return missing, float64(missing) <= mostUnknown*float64(len(members))
}

// exposure is what the counts of a unit are in proportion to: its area, or the
// length of a line in km.
func exposure(u *fieldwork.Unit) float64 {
	if u.Method == result.Line {
		return u.HorizontalM * float64(u.Sides) / metresPerKm
	}
	return u.AreaHa
}

const metresPerKm = 1000
