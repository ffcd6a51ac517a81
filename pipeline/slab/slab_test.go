package slab

import "testing"

func TestList(t *testing.T) {
	var l List[int]
	first := l.Add(0)
	for i := 1; i < 3*block; i++ {
		l.Add(i)
	}
	if l.At(0) != first || l.Len() != 3*block {
		t.Fatalf("%d elements, the first elsewhere", l.Len())
	}
	next := 0
	for i, v := range l.All() {
		if i != next || *v != i || l.At(i) != v {
			t.Fatalf("element %d is %d", i, *v)
		}
		next++
	}
	if next != l.Len() {
		t.Errorf("%d elements of %d", next, l.Len())
	}
	for range l.All() {
		break
	}
}
