package association

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// TestMedians: those of groups taken several times, and of groups whose finds and points
// change places, are those of the spots written out.
func TestMedians(t *testing.T) {
	w := world{sites: 9, units: 2, pull: 0.4}.draw(3).lay(range6, Options{Confidence: 0.95})
	groups := len(w.groupList())
	c := w.curves(groups)
	rng := rand.New(rand.NewPCG(2, 2))
	times, swaps := make(taken, 50), make(swapped, 50)
	for i := range times {
		for range groups {
			times[i], swaps[i] = append(times[i], float64(rng.IntN(3))), append(swaps[i], rng.IntN(2))
		}
	}
	for i := range times {
		var drawn, turned [2][]spot
		for side, spots := range w.spots {
			for _, p := range spots {
				g := w.group[w.layout.Cluster(int(p.unit))]
				p.count *= w.layout.Weight(int(p.unit))
				for range int(times[i][g]) {
					drawn[side] = append(drawn[side], p)
				}
				turned[side^swaps[i][g]] = append(turned[side^swaps[i][g]], p)
			}
		}
		check := func(what string, sum func([]entry) sums, want [2][]spot) {
			find, point := c.medians(sum)
			for side, got := range []float64{find[i%atOnce], point[i%atOnce]} {
				if want := survivalMedian(want[side]); got != want && !(math.IsNaN(got) && math.IsNaN(want)) {
					t.Errorf("set %d, %s: median %d is %v, want %v", i, what, side, got, want)
				}
			}
		}
		check("drawn", times.from(i/atOnce*atOnce), drawn)
		check("swapped", swaps.from(i/atOnce*atOnce), turned)
	}
}

// survivalMedian is by the definition of Kaplan & Meier (1958), at each distance in turn.
func survivalMedian(spots []spot) float64 {
	var distances []float64
	for _, p := range spots {
		distances = append(distances, p.distanceM)
	}
	slices.Sort(distances)
	survival := 1.0
	for _, d := range slices.Compact(distances) {
		var events, atRisk float64
		for _, p := range spots {
			if p.distanceM >= d {
				atRisk += p.count
			}
			if p.distanceM == d && p.host {
				events += p.count
			}
		}
		survival *= 1 - events/atRisk
		if survival <= 0.5+1e-9 {
			return d
		}
	}
	return math.NaN()
}
