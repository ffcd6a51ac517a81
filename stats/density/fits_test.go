package density

import (
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"ashtally/stats/statstest"
)

// TestFits: estimates of samples that were met before are the same to the last bit,
// and one sample is fitted once.
func TestFits(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 1))
	var samples []NamedSample
	for _, n := range []int{30, 12} {
		var s Sample
		for range n {
			s.AreaHa = append(s.AreaHa, 0.01*(1+r.Float64()))
			s.Count = append(s.Count, math.Floor(4*r.ExpFloat64()))
		}
		s.LandHa = 100
		samples = append(samples, NamedSample{Name: strconv.Itoa(n), Sample: s})
	}
	fits := new(Fits)
	want := Area(samples, Options{})
	for range 2 {
		got := Area(samples, Options{Fits: fits})
		statstest.Same(t, "area", got.Area, want.Area)
		for i := range samples {
			statstest.Same(t, samples[i].Name, got.Strata[i], want.Strata[i])
		}
	}
	kept := 0
	fits.byContent.Range(func(any, any) bool { kept++; return true })
	if kept != 2 {
		t.Errorf("%d samples fitted, want 2", kept)
	}
}
