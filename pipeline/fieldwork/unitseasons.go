package fieldwork

import (
	"cmp"
	"slices"
	"strconv"

	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
)

// UnitSeason is a unit in a season: what one plot or transect yielded in one
// calendar year by the survey's counting rule. Copies are of the same yield, which is
// not to be changed.
type UnitSeason struct{ *Yield }

// Yield is what a unit yielded in a season.
type Yield struct {
	Unit    *Unit       // one of the season's
	Years   string      // growing seasons since the fire of its stratum
	Year    int         // calendar year
	Visits  []int       // all searches of that year, in order of time
	Counted []int       // those of them that make the season
	Counts  GroupCounts // in order of group; target taxa only
}

// GroupCount is the number of fruit bodies of a group.
type GroupCount struct {
	Group int
	N     int64
}

// GroupCounts are the numbers of fruit bodies of some groups.
type GroupCounts []GroupCount

// Sum is the number of fruit bodies of all groups.
func (g GroupCounts) Sum() int64 {
	var n int64
	for _, c := range g {
		n += c.N
	}
	return n
}

// Finds is the number of fruit bodies of all groups.
func (e *Yield) Finds() int64 { return e.Counts.Sum() }

// Cluster names what the unit-season varies with: the crew's site, or the
// unit itself, so that two seasons of one unit are never independent.
func (e *Yield) Cluster() string {
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
	order, finds := Indices(len(s.Visits)), s.FindsByVisit()
	slices.SortFunc(order, func(a, b int) int {
		va, vb := &s.Visits[a], &s.Visits[b]
		return cmp.Or(cmp.Compare(va.Unit, vb.Unit), va.Date.Compare(vb.Date), cmp.Compare(va.Pass, vb.Pass))
	})
	var seasons [][]int // visits of each, in order of time
	for from := 0; from < len(order); {
		first, to := &s.Visits[order[from]], from+1
		for to < len(order) && s.Visits[order[to]].Unit == first.Unit && s.Visits[order[to]].Date.Year() == first.Date.Year() {
			to++
		}
		seasons = append(seasons, order[from:to:to])
		from = to
	}
	elements, yields := make([]UnitSeason, len(seasons)), make([]Yield, len(seasons))
	sum := make([]int64, len(s.Groups))
	for i, at := range seasons {
		first := &s.Visits[at[0]]
		u, year, counted := &s.Units[first.Unit], first.Date.Year(), countedVisits(s, at, finds)
		yields[i] = Yield{
			Unit: u, Year: year, Visits: at, Counted: counted,
			Years:  yearsSince(s.Strata[u.Stratum].FireYear, year),
			Counts: sumCounts(s, counted, sum),
		}
		elements[i] = UnitSeason{&yields[i]}
	}
	slices.SortFunc(elements, func(a, b UnitSeason) int {
		return cmp.Or(cmp.Compare(a.Unit.Stratum, b.Unit.Stratum), cmp.Compare(a.Unit.ID, b.Unit.ID), cmp.Compare(a.Year, b.Year))
	})
	return elements
}

// FindsByVisit is the number of fruit bodies of the target taxa on each visit.
func (s *Season) FindsByVisit() []int64 {
	finds := make([]int64, len(s.Visits))
	for v := range finds {
		for _, n := range s.counts.of(v) {
			finds[v] += n
		}
	}
	return finds
}

// countedVisits are the visits that make a season of a unit: all of them where
// each records only what is new, those of the fullest day where each records
// all that stands. A pass records only what earlier passes of its day did not,
// by either rule, so that a day is the sum of its passes. The fullest day is the
// one with the most fruit bodies of all groups together, the earliest of equals, so
// that the groups of a unit add up.
func countedVisits(s *Season, visits []int, finds []int64) []int {
	if s.Settings.Counting.Rule != survey.Standing {
		return visits
	}
	var fullest []int
	most := int64(-1)
	for _, day := range s.Days(visits) {
		n := int64(0)
		for _, v := range day {
			n += finds[v]
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

// sumCounts adds the counts of some visits up. sum has a zero for each group, and has
// so again afterwards.
func sumCounts(s *Season, visits []int, sum []int64) GroupCounts {
	var some [16]int
	groups := some[:0] // that were found
	for _, v := range visits {
		for number, n := range s.counts.of(v) {
			group := int(number)
			if !slices.Contains(groups, group) {
				groups = append(groups, group)
			}
			sum[group] += n
		}
	}
	slices.Sort(groups)
	counts := make(GroupCounts, len(groups))
	for i, group := range groups {
		counts[i] = GroupCount{group, sum[group]}
		sum[group] = 0
	}
	return counts
}

// yearsSince counts growing seasons: visit year minus fire year.
func yearsSince(fire, year int) string {
	if fire == 0 {
		return result.Unburned
	}
	return strconv.Itoa(year - fire)
}
