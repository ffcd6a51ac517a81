package detect

import (
	"flag"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"ashtally/stats"
)

var spikeSurveys = flag.Int("spikes", 100, "surveys of each kind that the test of a spike is tried on")

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

func hazard(scale, shape float64) func(r *rand.Rand) float64 {
	return func(r *rand.Rand) float64 {
		for {
			x := spikeWidth * r.Float64()
			if r.Float64() < -math.Expm1(-math.Pow(x/scale, -shape)) {
				return x
			}
		}
	}
}

// mixed draws from the first with a chance of share.
func mixed(share float64, first, second func(r *rand.Rand) float64) func(r *rand.Rand) float64 {
	return func(r *rand.Rand) float64 {
		if r.Float64() < share {
			return first(r)
		}
		return second(r)
	}
}

// told is the share of surveys of n that tell of a spike.
func (w distancesFrom) told(n int) float64 {
	told := 0
	for i := range *spikeSurveys {
		r := rand.New(rand.NewPCG(2031, uint64(i)))
		d := Data{Right: spikeWidth}
		for range n {
			d.Distance = append(d.Distance, w.draw(r))
		}
		if s, err := New(d); err == nil && tellsOfSpike(s) {
			told++
		}
	}
	return float64(told) / float64(*spikeSurveys)
}

// TestSpikePower: a spike that holds half of the distances is told of, and sound
// distances are not. The shares of 1000 surveys (go test -run SpikePower -v
// -spikes 1000) stand beside each.
func TestSpikePower(t *testing.T) {
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	sizes := []int{30, 40, 60, 120}
	for _, w := range []distancesFrom{
		{"half-normal", normal(7)},
		{"half-normal that reaches the edge", normal(20)},
		{"hazard-rate, shape 3", hazard(7, 3)},
		{"hazard-rate, shape 2.5", hazard(5, 2.5)},
		{"uniform", func(r *rand.Rand) float64 { return spikeWidth * r.Float64() }},
		{"two observers", mixed(0.5, normal(5), normal(9))},
	} {
		for _, n := range sizes {
			p := w.told(n)
			t.Logf("%s, %d: %.3f", w.name, n, p)
			if p > 0.06 {
				t.Errorf("%s, %d distances: a spike in %.3f", w.name, n, p)
			}
		}
	}
	for _, w := range []distancesFrom{
		{"half within a tenth of the half-normal", mixed(0.5, normal(0.7), normal(7))},
		{"half within a twentieth", mixed(0.5, normal(0.35), normal(7))},
		{"half within a tenth, wider", mixed(0.5, normal(1), normal(10))},
		{"half within a tenth, beside a hazard-rate", mixed(0.5, normal(0.7), hazard(7, 3))},
	} {
		for _, n := range sizes {
			p := w.told(n)
			t.Logf("%s, %d: %.3f", w.name, n, p)
			if least := map[bool]float64{true: 0.85, false: 0.95}[n == 30]; p < least {
				t.Errorf("%s, %d distances: a spike in %.3f, want %.2f", w.name, n, p, least)
			}
		}
	}
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
	if got := tell(append(close, even...), 0); !strings.Contains(got, "no shoulder") || !strings.HasPrefix(got, "12 detections within 1.66 m of the line, where 5.1 are expected of the 15 within 4.99 m") {
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
		if p := w.told(60); p > 0.06 {
			t.Errorf("half-normal rounded to %g m: a spike in %.3f", step, p)
		}
		spiked := distancesFrom{"rounded", func(r *rand.Rand) float64 { return step * math.Round(mixed(0.5, normal(0.7), normal(7))(r)/step) }}
		if p := spiked.told(60); step < 2 && p < 0.9 {
			t.Errorf("a spike rounded to %g m: told of in %.3f", step, p)
		}
	}
	for _, half := range []bool{false, true} {
		r := rand.New(rand.NewPCG(1, 1))
		d := Data{Bins: []Bin{{0, 1}, {1, 2}, {2, 4}, {4, 8}, {8, 12}, {12, 20}}}
		for range 80 {
			x := normal(7)(r)
			if half {
				x = mixed(0.5, normal(0.7), normal(7))(r)
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
