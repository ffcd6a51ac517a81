package fieldwork

import (
	"slices"

	"ashtally/pipeline/slab"
)

// placed is fruit bodies of one mode at one distance in one number: from the highest
// bit on the mode, the distance in centimetres, whether the tree recorded is a live
// host, and how many.
type placed uint64

const (
	placedBits = 24 // of the number
	placedMost = 1<<placedBits - 1
	hostBits   = 1
	cmBits     = 31
)

func newPlaced(mode uint8, cm int32, host bool, n int64) placed {
	p := placed(mode)<<cmBits | placed(cm)
	p <<= hostBits
	if host {
		p |= 1
	}
	return p<<placedBits | placed(n)
}

func (p placed) n() int64   { return int64(p & placedMost) }
func (p placed) host() bool { return p>>placedBits&1 == 1 }
func (p placed) cm() int32  { return int32(p >> (placedBits + hostBits) & (1<<cmBits - 1)) }
func (p placed) mode() int  { return int(p >> (placedBits + hostBits + cmBits)) }

// alike reports whether two differ in their number alone.
func (p placed) alike(q placed) bool { return p>>placedBits == q>>placedBits }

// merged sorts and adds up those that are alike, in place. Of a number over placedMost
// there are several.
func merged(list []placed) []placed {
	slices.Sort(list)
	kept := 0
	for from := 0; from < len(list); {
		to, n := from, int64(0)
		for ; to < len(list) && list[to].alike(list[from]); to++ {
			n += list[to].n()
		}
		for one := list[from] &^ placedMost; n > 0; kept++ {
			list[kept] = one | placed(min(n, placedMost))
			n -= list[kept].n()
		}
		from = to
	}
	return list[:kept]
}

// placedFinds are those of all visits, in runs. Finds come visit by visit, so that
// most visits have one run; where they do not, runs are joined whenever there are
// twice as many finds as after the last time. What is held grows with the visits
// and the distances that occur, not with the finds.
type placedFinds struct {
	finds   slab.List[placed]
	runs    slab.List[placedRun]
	first   []uint32 // run of each visit, from 1; 0 = none
	visit   int      // of the run that is open
	open    []placed
	settled int // finds after the last joining
}

// placedRun is finds of a visit that stand next to each other.
type placedRun struct{ from, n, next uint32 }

// add adds n fruit bodies of a visit.
func (l *placedFinds) add(visit int, mode uint8, cm int32, host bool, n int64) {
	if visit != l.visit {
		l.flush()
		l.visit = visit
	}
	for ; n > 0; n -= placedMost {
		l.open = append(l.open, newPlaced(mode, cm, host, min(n, placedMost)))
	}
}

// flush ends the open run.
func (l *placedFinds) flush() {
	if len(l.open) == 0 {
		return
	}
	if short := l.visit + 1 - len(l.first); short > 0 {
		l.first = append(l.first, make([]uint32, short)...)
	}
	l.put(l.visit, merged(l.open))
	l.open = l.open[:0]
	const few = 1 << 16
	if l.finds.Len() > 2*l.settled+few {
		l.join()
	}
}

// put adds a run.
func (l *placedFinds) put(visit int, list []placed) {
	l.runs.Add(placedRun{uint32(l.finds.Len()), uint32(len(list)), l.first[visit]})
	l.first[visit] = uint32(l.runs.Len())
	for _, p := range list {
		l.finds.Add(p)
	}
}

// join makes one run of those of each visit.
func (l *placedFinds) join() {
	several := func(first uint32) bool { return first > 0 && l.runs.At(int(first-1)).next > 0 }
	if slices.ContainsFunc(l.first, several) {
		next := placedFinds{first: make([]uint32, len(l.first)), visit: l.visit, open: l.open}
		var list []placed
		for v := range l.first {
			if list = l.of(v, list[:0]); len(list) > 0 {
				next.put(v, list)
			}
		}
		*l = next
	}
	l.settled = l.finds.Len()
}

// count is how many of returns at most.
func (l *placedFinds) count(visit int) (n int) {
	if visit >= len(l.first) {
		return 0
	}
	for at := l.first[visit]; at > 0; {
		run := l.runs.At(int(at - 1))
		n, at = n+int(run.n), run.next
	}
	return n
}

// of appends those of a visit to an empty list.
func (l *placedFinds) of(visit int, list []placed) []placed {
	if visit >= len(l.first) {
		return list
	}
	for at := l.first[visit]; at > 0; {
		run := *l.runs.At(int(at - 1))
		for i := range run.n {
			list = append(list, *l.finds.At(int(run.from + i)))
		}
		at = run.next
	}
	return merged(list)
}
