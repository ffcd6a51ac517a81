package analyze

import (
	"cmp"
	"slices"
	"strings"

	"ashtally/pipeline/column"
)

// sights are who saw what: finds that are alike are one entry, so that it grows
// with the number of visits and of ways to be seen, and only along lines with
// the number of finds.
type sights struct {
	names  []string
	nameOf map[string]int
	finds  map[sight]int64 // how often
}

// sight is a find as its observers saw it.
type sight struct {
	visit int
	saw   uint64 // a bit for each observer of the visit, in their order
	n     int64  // fruit bodies
	// distanceM from a line; elsewhere 0.
	distanceM float64
}

// mostObservers is how many of one visit are told apart: the bits of a sight.
const mostObservers = 64

func newSights() sights {
	return sights{nameOf: map[string]int{}, finds: map[sight]int64{}}
}

// observers reads the names of a visit.
func (s *sights) observers(list string) []int {
	if list == "" {
		return nil
	}
	var who []int
	for name := range strings.SplitSeq(list, ";") {
		at, known := s.nameOf[name]
		if !known {
			name = strings.Clone(name)
			at = len(s.names)
			s.nameOf[name] = at
			s.names = append(s.names, name)
		}
		who = append(who, at)
	}
	return who[:min(len(who), mostObservers)]
}

// see takes a find on a visit that names its observers.
func (s *Season) see(visit int, seenBy string, n int64, distance column.Float) {
	v := s.visits[visit]
	if len(v.observers) == 0 {
		return
	}
	found := sight{visit: visit, n: n}
	if s.units[v.unit].method == LineMethod {
		found.distanceM = distance.Value
	}
	if seenBy != "" {
		for name := range strings.SplitSeq(seenBy, ";") {
			if at := slices.Index(v.observers, s.sights.nameOf[name]); at >= 0 && s.sights.names[v.observers[at]] == name {
				found.saw |= 1 << at
			}
		}
	}
	if len(v.observers) == 1 {
		found.saw = 1 // whose else?
	}
	s.sights.finds[found]++
}

// sightsByVisit lists the sights of each visit, in an order of their own.
func (s *Season) sightsByVisit() map[int][]sight {
	of := map[int][]sight{}
	for f := range s.sights.finds {
		of[f.visit] = append(of[f.visit], f)
	}
	for _, list := range of {
		slices.SortFunc(list, func(a, b sight) int {
			return cmp.Or(cmp.Compare(a.distanceM, b.distanceM), cmp.Compare(a.n, b.n), cmp.Compare(a.saw, b.saw))
		})
	}
	return of
}
