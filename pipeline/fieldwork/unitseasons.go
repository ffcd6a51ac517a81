package fieldwork

import (
	"cmp"
	"slices"
	"strconv"

	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
)

// UnitSeason is a unit in a season: what one plot or transect yielded in one
// calendar year by the survey's counting rule.
type UnitSeason struct {
	Unit    Unit
	Years   string       // growing seasons since the fire of its stratum
	Year    int          // calendar year
	Visits  []int        // all searches of that year, in order of time
	Counted []int        // those of them that make the season
	Counts  []GroupCount // in order of group; target taxa only
}

// GroupCount is the number of fruit bodies of a group.
type GroupCount struct {
	Group int
	N     int64
}

// Finds is the number of fruit bodies of all groups.
func (e UnitSeason) Finds() int64 {
	var n int64
	for _, c := range e.Counts {
		n += c.N
	}
	return n
}

// Cluster names what the unit-season varies with: the crew's site, or the
// unit itself, so that two seasons of one unit are never independent.
func (e UnitSeason) Cluster() string {
	if e.Unit.Site != "" {
		return "site " + e.Unit.Site
	}
	return "unit " + e.Unit.ID
}

// UnitSeasons returns the units of a method that were visited, a season each,
// ordered by stratum, unit and year whatever the order of the rows. It is not to
// be changed.
func (s *Season) UnitSeasons() []UnitSeason {
	if s.settled != nil {
		return s.settled.unitSeasons
	}
	return unitSeasonsOf(s)
}

func unitSeasonsOf(s *Season) []UnitSeason {
	byVisit := s.CountsByVisit()
	type season struct{ unit, year int }
	visits := map[season][]int{}
	for i, v := range s.Visits {
		key := season{v.Unit, v.Date.Year()}
		visits[key] = append(visits[key], i)
	}
	elements := make([]UnitSeason, 0, len(visits))
	for key, at := range visits {
		slices.SortFunc(at, func(a, b int) int {
			va, vb := s.Visits[a], s.Visits[b]
			return cmp.Or(va.Date.Compare(vb.Date), cmp.Compare(va.Pass, vb.Pass))
		})
		u, counted := s.Units[key.unit], countedVisits(s, at, byVisit)
		elements = append(elements, UnitSeason{
			Unit: u, Year: key.year, Visits: at, Counted: counted,
			Years:  yearsSince(s.Strata[u.Stratum].FireYear, key.year),
			Counts: sumCounts(counted, byVisit),
		})
	}
	slices.SortFunc(elements, func(a, b UnitSeason) int {
		return cmp.Or(cmp.Compare(a.Unit.Stratum, b.Unit.Stratum), cmp.Compare(a.Unit.ID, b.Unit.ID), cmp.Compare(a.Year, b.Year))
	})
	return elements
}

// CountsByVisit lists the counts of each visit, by group.
func (s *Season) CountsByVisit() [][]GroupCount {
	counts := make([][]GroupCount, len(s.Visits))
	for v := range counts {
		for group, n := range s.counts.of(v) {
			counts[v] = append(counts[v], GroupCount{group, n})
		}
		slices.SortFunc(counts[v], func(a, b GroupCount) int { return cmp.Compare(a.Group, b.Group) })
	}
	return counts
}

// countedVisits are the visits that make a season of a unit: all of them where
// each records only what is new, those of the fullest day where each records
// all that stands. A pass records only what earlier passes of its day did not,
// by either rule, so that a day is the sum of its passes. The fullest day is the
// one with the most fruit bodies of all groups together, the earliest of equals, so
// that the groups of a unit add up.
func countedVisits(s *Season, visits []int, byVisit [][]GroupCount) []int {
	if s.Settings.Counting.Rule != survey.Standing {
		return visits
	}
	var fullest []int
	most := int64(-1)
	for _, day := range s.Days(visits) {
		n := int64(0)
		for _, v := range day {
			n += UnitSeason{Counts: byVisit[v]}.Finds()
		}
		if n > most {
			fullest, most = day, n
		}
	}
	return fullest
}

// Days divides the visits of a unit, in order of time, into those of each day.
func (s *Season) Days(visits []int) [][]int {
	var days [][]int
	for from := 0; from < len(visits); {
		to := from + 1
		for to < len(visits) && s.Visits[visits[to]].Date == s.Visits[visits[from]].Date {
			to++
		}
		days = append(days, visits[from:to])
		from = to
	}
	return days
}

func sumCounts(visits []int, byVisit [][]GroupCount) []GroupCount {
	sum := map[int]int64{}
	for _, v := range visits {
		for _, c := range byVisit[v] {
			sum[c.Group] += c.N
		}
	}
	counts := make([]GroupCount, 0, len(sum))
	for g, n := range sum {
		counts = append(counts, GroupCount{g, n})
	}
	slices.SortFunc(counts, func(a, b GroupCount) int { return cmp.Compare(a.Group, b.Group) })
	return counts
}

// yearsSince counts growing seasons: visit year minus fire year.
func yearsSince(fire, year int) string {
	if fire == 0 {
		return result.Unburned
	}
	return strconv.Itoa(year - fire)
}
