// Package slab has lists that grow without moving: what they hold can be pointed at,
// and nothing is copied, so that no memory is needed for two copies at once.
package slab

import "iter"

// block is the number of elements that room is made for at a time.
const block = 256

// List is a list of elements in blocks. The zero value is an empty list.
type List[T any] struct {
	blocks [][]T
	n      int
}

// Len is the number of elements.
func (l *List[T]) Len() int { return l.n }

// At returns where element i lies, from 0.
func (l *List[T]) At(i int) *T { return &l.blocks[i/block][i%block] }

// Add appends an element and returns where it lies.
func (l *List[T]) Add(v T) *T {
	if l.n%block == 0 {
		l.blocks = append(l.blocks, make([]T, 0, block))
	}
	last := &l.blocks[len(l.blocks)-1]
	*last = append(*last, v)
	l.n++
	return &(*last)[len(*last)-1]
}

// All goes through the elements, in order.
func (l *List[T]) All() iter.Seq2[int, *T] {
	return func(yield func(int, *T) bool) {
		for i := range l.n {
			if !yield(i, l.At(i)) {
				return
			}
		}
	}
}
