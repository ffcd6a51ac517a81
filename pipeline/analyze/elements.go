package analyze

import (
	"cmp"
	"slices"
	"strconv"

	"ashtally/pipeline/survey"
)

// element is a unit in a season: what one plot or transect yielded in one
// calendar year by the survey's counting rule.
type element struct {
	unit    unit
	years   string       // growing seasons since the fire of its stratum
	year    int          // calendar year
	visits  []int        // all searches of that year, in order of time
	counted []int        // those of them that make the season
	counts  []groupCount // in order of group; target taxa only
}

type groupCount struct {
	group int
	n     int64
}

func (e element) finds() int64 {
	var n int64
	for _, c := range e.counts {
		n += c.n
	}
	return n
}

// site names what the element shares its luck with: the crew's site, or the
// unit itself, so that two seasons of one unit are never independent.
func (e element) site() string {
	if e.unit.site != "" {
		return "site " + e.unit.site
	}
	return "unit " + e.unit.id
}

// elements returns the units of a method that were visited, a season each,
// ordered by stratum, unit and year whatever the order of the rows.
func (s *Season) elements() []element {
	byVisit := s.countsByVisit()
	type season struct{ unit, year int }
	visits := map[season][]int{}
	for i, v := range s.visits {
		key := season{v.unit, v.date.Year()}
		visits[key] = append(visits[key], i)
	}
	elements := make([]element, 0, len(visits))
	for key, at := range visits {
		slices.SortFunc(at, func(a, b int) int {
			va, vb := s.visits[a], s.visits[b]
			return cmp.Or(va.date.Compare(vb.date), cmp.Compare(va.pass, vb.pass))
		})
		u, counted := s.units[key.unit], s.countedVisits(at, byVisit)
		elements = append(elements, element{
			unit: u, year: key.year, visits: at, counted: counted,
			years:  yearsSince(s.strata[u.stratum].fire, key.year),
			counts: sumCounts(counted, byVisit),
		})
	}
	slices.SortFunc(elements, func(a, b element) int {
		return cmp.Or(cmp.Compare(a.unit.stratum, b.unit.stratum), cmp.Compare(a.unit.id, b.unit.id), cmp.Compare(a.year, b.year))
	})
	return elements
}

func (s *Season) countsByVisit() [][]groupCount {
	byVisit := make([][]groupCount, len(s.visits))
	for key, n := range s.counts {
		byVisit[key.visit] = append(byVisit[key.visit], groupCount{key.group, n})
	}
	for _, counts := range byVisit {
		slices.SortFunc(counts, func(a, b groupCount) int { return cmp.Compare(a.group, b.group) })
	}
	return byVisit
}

// countedVisits are the visits that make a season of a unit: all of them where
// each records only what is new, those of the fullest day where each records
// all that stands. A pass records only what earlier passes of its day did not,
// by either rule, so that a day is the sum of its passes. The fullest day is the
// one with the most fruit bodies of all groups together, the earliest of equals, so
// that the groups of a unit add up.
func (s *Season) countedVisits(visits []int, byVisit [][]groupCount) []int {
	if s.settings.Counting.Rule != survey.Standing {
		return visits
	}
	var fullest []int
	most := int64(-1)
	for _, day := range s.days(visits) {
		n := int64(0)
		for _, v := range day {
			n += element{counts: byVisit[v]}.finds()
		}
		if n > most {
			fullest, most = day, n
		}
	}
	return fullest
}

// days divides the visits of a unit, in order of time, into those of each day.
func (s *Season) days(visits []int) [][]int {
	var days [][]int
	for from := 0; from < len(visits); {
		to := from + 1
		for to < len(visits) && s.visits[visits[to]].date == s.visits[visits[from]].date {
			to++
		}
		days = append(days, visits[from:to])
		from = to
	}
	return days
}

func sumCounts(visits []int, byVisit [][]groupCount) []groupCount {
	sum := map[int]int64{}
	for _, v := range visits {
		for _, c := range byVisit[v] {
			sum[c.group] += c.n
		}
	}
	counts := make([]groupCount, 0, len(sum))
	for g, n := range sum {
		counts = append(counts, groupCount{g, n})
	}
	slices.SortFunc(counts, func(a, b groupCount) int { return cmp.Compare(a.group, b.group) })
	return counts
}

// yearsSince counts growing seasons: visit year minus fire year.
func yearsSince(fire, year int) string {
	if fire == 0 {
		return Unburned
	}
	return strconv.Itoa(year - fire)
}
