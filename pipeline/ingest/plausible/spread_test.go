package plausible

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// Quantiles are held to those of the sorted values, within a class of 1/32 on the
// scale of logarithms.
func TestSpreadQuantiles(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	var s Spread[int]
	var all []float64
	for i := range 2000 {
		v := math.Exp(0.4724 * random.NormFloat64()) // a CV of 0.5
		all = append(all, v)
		if s.Add(v); s.Tells(v) {
			s.Keep(v, i)
		}
	}
	s.Add(0)
	s.Add(math.Inf(1))
	s.Add(math.NaN())
	slices.Sort(all)
	for _, share := range []float64{0.05, 0.5, 0.95} {
		want := all[int(math.Ceil(share*2000))-1]
		if got := s.Quantile(share); got < want || got > want*math.Exp(1.0/perE) {
			t.Errorf("quantile %g is %g, want %g or up to a class above", share, got, want)
		}
	}
	if s.N() != 2000 || s.high[0].Value != all[1999] || s.low[0].Value != all[0] || len(s.high) != tails || s.high[tails-1].Value != all[2000-tails] {
		t.Error("the farthest are not those of the sorted values")
	}
	if low, high := s.Far(5); len(low)+len(high) > 0 {
		t.Errorf("%v, %v are far among log-normal values", low, high)
	}
}

// One value of twenty ten times the others is far; one of five is not, as nothing
// is known then.
func TestSpreadFar(t *testing.T) {
	var s Spread[string]
	for i := range 19 {
		v := 10 + float64(i)
		s.Add(v)
		s.Keep(v, "usual")
	}
	s.Add(190)
	s.Keep(190, "far")
	s.Add(1)
	s.Keep(1, "near 0")
	low, high := s.Far(5)
	if len(high) != 1 || high[0].Of != "far" || len(low) != 1 || low[0].Of != "near 0" {
		t.Errorf("low %v, high %v", low, high)
	}
	if !s.Within(15) || s.Within(190) || s.Within(1) {
		t.Error("what lies within is not the middle")
	}
	var few Spread[string]
	for _, v := range []float64{1, 1, 1, 1, 100} {
		few.Add(v)
		few.Keep(v, "")
	}
	if low, high := few.Far(5); len(low)+len(high) > 0 {
		t.Error("five values are no distribution")
	}
	if !math.IsNaN((&Spread[int]{}).Quantile(0.5)) {
		t.Error("no values have a median")
	}
}
