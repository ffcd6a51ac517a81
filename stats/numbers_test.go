package stats

import (
	"maps"
	"testing"
)

func TestNumbers(t *testing.T) {
	n := NewNumbers[string](0)
	for i, name := range []string{"", "b", "b", "a", "b", "c", ""} {
		if got, want := n.Of(name), []int{0, 1, 1, 2, 1, 3, 0}[i]; got != want {
			t.Errorf("name %d, %q, has number %d, want %d", i, name, got, want)
		}
	}
	if want := map[string]int{"": 0, "b": 1, "a": 2, "c": 3}; !maps.Equal(n.Names, want) {
		t.Errorf("%v, want %v", n.Names, want)
	}
}
