package fieldwork

import (
	"cmp"
	"encoding/binary"
	"iter"
	"slices"
)

// byVisit adds up counts by visit and by another number, such as a group's. Finds come
// visit by visit: the counts of the last visit are open, those of the others are packed
// into runs of bytes, some three for each count, without a pointer that the collector of
// garbage would follow. Most visits have one run; where they do not, runs are joined
// whenever those that continue others are half of all. What is held grows with the visits
// and the numbers that occur, not with the finds.
type byVisit struct {
	last   []runAt  // of each visit, its last run; 0 = none
	blocks [][]byte // the runs, one after the other
	run    []byte   // room for one

	visit int // the one that is open
	open  []numbered

	size, further int // bytes of all runs, and of those that continue others
}

// numbered is a number, and how many there are of it.
type numbered struct {
	number uint64
	n      int64
}

// runAt is where a run begins, from 1 on: the number of its block, and the place there
// in steps of runStep bytes. A run is the place of the one before it of its visit, how
// many numbers it has, and of each, ascending, its difference to the last and its count;
// all of them as uvarints.
type runAt uint32

const (
	// runBlock is the size of a block in bytes. A longer run has one of its own.
	runBlock = runStep << runBits

	runBits = 14
	runStep = 4
)

// fewOpen is how many of the open numbers are gone through to find one. Others are added
// again, and added up in the end.
const fewOpen = 16

// add adds n to the count of a visit and number.
func (b *byVisit) add(visit int, number uint64, n int64) {
	if visit != b.visit {
		b.flush()
		b.visit = visit
	}
	for i := range min(len(b.open), fewOpen) {
		if b.open[i].number == number {
			b.open[i].n += n
			return
		}
	}
	b.open = append(b.open, numbered{number, n})
}

// flush packs the open visit.
func (b *byVisit) flush() {
	if len(b.open) == 0 {
		return
	}
	if short := b.visit + 1 - len(b.last); short > 0 {
		b.last = append(b.last, make([]runAt, short)...)
	}
	b.put(b.visit, addedUp(b.open))
	b.open = b.open[:0]
	const few = 1 << 16
	if b.further > b.size/2+few {
		b.join()
	}
}

// addedUp sorts and adds up, in place.
func addedUp(list []numbered) []numbered {
	slices.SortFunc(list, func(a, b numbered) int { return cmp.Compare(a.number, b.number) })
	kept := list[:0]
	for _, one := range list {
		if last := len(kept) - 1; last >= 0 && kept[last].number == one.number {
			kept[last].n += one.n
		} else {
			kept = append(kept, one)
		}
	}
	return kept
}

// put adds a run.
func (b *byVisit) put(visit int, list []numbered) {
	run := binary.AppendUvarint(b.run[:0], uint64(b.last[visit]))
	run = binary.AppendUvarint(run, uint64(len(list)))
	before := uint64(0)
	for _, one := range list {
		run = binary.AppendUvarint(run, one.number-before)
		run = binary.AppendUvarint(run, uint64(one.n))
		before = one.number
	}
	for len(run)%runStep > 0 {
		run = append(run, 0)
	}
	b.run = run
	at := len(b.blocks) - 1
	if at < 0 || len(b.blocks[at])+len(run) > cap(b.blocks[at]) {
		b.blocks = append(b.blocks, make([]byte, 0, max(runBlock, len(run))))
		at++
	}
	if b.size += len(run); b.last[visit] > 0 {
		b.further += len(run)
	}
	b.last[visit] = runAt(at<<runBits|len(b.blocks[at])/runStep) + 1
	b.blocks[at] = append(b.blocks[at], run...)
}

// join makes one run of those of each visit.
func (b *byVisit) join() {
	next := byVisit{last: make([]runAt, len(b.last)), run: b.run, visit: b.visit, open: b.open}
	var list []numbered
	for v := range b.last {
		if list = b.list(v, list[:0]); len(list) > 0 {
			next.put(v, list)
		}
	}
	*b = next
}

// any reports whether a visit has a count.
func (b *byVisit) any(visit int) bool { return visit < len(b.last) && b.last[visit] > 0 }

// of goes through the numbers of a visit and their counts, in their order.
func (b *byVisit) of(visit int) iter.Seq2[uint64, int64] {
	return func(yield func(uint64, int64) bool) {
		if !b.any(visit) {
			return
		}
		before, numbers := b.runAt(b.last[visit])
		if before == 0 {
			numbers(yield)
			return
		}
		for _, one := range b.list(visit, nil) {
			if !yield(one.number, one.n) {
				return
			}
		}
	}
}

// most is how many numbers a visit has at most.
func (b *byVisit) most(visit int) (n int) {
	if b.any(visit) {
		for at := b.last[visit]; at > 0; {
			run := b.bytes(at)
			before, size := binary.Uvarint(run)
			count, _ := binary.Uvarint(run[size:])
			n, at = n+int(count), runAt(before)
		}
	}
	return n
}

// list appends the numbers of a visit to an empty list, in their order.
func (b *byVisit) list(visit int, list []numbered) []numbered {
	if !b.any(visit) {
		return list
	}
	for at := b.last[visit]; at > 0; {
		before, numbers := b.runAt(at)
		for number, n := range numbers {
			list = append(list, numbered{number, n})
		}
		at = before
	}
	return addedUp(list)
}

// bytes begin with a run.
func (b *byVisit) bytes(at runAt) []byte {
	at--
	return b.blocks[at>>runBits][at%(1<<runBits)*runStep:]
}

// runAt reads a run.
func (b *byVisit) runAt(at runAt) (before runAt, numbers iter.Seq2[uint64, int64]) {
	run := b.bytes(at)
	next := func() uint64 {
		v, size := binary.Uvarint(run)
		run = run[size:]
		return v
	}
	before = runAt(next())
	return before, func(yield func(uint64, int64) bool) {
		number := uint64(0)
		for range next() {
			number += next()
			if !yield(number, int64(next())) {
				return
			}
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
