package analyze

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strconv"

	"golang.org/x/sync/errgroup"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/season"
)

// flushes are the answers to when fruit bodies come.
type flushes struct {
	rows   []FlushRow
	totals []SeasonTotalRow
	units  []SeasonUnitRow
	curves []FlushCurve
}

// flushes fits a curve to each group of units of each season. The work is
// shared among the cores, each curve in a place of its own.
func (s *Season) flushes(ctx context.Context, elements []element) (flushes, error) {
	byVisit := s.countsByVisit()
	var all flushes
	for _, year := range calendarYears(elements) {
		y := s.newYear(year, s.settings.Curve.StandingDays, elements, byVisit)
		groups := y.groups()
		fits := make([]flushFit, len(groups))
		g, ctx := errgroup.WithContext(ctx)
		g.SetLimit(runtime.GOMAXPROCS(0))
		for i := range groups {
			g.Go(func() error {
				fits[i] = y.fit(groups[i])
				return ctx.Err()
			})
		}
		if err := g.Wait(); err != nil {
			return flushes{}, err
		}
		for i := range groups {
			all.rows = append(all.rows, fits[i].row)
			if fits[i].flush.None == nil {
				all.curves = append(all.curves, y.curve(groups[i], &fits[i]))
			}
		}
		whole := &fits[0].flush // the first group is all units
		all.totals = append(all.totals, y.totals(whole, s.otherStandings(year, elements, byVisit, whole))...)
		all.units = append(all.units, y.unitRows(whole)...)
	}
	return all, nil
}

func calendarYears(elements []element) []int {
	var years []int
	for _, e := range elements {
		if !slices.Contains(years, e.year) {
			years = append(years, e.year)
		}
	}
	slices.Sort(years)
	return years
}

// yearly is one season, ready for its curves.
type yearly struct {
	season   *Season
	year     int
	stands   float64 // days that a fruit body can be found
	elements []element
	visits   []unitVisit
	of       [][]int // visits of each element
	clusters []int   // of each element
	// elevation of each element, NaN where neither it nor its stratum tells.
	elevation []float64
	unknown   int // elements without an elevation of their own
	warmth    map[string]*season.Warmth
	warnings  []stats.Warning // of the weather
}

// unitVisit is a day on which a unit was searched.
type unitVisit struct {
	element  int
	from, to float64 // days of the year
	count    float64
}

func (s *Season) newYear(year int, stands float64, elements []element, byVisit [][]groupCount) *yearly {
	y := &yearly{season: s, year: year, stands: stands}
	sites := map[string]int{}
	for _, e := range elements {
		if e.year != year {
			continue
		}
		site := e.site()
		if _, ok := sites[site]; !ok {
			sites[site] = len(sites)
		}
		at := len(y.elements)
		y.elements = append(y.elements, e)
		y.clusters = append(y.clusters, sites[site])
		first := len(y.visits)
		y.visits = append(y.visits, y.daysOf(at, e, byVisit)...)
		y.of = append(y.of, indicesFrom(first, len(y.visits)))
	}
	y.elevations()
	y.warm()
	return y
}

func indicesFrom(first, end int) []int {
	list := make([]int, end-first)
	for i := range list {
		list[i] = first + i
	}
	return list
}

// daysOf joins the passes of a day. Where each records only what is new, a
// day's finds are those that came up since the visit before and still stand;
// where each records all that stand, its fullest pass is what stood.
func (y *yearly) daysOf(at int, e element, byVisit [][]groupCount) []unitVisit {
	s := y.season
	standing := s.settings.Counting.Rule == survey.Standing
	var days []unitVisit
	for _, v := range e.visits {
		n := float64((element{counts: byVisit[v]}).finds())
		day := float64(s.visits[v].date.YearDay())
		last := len(days) - 1
		switch {
		case last >= 0 && days[last].to == day && standing:
			days[last].count = max(days[last].count, n)
		case last >= 0 && days[last].to == day:
			days[last].count += n
		case standing:
			days = append(days, unitVisit{element: at, from: day, to: day, count: n})
		case last >= 0:
			days = append(days, unitVisit{element: at, from: max(days[last].to, day-y.stands), to: day, count: n})
		default:
			days = append(days, unitVisit{element: at, from: day - y.stands, to: day, count: n})
		}
	}
	return days
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
		if !e.unit.elevationM.Known {
			y.unknown++
			continue
		}
		sum, n = sum+e.unit.elevationM.Value, n+1
		sums[e.unit.stratum] += e.unit.elevationM.Value
		ns[e.unit.stratum]++
	}
	for _, e := range y.elements {
		h := e.unit.stratum
		switch {
		case e.unit.elevationM.Known:
			y.elevation = append(y.elevation, e.unit.elevationM.Value)
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
		if !y.elements[i].unit.elevationM.Known {
			missing++
		}
	}
	return missing, float64(missing) <= mostUnknown*float64(len(members))
}

