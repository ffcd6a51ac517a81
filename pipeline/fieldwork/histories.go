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
	kinds  []History // without visit and times
	kindOf map[History]int
	times  byVisit // by kind

	last lastSeen
}

// lastSeen is the find before, which most are like.
type lastSeen struct {
	visit  int
	seenBy string
	saw    uint64
	kind   History
	at     int // of the kind
}

// History is a find as its observers saw it.
type History struct {
	Visit int
	Saw   uint64 // a bit for each observer of the visit, in their order
	N     int64  // fruit bodies
	Times int64  // how often
	// distanceM from a line; elsewhere 0.
	DistanceM float64
}

// mostObservers is how many of one visit are told apart: the bits of a history.
const mostObservers = 64

func newHistories() histories {
	return histories{nameOf: map[string]int{}, kindOf: map[History]int{}, last: lastSeen{visit: -1, at: -1}}
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
	v, h := &s.Visits[visit], &s.Histories
	if len(v.Observers) == 0 {
		return
	}
	if h.last.visit != visit || h.last.seenBy != seenBy {
		h.last.visit, h.last.seenBy, h.last.saw = visit, strings.Clone(seenBy), s.saw(v, seenBy)
	}
	kind := History{Saw: h.last.saw, N: n}
	if s.Units[v.Unit].Method == result.Line {
		kind.DistanceM = distance.Value
	}
	if h.last.at < 0 || h.last.kind != kind {
		h.last.kind, h.last.at = kind, h.kindAt(kind)
	}
	h.times.add(visit, uint64(h.last.at), finds)
}

// saw is which observers of a visit are named, a bit for each.
func (s collector) saw(v *Visit, seenBy string) (saw uint64) {
	if len(v.Observers) == 1 {
		return 1 // whose else?
	}
	if seenBy == "" {
		return 0
	}
	for name := range strings.SplitSeq(seenBy, ";") {
		if at := slices.Index(v.Observers, s.Histories.nameOf[name]); at >= 0 && s.Histories.Names[v.Observers[at]] == name {
			saw |= 1 << at
		}
	}
	return saw
}

func (s *histories) kindAt(kind History) int {
	at, ok := s.kindOf[kind]
	if !ok {
		at = len(s.kinds)
		s.kindOf[kind] = at
		s.kinds = append(s.kinds, kind)
	}
	return at
}

// HistoriesByVisit lists the detection histories of each visit, in an order of their own.
func (s *Season) HistoriesByVisit() map[int][]History {
	of := map[int][]History{}
	for v := range s.Visits {
		for kind, times := range s.Histories.times.of(v) {
			f := s.Histories.kinds[kind]
			f.Visit, f.Times = v, times
			of[v] = append(of[v], f)
		}
	}
	for _, list := range of {
		slices.SortFunc(list, func(a, b History) int {
			return cmp.Or(cmp.Compare(a.DistanceM, b.DistanceM), cmp.Compare(a.N, b.N), cmp.Compare(a.Saw, b.Saw))
		})
	}
	return of
}
