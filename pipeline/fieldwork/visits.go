package fieldwork

import "ashtally/pipeline/column"

type visitKey struct{ unit, day, pass int32 }

// visitIndex finds visits by unit, day and pass. Those of a unit are mostly few, and gone
// through from the last to the first; where they are many, they are looked up in a map.
type visitIndex struct {
	last   []int32 // of each unit, its last visit, from 1; 0 = none
	n      []int32 // how many each has
	before []int32 // of each visit, the one of its unit before it, from 1
	many   map[visitKey]int32
}

// fewVisits is how many visits of a unit are gone through.
const fewVisits = 16

// keyOf is what a visit is found by.
func (v *Visit) keyOf() visitKey { return visitKey{v.Unit, v.Date.Days(), v.Pass} }

// addVisit adds a visit to the season.
func (s collector) addVisit(v Visit) {
	x := &s.visitOf
	if short := int(v.Unit) + 1 - len(x.last); short > 0 {
		x.last, x.n = append(x.last, make([]int32, short)...), append(x.n, make([]int32, short)...)
	}
	at := len(s.Visits)
	s.Visits, s.Cuts = append(s.Visits, v), append(s.Cuts, Cut{})
	x.before = append(x.before, x.last[v.Unit])
	x.last[v.Unit] = int32(at + 1)
	x.n[v.Unit]++
	switch n := x.n[v.Unit]; {
	case n == fewVisits+1:
		if x.many == nil {
			x.many = map[visitKey]int32{}
		}
		for i := x.last[v.Unit]; i > 0; i = x.before[i-1] {
			x.many[s.Visits[i-1].keyOf()] = i - 1
		}
	case n > fewVisits:
		x.many[v.keyOf()] = int32(at)
	}
}

// visitAt finds a visit of a unit.
func visitAt(s *Season, unit int, date column.Date, pass int64) (at int, ok bool) {
	x := &s.visitOf
	if unit >= len(x.last) {
		return 0, false
	}
	key := visitKey{int32(unit), date.Days(), int32(pass)}
	if x.n[unit] > fewVisits {
		at, ok := x.many[key]
		return int(at), ok
	}
	for i := x.last[unit]; i > 0; i = x.before[i-1] {
		if s.Visits[i-1].keyOf() == key {
			return int(i - 1), true
		}
	}
	return 0, false
}