// flushGroup is some units of a season.
type flushGroup struct {
	key     FlushKey
	members []int // elements
}

// groups lists all units, then those of each stratum, band of elevation, aspect
// and side of the road; the last three only where there are several.
func (y *yearly) groups() []flushGroup {
	groups := []flushGroup{{key: WholeSeason(y.year), members: indices(len(y.elements))}}
	for at, h := range y.season.strata {
		key := WholeSeason(y.year)
		key.Stratum = h.name
		groups = append(groups, flushGroup{key, y.where(func(i int) bool { return y.elements[i].unit.stratum == at })})
	}
	groups = append(groups, y.split(y.bands(), func(k *FlushKey) *string { return &k.Elevation }, y.band)...)
	groups = append(groups, y.split([]string{"north", "east", "south", "west"}, func(k *FlushKey) *string { return &k.Aspect }, y.aspect)...)
	return append(groups, y.split([]string{"yes", "no"}, func(k *FlushKey) *string { return &k.Roadside }, y.side)...)
}

func (y *yearly) where(keep func(i int) bool) []int {
	var members []int
	for i := range y.elements {
		if keep(i) {
			members = append(members, i)
		}
	}
	return members
}

// split makes a group for each class that has units, unless they all are of one.
func (y *yearly) split(classes []string, part func(*FlushKey) *string, classOf func(int) string) []flushGroup {
	var groups []flushGroup
	for _, class := range classes {
		members := y.where(func(i int) bool { return classOf(i) == class })
		if len(members) == 0 {
			continue
		}
		key := WholeSeason(y.year)
		*part(&key) = class
		groups = append(groups, flushGroup{key, members})
	}
	if len(groups) < 2 {
		return nil
	}
	return groups
}

func (y *yearly) bandAt(i int) (float64, bool) {
	height, e := y.season.settings.Curve.ElevationBandM, y.elements[i].unit.elevationM
	if height == 0 || !e.Known {
		return 0, false
	}
	return math.Floor(e.Value/height) * height, true
}

func (y *yearly) band(i int) string {
	low, ok := y.bandAt(i)
	if !ok {
		return ""
	}
	metres := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
	return metres(low) + " to " + metres(low+y.season.settings.Curve.ElevationBandM)
}

// bands lists those that have units, from the lowest up.
func (y *yearly) bands() []string {
	at := map[string]float64{}
	for i := range y.elements {
		if low, ok := y.bandAt(i); ok {
			at[y.band(i)] = low
		}
	}
	names := make([]string, 0, len(at))
	for name := range at {
		names = append(names, name)
	}
	slices.SortFunc(names, func(a, b string) int {
		if at[a] < at[b] {
			return -1
		}
		return 1
	})
	return names
}

func (y *yearly) aspect(i int) string {
	a := y.elements[i].unit.aspectDeg
	if !a.Known {
		return ""
	}
	return []string{"north", "east", "south", "west"}[int(math.Mod(a.Value+45, 360)/90)]
}

func (y *yearly) side(i int) string {
	if y.elements[i].unit.roadside {
		return "yes"
	}
	return "no"
}

// plan is the visits of an element as stats/season takes them.
func (y *yearly) plan(i int) season.Plan {
	p := season.Plan{Exposure: exposure(y.elements[i].unit), ElevationM: y.elevation[i], Roadside: y.elements[i].unit.roadside, Cluster: y.clusters[i]}
	for _, v := range y.of[i] {
		p.From, p.To = append(p.From, y.visits[v].from), append(p.To, y.visits[v].to)
	}
	return p
}

// exposure is what the counts of a unit are in proportion to: its area, or the
// length of a line in km.
func exposure(u unit) float64 {
	if u.method == LineMethod {
		return u.levelM * float64(u.sides) / metresPerKm
	}
	return u.areaHa
}

const metresPerKm = 1000

// flushFit is the curve of a group with its row.
type flushFit struct {
	flush   season.Flush
	row     FlushRow
	element []int // of each visit
}

// groupSample is the visits of a group, each with its element.
type groupSample struct {
	season.Sample
	element  []int
	warnings []stats.Warning
}

func (y *yearly) fit(g flushGroup) flushFit {
	s := y.sample(g)
	f := flushFit{flush: season.Fit(s.Sample, y.season.settings.Confidence), element: s.element}
	f.row = y.row(g, &f.flush)
	f.row.Warnings = slices.Concat(f.flush.Warnings, s.warnings)
	if f.flush.None == nil {
		f.row.Warnings = append(f.row.Warnings, y.reasons(g, &f.flush)...)
	}
	y.byWarmth(&f, s)
	return f
}

