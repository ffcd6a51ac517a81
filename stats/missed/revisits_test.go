package missed

import (
	"math"
	"math/rand/v2"
	"testing"

	"ashtally/stats/statstest"
)

// TestLost by hand, standing 15 days and missed with probability 0.4. Visits ten days
// apart: of what the first misses, ages 5 to 15 of 0 to 15 are gone by the second.
// On the second, ages 0 to 10 count whole and 10 to 15 by 0.4, as the first missed them:
// of 12, 7 are over 5. By the third, three days on, ages over 12 are gone: 3 x 0.4.
func TestLost(t *testing.T) {
	for _, c := range []struct {
		days []float64
		want []float64
	}{
		{[]float64{120}, []float64{1}},
		{[]float64{120, 140}, []float64{1, 1}},
		{[]float64{120, 135}, []float64{1, 1}},
		{[]float64{120, 130, 140}, []float64{10. / 15, 7. / 12, 1}},
		{[]float64{120, 130, 133}, []float64{10. / 15, 3 * 0.4 / 12, 1}},
		{[]float64{120, 121, 122}, []float64{1. / 15, 0.4 * 1 / (1 + 14*0.4), 1}},
	} {
		got := Lost(c.days, 15, 0.4)
		for i, want := range c.want {
			statstest.Near(t, "lost", got[i], want, 1e-12)
		}
	}
	if got := Lost([]float64{1, 6, 9}, 10, 0); math.Abs(got[0]-0.5) > 1e-12 || got[1] != 0 {
		t.Errorf("nothing is missed again: %v", got)
	}
	statstest.Panics(t, map[string]func(){
		"out of order": func() { Lost([]float64{3, 3}, 9, 0.5) },
		"no standing":  func() { Lost([]float64{3}, 0, 0.5) },
		"no share":     func() { Lost([]float64{3}, 9, 1.5) },
	})
}

// TestLostCounts: individuals that appear evenly, each seen on a visit with
// probability 0.6 while it stands, and recorded once: with what was lost, the records
// add up to those present on any visit. A corrected sum that takes all that was missed
// as lost is over by more than a tenth.
func TestLostCounts(t *testing.T) {
	const standing, chance, bodies = 12.0, 0.6, 400000
	days := []float64{100, 105, 113, 119}
	rng := rand.New(rand.NewPCG(1, 12))
	recorded := make([]float64, len(days))
	present := 0.0
	for range bodies {
		up, there, seen := 80+45*rng.Float64(), false, false
		for i, day := range days {
			if up <= day && day < up+standing {
				there = true
				if !seen && rng.Float64() < chance {
					seen = true
					recorded[i]++
				}
			}
		}
		if there {
			present++
		}
	}
	lost := Lost(days, standing, 1-chance)
	var once, twice float64
	for i, n := range recorded {
		once += n + lost[i]*n*(1-chance)/chance
		twice += n / chance
	}
	statstest.Relative(t, "present", once, present, 0.005)
	if twice < 1.1*present {
		t.Errorf("%v of %v without regard to later visits", twice, present)
	}
}

// TestCarried by hand, standing 15 days and missed with probability 0.4, as much
// appearing each day: on the second of visits ten days apart ten days' worth is new, and
// of five days before 0.4 stand unrecorded.
func TestCarried(t *testing.T) {
	even := func(from, to float64) float64 { return to - from }
	for i, want := range []float64{1, 1 + 5*0.4/10, 1 + (10*0.4+2*0.16)/3} {
		statstest.Near(t, "carried", Carried([]float64{120, 130, 133}, 15, 0.4, even)[i], want, 1e-12)
	}
	ended := func(from, to float64) float64 { return max(0, min(to, 129)-min(from, 129)) }
	if got := Carried([]float64{120, 129, 133}, 15, 0.4, ended); got[2] != mostCarried {
		t.Errorf("nothing new: %v", got)
	}
	if got := Carried([]float64{120, 140}, 15, 0.4, even); got[1] != 1 {
		t.Errorf("nothing stands on: %v", got)
	}
}
