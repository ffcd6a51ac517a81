package resample

import (
	"math"
	"runtime"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"

	"ashtally/stats/statstest"
)

// spatialA is the spatial test data, column A, of Efron & Tibshirani (1993),
// An Introduction to the Bootstrap, table 14.1 (from memory).
var spatialA = []float64{48, 36, 20, 29, 42, 42, 20, 42, 22, 41, 45, 14, 6, 0, 33, 28, 34, 4, 32, 24, 47, 41, 24, 26, 30, 41}

// The law school data of the same book, table 3.1 (from memory).
var (
	lsat = []float64{576, 635, 558, 578, 666, 580, 555, 661, 651, 605, 653, 575, 545, 572, 594}
	gpa  = []float64{3.39, 3.30, 2.81, 3.03, 3.44, 3.07, 3.00, 3.43, 3.36, 3.13, 3.12, 2.74, 2.76, 2.88, 2.96}
)

func choose(values []float64, pick []int) []float64 {
	out := make([]float64, len(pick))
	for i, p := range pick {
		out[i] = values[p]
	}
	return out
}

// plugInVariance is theta of table 14.2 of Efron & Tibshirani: divisor n.
func plugInVariance(pick []int) float64 {
	values := choose(spatialA, pick)
	n := float64(len(values))
	return stat.Variance(values, nil) * (n - 1) / n
}

func every(n int) []int {
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	return all
}

// TestSpatialData repeats Efron & Tibshirani (1993), table 14.2: theta 171.5,
// a 0.061, z0 0.146 from 2000 replicates, percentile 100.8 to 233.9, BCa 115.8
// to 259.6 at 90 % (from memory). The sharper values are 200,000 replicates in R
// 4.2.2; the tolerances cover the Monte Carlo error of 20,000 here.
func TestSpatialData(t *testing.T) {
	theta := plugInVariance(every(26))
	statstest.Near(t, "theta", theta, 171.534023669, 1e-8)
	out := LeaveOut([]int{26}, plugInVariance)
	a := Acceleration(out)
	statstest.Near(t, "a", a, 0.0612401198, 1e-9)
	statstest.Near(t, "jackknife SE", jackknifeSE(out[0]), 45.0253715995, 1e-8)

	replicates := Run(Plan{Clusters: []int{26}, Replicates: 20000, Seed: 1}, plugInVariance)
	statstest.Near(t, "z0", Bias(theta, replicates), 0.177278, 0.03)
	percentile := Percentile(replicates, 0.90)
	statstest.Near(t, "percentile lower", percentile.Lower, 97.92, 1.5)
	statstest.Near(t, "percentile upper", percentile.Upper, 235.23, 1.5)
	bca := BCa(theta, a, replicates, 0.90)
	statstest.Near(t, "BCa lower", bca.Lower, 115.56, 2)
	statstest.Near(t, "BCa upper", bca.Upper, 260.85, 3)
}

func jackknifeSE(values []float64) float64 {
	n := float64(len(values))
	return (n - 1) / math.Sqrt(n) * stat.StdDev(values, nil)
}

// TestLawSchool: r 0.776374491 and jackknife SE 0.142518619 (Efron &
// Tibshirani 1993 print .776 and .143), a -0.0756715649 (R 4.2.2).
func TestLawSchool(t *testing.T) {
	correlation := func(pick []int) float64 { return stat.Correlation(choose(lsat, pick), choose(gpa, pick), nil) }
	statstest.Near(t, "r", correlation(every(15)), 0.776374491, 1e-9)
	out := LeaveOut([]int{15}, correlation)
	statstest.Near(t, "a", Acceleration(out), -0.0756715649, 1e-10)
	statstest.Near(t, "jackknife SE", jackknifeSE(out[0]), 0.142518619, 1e-9)
}

// TestStudentised: for a normal mean the studentised replicates are near
// Student's t, so the limits are near the t interval. Sleep data of R, group
// 1: t.test(sleep$extra[1:10]) gives -0.5297804 to 2.0297804.
func TestStudentised(t *testing.T) {
	extra := []float64{0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0}
	mean, sd := stat.MeanStdDev(extra, nil)
	root := math.Sqrt(10)
	replicates := Run(Plan{Clusters: []int{10}, Replicates: 9999, Seed: 3}, func(pick []int) float64 {
		m, s := stat.MeanStdDev(choose(extra, pick), nil)
		if s == 0 {
			return math.NaN()
		}
		return (m - mean) / (s / root)
	})
	got := Studentised(mean, sd/root, replicates, 0.95)
	statstest.Near(t, "lower", got.Lower, -0.5297804, 0.35)
	statstest.Near(t, "upper", got.Upper, 2.0297804, 0.5)
}

// TestStrataStayApart: every draw of a stratum comes from that stratum.
func TestStrataStayApart(t *testing.T) {
	plan := Plan{Clusters: []int{3, 1, 4}, Replicates: 500, Seed: 9}
	seen := map[int]bool{}
	for _, pick := range Run(plan, slices.Clone[[]int]) {
		for place, cluster := range pick {
			seen[cluster] = true
			if stratumOf(place) != stratumOf(cluster) {
				t.Fatalf("place %d holds cluster %d of another stratum", place, cluster)
			}
		}
	}
	if len(seen) != 8 {
		t.Errorf("%d of 8 clusters were drawn", len(seen))
	}
}

