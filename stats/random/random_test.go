package random

import (
	"math/big"
	"math/rand/v2"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/floats"
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
		if p := evenly(seen); p < 0.001 {
			t.Errorf("below %d: p %.2g", limit.n, p)
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

// TestFillDigits: the numbers are the first digits of the generator's outputs, taken as
// fractions of 2^64, to the base of the limit; by arithmetic of any length.
func TestFillDigits(t *testing.T) {
	for _, n := range []int{1, 2, 3, 7, 64, 1000, 14_000, 3 << 30} {
		var s Source
		s.Seed(3, uint64(n))
		to := make([]int, 50)
		s.Fill(to, 10, n)
		pcg := rand.NewPCG(3, uint64(n))
		base, left, per := big.NewInt(int64(n)), new(big.Int), 0
		for i, got := range to {
			if per == 0 {
				left.SetUint64(pcg.Uint64())
				per, _ = digitsOf(uint64(n))
			}
			left.Mul(left, base)
			digit := new(big.Int).Rsh(left, 64)
			left.Sub(left, new(big.Int).Lsh(digit, 64))
			per--
			if want := 10 + int(digit.Int64()); got != want {
				t.Fatalf("of %d, number %d: %d, want %d", n, i, got, want)
			}
		}
	}
}

// TestFillEvenly: all pairs of neighbours come equally often, within an output and from one
// to the next, by Pearson's chi-square at 0.1 %; and so do the four quarters of a limit for
// which every fourth output is drawn again.
func TestFillEvenly(t *testing.T) {
	const pairs = 300_000
	for _, n := range []int{2, 3, 10} {
		var s Source
		s.Seed(8, uint64(n))
		to := make([]int, 7) // with a rest of fewer digits than others
		seen := make([]float64, n*n)
		for range pairs / (len(to) - 1) {
			s.Fill(to, 0, n)
			for i := range to[1:] {
				seen[to[i]*n+to[i+1]]++
			}
		}
		if p := evenly(seen); p < 0.001 {
			t.Errorf("pairs below %d: p %.2g", n, p)
		}
	}
	var s Source
	s.Seed(8, 0)
	quarters := make([]float64, 4)
	for to := make([]int, 1); quarters[0]+quarters[1]+quarters[2]+quarters[3] < pairs; {
		s.Fill(to, 0, 3<<61)
		quarters[to[0]/(3<<59)]++
	}
	if p := evenly(quarters); p < 0.001 {
		t.Errorf("quarters of 3 * 2^61: p %.2g", p)
	}
}

// evenly is the p of Pearson's chi-square for classes that are equally likely.
func evenly(seen []float64) float64 {
	total, x := floats.Sum(seen), 0.0
	want := total / float64(len(seen))
	for _, k := range seen {
		x += (k - want) * (k - want) / want
	}
	return distuv.ChiSquared{K: float64(len(seen) - 1)}.Survival(x)
}

func BenchmarkBelow(b *testing.B) {
	var s Source
	for b.Loop() {
		s.Below(16_000)
	}
}

func BenchmarkFill(b *testing.B) {
	for _, n := range []int{250, 14_000} {
		b.Run(strconv.Itoa(n), func(b *testing.B) {
			var s Source
			to := make([]int, n)
			for b.Loop() {
				s.Fill(to, 0, n)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/draw")
		})
	}
}
