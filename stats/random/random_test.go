package random

import (
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// TestBelow: every number below a limit comes equally often, by Pearson's
// chi-square at 0.1 %. The limits do not divide 2^32; for the largest, a quarter of
// the outputs is drawn again.
func TestBelow(t *testing.T) {
	const draws = 200_000
	for _, limit := range []struct{ n, classes uint32 }{{1, 1}, {3, 3}, {10, 10}, {1000, 1000}, {3 << 30, 12}} {
		var s Source
		s.Seed(5, uint64(limit.n))
		seen := make([]float64, limit.classes)
		for range draws {
			v := s.Below(limit.n)
			if v >= limit.n {
				t.Fatalf("drew %d below %d", v, limit.n)
			}
			seen[uint64(v)*uint64(limit.classes)/uint64(limit.n)]++
		}
		if limit.classes == 1 {
			continue
		}
		want, x := draws/float64(limit.classes), 0.0
		for _, k := range seen {
			x += (k - want) * (k - want) / want
		}
		if p := (distuv.ChiSquared{K: float64(limit.classes - 1)}).Survival(x); p < 0.001 {
			t.Errorf("below %d: chi-square %.1f, p %.2g", limit.n, x, p)
		}
	}
}

// TestHalves: below 2^32-1 a draw is a half of an output of the generator, upper
// half first (but for the one value that would be drawn again), and a new seed
// forgets the half that was kept.
func TestHalves(t *testing.T) {
	var s Source
	for stream := range uint64(20) {
		s.Seed(9, stream)
		out := rand.NewPCG(9, stream).Uint64()
		for i, want := range []uint32{uint32(out >> 32), uint32(out)} {
			if got := s.Below(1<<32 - 1); got != want && got+1 != want {
				t.Errorf("stream %d, draw %d: %d, want %d or one less", stream, i, got, want)
			}
		}
		s.Below(7)
	}
}

// TestFill: the numbers are those of math/rand/v2.
func TestFill(t *testing.T) {
	for _, n := range []int{1, 2, 3, 7, 64, 1000, 3 << 30, 1<<32 - 1} {
		var s Source
		s.Seed(3, uint64(n))
		to := make([]int, 500)
		s.Fill(to, 10, n)
		r := rand.New(rand.NewPCG(3, uint64(n)))
		for i, got := range to {
			if want := 10 + r.IntN(n); got != want {
				t.Fatalf("of %d, number %d: %d, want %d", n, i, got, want)
			}
		}
	}
}

func BenchmarkBelow(b *testing.B) {
	var s Source
	for b.Loop() {
		s.Below(16_000)
	}
}
