package detect

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"ashtally/stats"
)

// distancesFrom are n distances within 20 m.
type distancesFrom struct {
	name string
	draw func(r *rand.Rand) float64
}

const spikeWidth = 20.0

// within draws until a distance lies within the width searched.
func within(draw func(r *rand.Rand) float64) func(r *rand.Rand) float64 {
	return func(r *rand.Rand) float64 {
		for {
			if x := math.Abs(draw(r)); x <= spikeWidth {
				return x
			}
		}
	}
}

func normal(scale float64) func(r *rand.Rand) float64 {
	return within(func(r *rand.Rand) float64 { return scale * r.NormFloat64() })
}

// eitherOf draws from the first with a chance of share.
func eitherOf(share float64, first, second func(r *rand.Rand) float64) func(r *rand.Rand) float64 {
	return func(r *rand.Rand) float64 {
		if r.Float64() < share {
			return first(r)
		}
		return second(r)
	}
}

// told is the share of so many surveys of n that tell of a spike.
func (w distancesFrom) told(n, surveys int) float64 {
	told := 0
	for i := range surveys {
		r := rand.New(rand.NewPCG(spikeSeed, uint64(i)))
		d := Data{Right: spikeWidth}
		for range n {
			d.Distance = append(d.Distance, w.draw(r))
		}
		if s, err := New(d); err == nil && tellsOfSpike(s) {
			told++
		}
	}
	return float64(told) / float64(surveys)
}

// TestSpikeByHand: of 20 distances in a row from 0.5 to 19.5 m none is near the
// line more than another; ten more within 0.2 m are a spike, and, at 0, rounded.
func TestSpikeByHand(t *testing.T) {
	even := evenly(20, 20)
	tell := func(distance []float64, left float64) string {
		s, err := New(Data{Distance: distance, Left: left, Right: 20})
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range s.Warnings() {
			if w.Code == SpikeAtZero.Code {
				return w.Text
			}
		}
		return ""
	}
	if got := tell(even, 0); got != "" {
		t.Errorf("even distances: %s", got)
	}
	var close, zero []float64
	for i := range 10 {
		close, zero = append(close, 0.017*float64(i+1)), append(zero, 0)
	}
	if got := tell(append(close, even...), 0); !strings.HasPrefix(got, "11 detections within 0.832 m of the line, where 2.1 of all 30 are expected, "+
		"so that detection has no shoulder") {
		t.Errorf("ten distances within 0.2 m: %s", got)
	}
	if got := tell(append(zero, even...), 0); !strings.Contains(got, "10 are at exactly 0") || !strings.Contains(got, "round small distances to 0") {
		t.Errorf("ten distances of 0: %s", got)
	}
	if got := tell(append(close, even...), 0.5); got != "" {
		t.Errorf("a left truncation beyond the spike: %s", got)
	}
}

// TestSpikeOfRoundedDistances: whole metres and classes of distance have no
// spike of their own making.
func TestSpikeOfRoundedDistances(t *testing.T) {
	for _, step := range []float64{0.5, 1, 2} {
		w := distancesFrom{"rounded", func(r *rand.Rand) float64 { return step * math.Round(normal(7)(r)/step) }}
		if p := w.told(60, 100); p > 0.06 {
			t.Errorf("half-normal rounded to %g m: a spike in %.3f", step, p)
		}
		spiked := distancesFrom{"rounded", func(r *rand.Rand) float64 { return step * math.Round(eitherOf(0.5, normal(0.7), normal(7))(r)/step) }}
		if p := spiked.told(60, 100); step < 2 && p < 0.9 {
			t.Errorf("a spike rounded to %g m: told of in %.3f", step, p)
		}
	}
	for _, half := range []bool{false, true} {
		r := rand.New(rand.NewPCG(1, 1))
		d := Data{Bins: []Bin{{0, 1}, {1, 2}, {2, 4}, {4, 8}, {8, 12}, {12, 20}}}
		for range 80 {
			x := normal(7)(r)
			if half {
				x = eitherOf(0.5, normal(0.7), normal(7))(r)
			}
			d.Distance = append(d.Distance, x)
		}
		s, err := New(d)
		if err != nil {
			t.Fatal(err)
		}
		if got := tellsOfSpike(s); got != half {
			t.Errorf("classes with a spike %t: told %t", half, got)
		}
	}
}

func tellsOfSpike(s *Sample) bool {
	return slices.ContainsFunc(s.Warnings(), func(w stats.Warning) bool { return w.Code == SpikeAtZero.Code })
}