// sample is the visits of a group. Each method, stratum and side of the road
// has a height of its own.
func (y *yearly) sample(g flushGroup) groupSample {
	var s groupSample
	type cell struct {
		method   string
		stratum  int
		roadside bool
	}
	cells := map[cell]int{}
	missing, known := y.knowsElevations(g.members)
	known = known && g.key.Elevation == All
	if missing > 0 && g.key.Elevation == All && missing < len(g.members) {
		s.warnings = append(s.warnings, elevationMissing(missing, len(g.members), known))
	}
	for _, i := range g.members {
		u := y.elements[i].unit
		key := cell{u.method, u.stratum, u.roadside}
		if _, ok := cells[key]; !ok {
			cells[key] = len(cells)
		}
		for _, at := range y.of[i] {
			v := y.visits[at]
			s.element = append(s.element, i)
			s.Count, s.Exposure = append(s.Count, v.count), append(s.Exposure, exposure(u))
			s.From, s.To = append(s.From, v.from), append(s.To, v.to)
			s.Cluster, s.Cell = append(s.Cluster, y.clusters[i]), append(s.Cell, cells[key])
			s.Roadside = append(s.Roadside, u.roadside)
			if known {
				s.ElevationM = append(s.ElevationM, y.elevation[i])
			}
		}
	}
	return s
}

func elevationMissing(missing, all int, used bool) stats.Warning {
	w := stats.Warning{Code: "elevation-missing", Text: fmt.Sprintf("%d of %d units have no elevation, so the curve takes no account of it", missing, all)}
	if used {
		w.Text = fmt.Sprintf("%d of %d units have no elevation and stand at the mean of their stratum", missing, all)
	}
	return w
}

// The two figures of a curve that a group of units may have no place for.
var (
	withinBand = stats.Warning{Code: "no-elevations", Text: "a band of elevation has a curve without regard to elevation"}
	oneSide    = stats.Warning{Code: "no-roadsides", Text: "the units lie all along roads or all off them, so nothing tells how the two differ"}
)

// reasons say why a curve has no delay by elevation or no lead of roadsides.
func (y *yearly) reasons(g flushGroup, f *season.Flush) []stats.Warning {
	var warnings []stats.Warning
	switch {
	case !math.IsNaN(f.DaysPer100M.Value):
	case g.key.Elevation != All:
		warnings = append(warnings, withinBand)
	default:
		warnings = append(warnings, f.DaysPer100M.Warnings...)
	}
	roadside := func(i int) bool { return y.elements[i].unit.roadside }
	switch {
	case !math.IsNaN(f.Lead.Value):
	case !slices.ContainsFunc(g.members, roadside) || !slices.ContainsFunc(g.members, func(i int) bool { return !roadside(i) }):
		warnings = append(warnings, oneSide)
	default:
		warnings = append(warnings, f.Lead.Warnings...)
	}
	return warnings
}

func (y *yearly) row(g flushGroup, f *season.Flush) FlushRow {
	row := FlushRow{
		FlushKey: g.key, Units: column.Count(len(g.members)), K: column.Finite(f.K), AIC: column.Finite(f.AIC),
		ReferenceM: column.Finite(y.meanElevation(g.members)),
		Onset:      moment(y.year, f.Onset), Peak: moment(y.year, f.Peak), End: moment(y.year, f.End),
		Width: figures(f.Width), DaysPer100M: figures(f.DaysPer100M), Lead: figures(f.Lead),
	}
	sites, dates := map[int]bool{}, map[float64]bool{}
	var finds float64
	var visits int
	plans := make([]season.Plan, len(g.members))
	for k, i := range g.members {
		sites[y.clusters[i]] = true
		plans[k] = y.plan(i)
		for _, at := range y.of[i] {
			v := y.visits[at]
			visits++
			finds += v.count
			dates[v.to] = true
			row.span(column.DateInYear(y.year, int(v.to)))
		}
	}
	row.Sites, row.Visits, row.Dates, row.Finds = column.Count(len(sites)), column.Count(visits), column.Count(len(dates)), column.Count(int(finds))
	row.Seen = figures(f.Seen(areal(y, g.members, plans)).All)
	return row
}

// areal are the plans of units that have an area, by which shares are weighed;
// lines stand for themselves where there is nothing else.
func areal(y *yearly, members []int, plans []season.Plan) []season.Plan {
	var list []season.Plan
	for k, i := range members {
		if y.elements[i].unit.method != LineMethod {
			list = append(list, plans[k])
		}
	}
	if len(list) == 0 {
		return plans
	}
	return list
}

func (r *FlushRow) span(day column.Date) {
	if !r.First.Known() || day.Compare(r.First) < 0 {
		r.First = day
	}
	if !r.Last.Known() || day.Compare(r.Last) > 0 {
		r.Last = day
	}
}

// meanElevation weighs each visit alike, as the curve does; NaN where too few
// units have an elevation.
func (y *yearly) meanElevation(members []int) float64 {
	if _, ok := y.knowsElevations(members); !ok {
		return math.NaN()
	}
	var sum, n float64
	for _, i := range members {
		sum += y.elevation[i] * float64(len(y.of[i]))
		n += float64(len(y.of[i]))
	}
	return sum / n
}
