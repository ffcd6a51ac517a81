package strata

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"ashtally/stats"
	"ashtally/stats/statstest"
)

// list has strata of the means given, named a, b, c ...
func list(means ...float64) []Stratum {
	var all []Stratum
	for i, m := range means {
		all = append(all, Stratum{Name: string(rune('a' + i)), Mean: m})
	}
	return all
}

func TestCollapse(t *testing.T) {
	with := list(10, 90, 12)
	with[2].With = "b"
	elsewhere := list(10, 90, 12)
	elsewhere[2].With = "nowhere"
	cases := []struct {
		name     string
		list     []Stratum
		clusters []int
		group    []int
		warnings []string // how each begins
	}{
		{"none alone", list(1, 2, 3), []int{2, 5, 9}, []int{0, 1, 2}, nil},
		{"one alone", list(10, 90, 12), []int{4, 5, 1}, []int{0, 1, 0}, []string{"stratum c has one independent unit or site and was collapsed with stratum a, the nearest"}},
		{"as the settings say", with, []int{4, 5, 1}, []int{0, 1, 1}, []string{"stratum c has one independent unit or site and was collapsed with stratum b, named in the settings"}},
		{"a name that is not there", elsewhere, []int{4, 5, 1}, []int{0, 1, 0}, []string{"stratum c has one independent unit or site and was collapsed with stratum a, the nearest"}},
		{"nearest of those searched", list(10, 90, 12), []int{0, 5, 1}, []int{-1, 0, 0}, []string{"stratum c has one independent unit or site and was collapsed with stratum b"}},
		{"two alone with one", list(50, 60, 40), []int{6, 1, 1}, []int{0, 0, 0}, []string{"stratum b has one", "stratum c has one"}},
		{"two alone, nearest each other", list(50, 10, 12), []int{6, 1, 1}, []int{0, 1, 1}, []string{"stratum b and stratum c have one independent unit or site each"}},
		{"one by way of another", list(50, 58, 64), []int{6, 1, 1}, []int{0, 1, 1}, []string{"stratum b and stratum c have one"}},
		{"three in a row", list(50, 58, 68), []int{6, 1, 1}, []int{0, 0, 0}, []string{"stratum b and stratum c have one", "stratum b has one"}},
		{"all alone", list(1, 2, 30, 31), []int{1, 1, 1, 1}, []int{0, 0, 1, 1}, []string{"stratum a and stratum b have one", "stratum c and stratum d have one"}},
		{"equally near, more clusters", list(10, 30, 20), []int{2, 9, 1}, []int{0, 1, 1}, []string{"stratum c has one independent unit or site and was collapsed with stratum b"}},
		{"equally near, by name", list(10, 30, 20), []int{5, 5, 1}, []int{0, 1, 0}, []string{"stratum c has one independent unit or site and was collapsed with stratum a"}},
		{"nobody else", list(10), []int{1}, []int{0}, nil},
		{"nothing searched", list(10, 20), []int{0, 0}, []int{-1, -1}, nil},
	}
	for _, c := range cases {
		got := Collapse(c.list, c.clusters)
		if !slices.Equal(got.Group, c.group) {
			t.Errorf("%s: groups %v, want %v", c.name, got.Group, c.group)
		}
		begins := func(w stats.Warning, with string) bool { return strings.HasPrefix(w.Text, with) }
		if !slices.EqualFunc(got.Warnings, c.warnings, begins) {
			t.Errorf("%s: %+v, want %q", c.name, got.Warnings, c.warnings)
		}
		if lone := len(got.Clusters) == 0 || slices.Max(got.Clusters) < 2; got.Lone() != lone {
			t.Errorf("%s: lone %v with clusters %v", c.name, got.Lone(), got.Clusters)
		}
	}
}

// TestOrderOfStrata: groups and warnings do not depend on the order of the strata.
func TestOrderOfStrata(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	for range 500 {
		all, clusters := list(make([]float64, 7)...), make([]int, 7)
		for i := range all {
			all[i].Mean, clusters[i] = float64(rng.IntN(4)), rng.IntN(3)
		}
		want := Collapse(all, clusters)
		order := rng.Perm(len(all))
		moved, counts := make([]Stratum, len(all)), make([]int, len(all))
		for to, from := range order {
			moved[to], counts[to] = all[from], clusters[from]
		}
		got := Collapse(moved, counts)
		if !slices.Equal(got.Warnings, want.Warnings) {
			t.Fatalf("%+v, in another order %+v", want.Warnings, got.Warnings)
		}
		for a, fromA := range order {
			for b, fromB := range order {
				if (got.Group[a] == got.Group[b]) != (want.Group[fromA] == want.Group[fromB]) {
					t.Fatalf("strata %d and %d: groups %v, in another order %v", fromA, fromB, want.Group, got.Group)
				}
			}
		}
	}
}

func TestMisuse(t *testing.T) {
	statstest.Panics(t, map[string]func(){"length": func() { Collapse(list(1), nil) }})
}
