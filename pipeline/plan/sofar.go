package plan

import (
	"cmp"
	"math"
	"slices"

	"ashtally/pipeline/survey"
	"ashtally/stats/season"
)

// SoFar is the visits that were made in the season that is planned.
type SoFar struct {
	Sample season.Sample    // of plots and strips, with a cell for each stratum
	Days   map[string][]int // days of the year with a visit, by stratum, ascending
	Today  int              // of the last visit
}

// SoFar is what was counted in a year; nil before its first visit.
func (c *Collector) SoFar(year int) *SoFar {
	var visits []visitKey
	for v := range c.visits {
		if u := c.units[v.unit]; u != nil && u.areaHa > 0 && v.date.Year() == year {
			visits = append(visits, v)
		}
	}
	if len(visits) == 0 {
		return nil
	}
	slices.SortFunc(visits, func(a, b visitKey) int { return cmp.Or(cmp.Compare(a.unit, b.unit), a.date.Compare(b.date)) })
	out := &SoFar{Days: map[string][]int{}}
	cells, clusters := map[string]int{}, map[string]int{}
	for i, v := range visits {
		day := v.date.YearDay()
		from := float64(day) - c.settings.Curve.StandingDays.Middle()
		switch {
		case c.settings.Counting.Rule == survey.Standing:
			from = float64(day)
		case i > 0 && visits[i-1].unit == v.unit:
			from = max(from, float64(visits[i-1].date.YearDay()))
		}
		out.add(c.units[v.unit], from, float64(day), c.visits[v])
		s := &out.Sample
		s.Cell, s.Cluster = append(s.Cell, placeOf(cells, c.units[v.unit].stratum)), append(s.Cluster, placeOf(clusters, c.cluster(v.unit)))
	}
	for stratum, days := range out.Days {
		slices.Sort(days)
		out.Days[stratum] = slices.Compact(days)
	}
	return out
}

// add adds a visit.
func (o *SoFar) add(u *pilotUnit, from, to, count float64) {
	s := &o.Sample
	s.Count, s.Exposure = append(s.Count, count), append(s.Exposure, u.areaHa)
	s.From, s.To = append(s.From, from), append(s.To, to)
	s.ElevationM = append(s.ElevationM, u.elevation.Or(math.NaN()))
	o.Days[u.stratum] = append(o.Days[u.stratum], int(to))
	o.Today = max(o.Today, int(to))
}

// cluster is the site of a unit, or the unit itself where it has none. A site and a unit
// of one name are two.
func (c *Collector) cluster(unit string) string {
	if site := c.units[unit].site; site != "" {
		return "site " + site
	}
	return "unit " + unit
}

// placeOf is the place of a name in the order in which names came.
func placeOf(seen map[string]int, name string) int {
	if n, ok := seen[name]; ok {
		return n
	}
	seen[name] = len(seen)
	return seen[name]
}
