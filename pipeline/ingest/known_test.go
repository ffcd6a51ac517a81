package ingest

import (
	"testing"

	"ashtally/pipeline/column"
)

// TestManyOfUnit: visits and trees of units are found, few or many, and those of
// another unit are not.
func TestManyOfUnit(t *testing.T) {
	k := newKnown()
	for n := range 2 {
		k.unitList.Add(unit{number: uint32(n)})
	}
	a, b := k.unitList.At(0), k.unitList.At(1)
	k.addVisit(b, visitKey{b.number, 7, 1}, visit{day: 7, pass: 1})
	for i := range int32(3 * few) {
		key := visitKey{a.number, i / 2, 1 + i%2}
		if n := k.visitNumber(a, key); n != 0 {
			t.Fatalf("visit %d is there before it is added: %d", i, n)
		}
		k.addVisit(a, key, visit{day: key.day, pass: key.pass})
		alive := column.Bool{Value: i%3 == 0, Known: i%3 < 2}
		if _, twice := k.addTree(a, uint32(i/3), alive, spot{1, uint32(i)}); twice {
			t.Fatalf("tree %d is there before it is added", i)
		}
		for j := range i + 1 {
			v := k.visit(k.visitNumber(a, visitKey{a.number, j / 2, 1 + j%2}))
			if v == nil || v.day != j/2 || v.pass != 1+j%2 {
				t.Fatalf("of %d visits, number %d is %+v", i+1, j, v)
			}
			alive := column.Bool{Value: j%3 == 0, Known: j%3 < 2}
			if first, twice := k.addTree(a, uint32(j/3), alive, spot{}); !twice || first != (spot{1, uint32(j)}) {
				t.Fatalf("of %d trees, number %d stands in %v", i+1, j, first)
			}
		}
	}
	if n := k.visitNumber(a, visitKey{a.number, 7, 3}); n != 0 {
		t.Errorf("visit %d of another pass", n)
	}
	if k.visitNumber(b, visitKey{b.number, 7, 1}) != 1 || len(k.visitsOf(a)) != 3*few || len(k.visitsOf(b)) != 1 {
		t.Error("visits of units run into each other")
	}
	if _, twice := k.addTree(b, 0, column.Bool{}, spot{}); twice {
		t.Error("a tree of another unit")
	}
}
