package fieldwork

import (
	"cmp"
	"slices"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
)

// histories are who saw what: finds that are alike are one entry, so that it grows
// with the number of visits and of ways to be seen, and only along lines with
// the number of finds.
type histories struct {
	Names  []string
	nameOf map[string]int
	Finds  map[History]int64 // how often
}

// History is a find as its observers saw it.
type History struct {
	Visit int
	Saw   uint64 // a bit for each observer of the visit, in their order
	N     int64  // fruit bodies
	// distanceM from a line; elsewhere 0.
	DistanceM float64
}

// mostObservers is how many of one visit are told apart: the bits of a history.
const mostObservers = 64

func newHistories() histories {
	return histories{nameOf: map[string]int{}, Finds: map[History]int64{}}
}

// observers reads the names of a visit.
func (s *histories) observers(list string) []int {
	if list == "" {
		return nil
	}
	var who []int
	for name := range strings.SplitSeq(list, ";") {
		at, known := s.nameOf[name]
		if !known {
			name = strings.Clone(name)
			at = len(s.Names)
			s.nameOf[name] = at
			s.Names = append(s.Names, name)
		}
		who = append(who, at)
	}
	return who[:min(len(who), mostObservers)]
}

// addHistory takes finds of n fruit bodies each, which are alike, on a visit that
// names its observers.
func (s collector) addHistory(visit int, seenBy string, finds, n int64, distance column.Float) {
	v := s.Visits[visit]
	if len(v.Observers) == 0 {
		return
	}
	found := History{Visit: visit, N: n}
	if s.Units[v.Unit].Method == result.Line {
		found.DistanceM = distance.Value
	}
	if seenBy != "" {
		for name := range strings.SplitSeq(seenBy, ";") {
			if at := slices.Index(v.Observers, s.Histories.nameOf[name]); at >= 0 && s.Histories.Names[v.Observers[at]] == name {
				found.Saw |= 1 << at
			}
		}
	}
	if len(v.Observers) == 1 {
		found.Saw = 1 // whose else?
	}
	s.Histories.Finds[found] += finds
}

// HistoriesByVisit lists the detection histories of each visit, in an order of their own.
func (s *Season) HistoriesByVisit() map[int][]History {
	of := map[int][]History{}
	for f := range s.Histories.Finds {
		of[f.Visit] = append(of[f.Visit], f)
	}
	for _, list := range of {
		slices.SortFunc(list, func(a, b History) int {
			return cmp.Or(cmp.Compare(a.DistanceM, b.DistanceM), cmp.Compare(a.N, b.N), cmp.Compare(a.Saw, b.Saw))
		})
	}
	return of
}
