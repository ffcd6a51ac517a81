package density

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// TestShapeIsTold: the warnings of the shape of counts come where counts have it,
// in an area and in a stratum by itself, and negative binomial ones seldom have any.
func TestShapeIsTold(t *testing.T) {
	r := rand.New(rand.NewPCG(14, 1))
	poisson := func(mean float64) float64 { return distuv.Poisson{Lambda: mean, Src: r}.Rand() }
	for _, c := range []struct {
		name        string
		count       func() float64
		code        string
		least, most int // of 20 areas of 4 strata of 20 units
	}{
		{"log-normal rates, sd 2", func() float64 { return poisson(4 * math.Exp(2*r.NormFloat64()-2)) }, HeavyTail.Code, 7, 20},
		{"negative binomial, k 0.5", func() float64 { return poisson(4 * distuv.Gamma{Alpha: 0.5, Beta: 0.5, Src: r}.Rand()) }, HeavyTail.Code, 0, 2},
		{"zero-inflated Poisson", func() float64 {
			if r.Float64() < 0.6 {
				return 0
			}
			return poisson(10)
		}, "empty-ground", 18, 20},
		{"negative binomial, k 1", func() float64 { return poisson(4 * distuv.Gamma{Alpha: 1, Beta: 1, Src: r}.Rand()) }, "empty-ground", 0, 4},
	} {
		told := 0
		for range 20 {
			var samples []NamedSample
			for range 4 {
				s := Sample{AreaHa: tenths(20), LandHa: 100}
				for range 20 {
					s.Count = append(s.Count, c.count())
				}
				samples = append(samples, NamedSample{Sample: s})
			}
			if slices.Contains(codes(Area(samples, averaged).Area), c.code) {
				told++
			}
		}
		if told < c.least || told > c.most {
			t.Errorf("%s: %s in %d of 20 areas, want %d to %d", c.name, c.code, told, c.least, c.most)
		}
	}
	alone := Sample{AreaHa: tenths(24), Count: append(times(16, 0), 9, 8, 10, 9, 11, 7, 9, 10)}
	if e := Stratum(alone, averaged); !slices.Contains(codes(e), "empty-ground") {
		t.Errorf("a stratum by itself: %q", codes(e))
	}
	if e := Stratum(Sample{AreaHa: tenths(3), Count: []float64{0, 2, 1}}, averaged); !slices.Contains(codes(e), "few-units") || !slices.Contains(codes(e), "few-finds") {
		t.Errorf("three units: %q", codes(e))
	}
}
