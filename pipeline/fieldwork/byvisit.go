package fieldwork

import (
	"iter"

	"ashtally/pipeline/slab"
)

// byVisit holds values by visit and by another small number, such as a group's. It
// holds no pointer, so that the collector of garbage has nothing to follow. Finds
// come visit by visit: those of the last one are found by their numbers at once.
type byVisit[V any] struct {
	first []uint32 // cell of each visit, from 1; 0 = none
	cells slab.List[visitCell[V]]
	visit int      // the last one that was added to
	place []uint32 // its cell of each number, from 1; 0 = none
}

type visitCell[V any] struct {
	value        V
	number, next uint32
}

// at returns where the value of a visit and number lies; a new one is zero.
func (b *byVisit[V]) at(visit, number int) *V {
	if short := visit + 1 - len(b.first); short > 0 {
		b.first = append(b.first, make([]uint32, short)...)
	}
	if visit != b.visit {
		b.turnTo(visit)
	}
	if short := number + 1 - len(b.place); short > 0 {
		b.place = append(b.place, make([]uint32, short)...)
	}
	if b.place[number] == 0 {
		b.cells.Add(visitCell[V]{number: uint32(number), next: b.first[visit]})
		b.first[visit] = uint32(b.cells.Len())
		b.place[number] = b.first[visit]
	}
	return &b.cells.At(int(b.place[number] - 1)).value
}

// turnTo makes the numbers of a visit known in place of those of the last.
func (b *byVisit[V]) turnTo(visit int) {
	for c := b.first[b.visit]; c > 0; c = b.cells.At(int(c - 1)).next {
		b.place[b.cells.At(int(c-1)).number] = 0
	}
	for c := b.first[visit]; c > 0; c = b.cells.At(int(c - 1)).next {
		b.place[b.cells.At(int(c-1)).number] = c
	}
	b.visit = visit
}

// of goes through the numbers of a visit and their values, the last added first.
func (b *byVisit[V]) of(visit int) iter.Seq2[int, V] {
	return func(yield func(int, V) bool) {
		if visit >= len(b.first) {
			return
		}
		for c := b.first[visit]; c > 0; {
			cell := b.cells.At(int(c - 1))
			if !yield(int(cell.number), cell.value) {
				return
			}
			c = cell.next
		}
	}
}

// units is a set of units by their places in a season.
type units []uint64

func (u *units) add(unit int) {
	if short := unit/64 + 1 - len(*u); short > 0 {
		*u = append(*u, make(units, short)...)
	}
	(*u)[unit/64] |= 1 << (unit % 64)
}