func stratumOf(i int) int {
	switch {
	case i < 3:
		return 0
	case i < 4:
		return 1
	}
	return 2
}

// TestSameDigitsOnOneCoreOrMany is the promise of the package comment.
func TestSameDigitsOnOneCoreOrMany(t *testing.T) {
	plan := Plan{Clusters: []int{26}, Replicates: 999, Seed: 4}
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	one := Run(plan, plugInVariance)
	runtime.GOMAXPROCS(7)
	if many := Run(plan, plugInVariance); !slices.Equal(one, many) {
		t.Error("replicates differ with the number of cores")
	}
	plan.Seed = 5
	if other := Run(plan, plugInVariance); slices.Equal(one, other) {
		t.Error("another seed gives the same replicates")
	}
}

func TestLeaveOutLeavesEachOutOnce(t *testing.T) {
	var left []int
	out := LeaveOut([]int{2, 3}, func(pick []int) float64 {
		missing := 10
		for _, p := range pick {
			missing -= p
		}
		left = append(left, missing)
		return float64(missing)
	})
	if !slices.Equal(left, []int{0, 1, 2, 3, 4}) || len(out[0]) != 2 || len(out[1]) != 3 {
		t.Errorf("left out %v in strata %v", left, out)
	}
}

// TestAccelerationOfStrata by hand: strata {0, 2} and {0, 3, 6}; d is +-1/2 and
// 2, 0, -2 after scaling, so all cubes cancel; with {0, 0, 6} they do not:
// d = 4/3, 4/3, -8/3, cubes -384/27, squares 32/3 + 1/2.
func TestAccelerationOfStrata(t *testing.T) {
	statstest.Near(t, "symmetric", Acceleration([][]float64{{0, 2}, {0, 3, 6}}), 0, 1e-15)
	want := -384.0 / 27 / (6 * math.Pow(32.0/3+0.5, 1.5))
	statstest.Near(t, "skewed", Acceleration([][]float64{{0, 2}, {0, 0, 6}}), want, 1e-12)
	statstest.Near(t, "constant", Acceleration([][]float64{{5, 5}}), 0, 0)
}

func TestSpecialCases(t *testing.T) {
	nan := math.NaN()
	t.Run("NaN replicates are left out", func(t *testing.T) {
		got := Percentile([]float64{nan, 1, 2, 3, nan}, 0.5)
		if got.Used != 3 || got.Lower != 1 || got.Upper != 3 || got.Extreme {
			t.Errorf("%+v", got)
		}
	})
	t.Run("too few replicates are extreme", func(t *testing.T) {
		if got := Percentile([]float64{1, 2, 3}, 0.95); !got.Extreme || got.Lower != 1 || got.Upper != 3 {
			t.Errorf("%+v", got)
		}
	})
	t.Run("no replicates", func(t *testing.T) {
		for _, got := range []Limits{Percentile(nil, 0.95), BCa(1, 0, nil, 0.95), Studentised(1, 1, nil, 0.95)} {
			if !math.IsNaN(got.Lower) || !math.IsNaN(got.Upper) {
				t.Errorf("%+v", got)
			}
		}
	})
	t.Run("all replicates on one side", func(t *testing.T) {
		if got := BCa(0, 0, []float64{1, 2, 3}, 0.9); !math.IsNaN(got.Lower) {
			t.Errorf("%+v", got)
		}
	})
	t.Run("ties count half", func(t *testing.T) {
		statstest.Near(t, "z0", Bias(2, []float64{1, 2, 2, 3}), 0, 1e-12)
	})
	t.Run("past the pole", func(t *testing.T) {
		got := BCa(50, 2, every100(), 0.95)
		if got.Upper != 99 || !got.Extreme {
			t.Errorf("%+v", got)
		}
	})
	t.Run("a stratum without clusters panics", func(t *testing.T) {
		defer func() {
			if recover() == nil {
				t.Error("no panic")
			}
		}()
		Run(Plan{Clusters: []int{2, 0}, Replicates: 1}, plugInVariance)
	})
}

func every100() []float64 {
	var v []float64
	for i := range 100 {
		v = append(v, float64(i))
	}
	return v
}

func BenchmarkRun(b *testing.B) {
	values := make([]float64, 200)
	for i := range values {
		values[i] = float64(i)
	}
	plan := Plan{Clusters: []int{200}, Replicates: 1999, Seed: 1}
	for b.Loop() {
		Run(plan, func(pick []int) float64 {
			var sum float64
			for _, p := range pick {
				sum += values[p]
			}
			return sum
		})
	}
}

// BenchmarkStrata is 10,000 replicates of the mean of 1,000 units in 4 strata, as is in R
//
//	library(boot); set.seed(1)
//	y <- rgamma(1000, 1); h <- rep(1:4, each = 250)
//	system.time(boot(y, function(y, i) mean(y[i]), R = 10000, strata = h))
//
// What both took is in testdata/bench/README.md.
func BenchmarkStrata(b *testing.B) {
	values := make([]float64, 1000)
	for i := range values {
		values[i] = float64(i % 37)
	}
	plan := Plan{Clusters: []int{250, 250, 250, 250}, Replicates: 10_000, Seed: 1}
	for b.Loop() {
		Run(plan, func(pick []int) float64 {
			var sum float64
			for _, p := range pick {
				sum += values[p]
			}
			return sum / float64(len(pick))
		})
	}
}
