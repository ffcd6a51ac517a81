package ground

import (
	"cmp"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/stats"
	"ashtally/stats/regress"
	"ashtally/stats/regress/terms"
)

var (
	singleUnit = warnings.New("combination-of-one-unit", stats.Coverage, "Combinations of ground with a single unit")
	bestOfMany = warnings.New("combination-chosen-by-density", stats.Note, "Combinations of ground ranked by their own density")
)

// combination is the ground that some units have in common.
type combination struct {
	Years, Severity, Aspect, Elevation string
}

// place is a combination with its units, by their places among the counts.
type place struct {
	combination
	units []int
}

// places are the combinations that the units visited, in the order of their names.
func (c counts) places() []place {
	at := map[combination]int{}
	var list []place
	for i, e := range c.units {
		k := combination{e.Years, c.season.SeverityOf(e.Unit), fieldwork.Quarter(e.Unit.AspectDeg), c.season.ElevationBand(e.Unit)}
		j, ok := at[k]
		if !ok {
			j = len(list)
			at[k] = j
			list = append(list, place{combination: k})
		}
		list[j].units = append(list[j].units, i)
	}
	slices.SortFunc(list, func(a, b place) int {
		return cmp.Or(result.CompareYears(a.Years, b.Years), cmp.Compare(a.Severity, b.Severity), cmp.Compare(a.Aspect, b.Aspect),
			cmp.Compare(a.Elevation, b.Elevation))
	})
	return list
}

// ranked has a row for each combination: the density that the model expects of its
// units, the mean of theirs by area,
//
//	D = sum_i a_i exp(x_i'b) / sum_i a_i
func (c counts) ranked(f fitted) []PlaceRow {
	places := c.places()
	if len(places) < 2 {
		return nil
	}
	rows := make([]PlaceRow, len(places))
	var g errgroup.Group
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i, p := range places {
		g.Go(func() error {
			rows[i] = c.expected(p, f)
			return nil
		})
	}
	_ = g.Wait() // they return none
	slices.SortStableFunc(rows, func(a, b PlaceRow) int { return cmp.Compare(b.Density.Value.Or(-1), a.Density.Value.Or(-1)) })
	for i := range rows {
		rows[i].Rank = column.Count(i + 1)
	}
	if f.cov != nil && len(rows) > 2 {
		rows[0].Warnings = append(rows[0].Warnings, bestOfMany.With("the highest of %d combinations was chosen for being so, and another may be "+
			"the best: in simulated burns the best was first or second in three of four, and these limits held as often as they say", len(rows)))
	}
	return rows
}

// expected is the row of a combination by the model.
func (c counts) expected(p place, f fitted) PlaceRow {
	row := c.placeRow(p)
	if f.cov == nil {
		row.Warnings = []stats.Warning{f.reason}
		return row
	}
	e := f.cov.Density(c.mix(p))
	row.Density, row.DF, row.Warnings = result.Of(e.Estimate), column.Finite(e.DF), slices.Clip(e.Warnings)
	if len(p.units) == 1 {
		row.Warnings = append(row.Warnings, singleUnit.With("a single unit lies there; what is expected of it follows from the others"))
	}
	return row
}

// mix are the units of a combination by their areas.
func (c counts) mix(p place) regress.Mix {
	var area float64
	for _, i := range p.units {
		area += c.units[i].Unit.AreaHa
	}
	var mix regress.Mix
	for _, i := range p.units {
		at := terms.Point{Level: map[string]int{}, Value: map[string]float64{}}
		for _, f := range c.sample.Frame.Factors {
			at.Level[f.Name] = f.Of[i]
		}
		for _, n := range c.sample.Frame.Numbers {
			at.Value[n.Name] = n.Of[i]
		}
		mix = append(mix, regress.Share{Weight: c.units[i].Unit.AreaHa / area, At: at})
	}
	return mix
}

// placeRow is what was found in a combination: how many fruit bodies, near which tree
// most of them, and in which week.
func (c counts) placeRow(p place) PlaceRow {
	s := c.season
	row := PlaceRow{
		Method: c.method, Years: p.Years, Severity: p.Severity, Aspect: p.Aspect, Elevation: p.Elevation,
		Units: column.Count(len(p.units)),
	}
	sites, trees, weeks := map[int]bool{}, map[string]int64{}, map[column.Date]int64{}
	var finds int64
	for _, i := range p.units {
		sites[c.sample.Cluster[i]] = true
		e := c.units[i]
		for _, g := range e.Counts {
			trees[s.Groups[g.Group].Tree] += g.N
			finds += g.N
		}
		for _, v := range e.Counted {
			weeks[weekOf(s.Visits[v].Date)] += c.byVisit[v]
		}
	}
	row.Sites, row.Finds = column.Count(len(sites)), column.Count(int(finds))
	row.Tree, row.TreeFinds = most(trees, func(a, b string) int { return cmp.Compare(a, b) })
	row.Week, row.WeekFinds = most(weeks, column.Date.Compare)
	return row
}

// most is the key with the highest number over 0, the first of equals, and the number.
func most[K comparable](n map[K]int64, compare func(a, b K) int) (key K, highest column.Int) {
	for k, v := range n {
		if v > highest.Value || v == highest.Value && v > 0 && compare(k, key) < 0 {
			key, highest = k, column.Int{Value: v, Known: true}
		}
	}
	return key, highest
}

// weekOf is the Monday of the week of a day. 1 January 1970 was a Thursday.
func weekOf(d column.Date) column.Date {
	const week, thursday = 7, 3
	since := (int(d.Days())%week + week + thursday) % week
	return column.DateFromDays(d.Days() - int32(since))
}
