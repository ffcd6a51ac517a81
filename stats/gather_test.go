package stats

import (
	"reflect"
	"testing"
)

// TestGather: the items of a group keep their order, an empty group has none, and one
// that is extended leaves the next as it is.
func TestGather(t *testing.T) {
	of := []int{2, 0, 2, 3, 0, 2}
	got := Gather(len(of), 4, func(i int) int { return of[i] })
	if want := [][]int{{1, 4}, {}, {0, 2, 5}, {3}}; !reflect.DeepEqual(got, want) {
		t.Fatalf("%v, want %v", got, want)
	}
	_ = append(got[0], 9)
	if got[2][0] != 0 {
		t.Errorf("a group begins with %d after the one before was extended", got[2][0])
	}
	if none := Gather(0, 0, func(int32) int { return 0 }); len(none) != 0 {
		t.Errorf("%v of nothing", none)
	}
}
