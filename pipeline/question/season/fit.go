package season

import (
	"math"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
	"ashtally/stats"
	"ashtally/stats/season"
)

// flushFit is the curve of a group with its row.
type flushFit struct {
	flush   season.Flush
	row     Row
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
	s.Sample = y.carried(s)
	f := flushFit{flush: season.Choose(s.Sample, season.Options{Confidence: y.season.Settings.Confidence, Seed: y.season.Settings.Seed}), element: s.element}
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
	if y.stands.varies {
		s.StandingDays = y.stands.days
	}
	type cell struct {
		method   string
		stratum  int
		roadside bool
	}
	cells := stats.NewNumbers[cell](0)
	missing, known := y.knowsElevations(g.members)
	known = known && g.key.Elevation == result.All
	if missing > 0 && g.key.Elevation == result.All && missing < len(g.members) {
		s.warnings = append(s.warnings, elevationMissing(missing, len(g.members), known))
	}
	n := 0
	for _, i := range g.members {
		n += len(y.of[i])
	}
	s.element = make([]int, 0, n)
	s.Count, s.Exposure, s.From, s.To = make([]float64, 0, n), make([]float64, 0, n), make([]float64, 0, n), make([]float64, 0, n)
	s.Cluster, s.Cell, s.Roadside = make([]int, 0, n), make([]int, 0, n), make([]bool, 0, n)
	if known && n > 0 {
		s.ElevationM = make([]float64, 0, n)
	}
	for _, i := range g.members {
		u := y.elements[i].Unit
		number := cells.Of(cell{u.Method, u.Stratum, u.Roadside})
		for _, at := range y.of[i] {
			v := y.visits[at]
			s.element = append(s.element, i)
			s.Count, s.Exposure = append(s.Count, v.count), append(s.Exposure, exposure(u))
			s.From, s.To = append(s.From, v.from), append(s.To, v.to)
			s.Cluster, s.Cell = append(s.Cluster, y.clusters[i]), append(s.Cell, number)
			s.Roadside = append(s.Roadside, u.Roadside)
			if known {
				s.ElevationM = append(s.ElevationM, y.elevation[i])
			}
		}
	}
	return s
}

func elevationMissing(missing, all int, used bool) stats.Warning {
	if used {
		return noElevation.With("%d of %d units have no elevation and stand at the mean of their stratum", missing, all)
	}
	return noElevation.With("%d of %d units have no elevation, so the curve takes no account of it", missing, all)
}

// The two figures of a curve that a group of units may have no place for.
var (
	withinBand = season.NoElevations.With("a band of elevation has a curve without regard to elevation")
	oneSide    = season.NoRoadsides.With("the units lie all along roads or all off them, so nothing tells how the two differ")
)

// reasons say why a curve has no delay by elevation or no lead of roadsides.
func (y *yearly) reasons(g flushGroup, f *season.Flush) []stats.Warning {
	var warnings []stats.Warning
	switch {
	case !math.IsNaN(f.DaysPer100M.Value):
	case g.key.Elevation != result.All:
		warnings = append(warnings, withinBand)
	default:
		warnings = append(warnings, f.DaysPer100M.Warnings...)
	}
	roadside := func(i int) bool { return y.elements[i].Unit.Roadside }
	switch {
	case !math.IsNaN(f.Lead.Value):
	case !slices.ContainsFunc(g.members, roadside) || !slices.ContainsFunc(g.members, func(i int) bool { return !roadside(i) }):
		warnings = append(warnings, oneSide)
	default:
		warnings = append(warnings, f.Lead.Warnings...)
	}
	return warnings
}

func (y *yearly) row(g flushGroup, f *season.Flush) Row {
	row := Row{
		Key: g.key, Units: column.Count(len(g.members)), K: column.Finite(f.K), AIC: column.Finite(f.AIC),
		ReferenceM: column.Finite(y.meanElevation(g.members)),
		Onset:      moment(y.year, f.Onset), Peak: moment(y.year, f.Peak), End: moment(y.year, f.End),
		Width: result.Of(f.Width), DaysPer100M: result.Of(f.DaysPer100M), Lead: result.Of(f.Lead),
		Curve: string(f.Shape), FitP: column.Finite(f.Misfit.P), SecondPeak: result.Of(f.SecondPeak),
	}
	sites, dates := map[int]bool{}, map[float64]bool{}
	var finds float64
	var visits int
	for _, i := range g.members {
		sites[y.clusters[i]] = true
		for _, at := range y.of[i] {
			v := y.visits[at]
			visits++
			finds += v.count
			dates[v.to] = true
		}
	}
	for day := range dates {
		row.span(column.DateInYear(y.year, int(day)))
	}
	row.Sites, row.Visits, row.Dates, row.Finds = column.Count(len(sites)), column.Count(visits), column.Count(len(dates)), column.Count(int(finds))
	row.Seen = result.Of(f.Seen(areal(y, g.members)).All)
	return row
}

// areal are the plans of units that have an area, by which shares are weighed;
// lines stand for themselves where there is nothing else.
func areal(y *yearly, members []int) []season.Plan {
	plans, area := make([]season.Plan, 0, len(members)), func(i int) bool { return y.elements[i].Unit.Method != result.Line }
	lines := !slices.ContainsFunc(members, area)
	for _, i := range members {
		if lines || area(i) {
			plans = append(plans, y.plans[i])
		}
	}
	return plans
}

func (r *Row) span(day column.Date) {
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
