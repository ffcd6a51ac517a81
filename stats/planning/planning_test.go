package planning

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"ashtally/stats/statstest"
)

// Independent halves of a unit have negative binomial counts that add up to one of the
// sum of their k, and so of the same variance as two of them.
func TestScalingOfIndependentParts(t *testing.T) {
	p := Population{PerHa: 300, K: 0.4, UnitHa: 0.01, Scaling: 1}
	statstest.Relative(t, "k of two", p.ClumpingAt(0.02), 0.8, 1e-12)
	variance := func(a float64) float64 { return math.Pow(p.SD(a)*a, 2) }
	statstest.Relative(t, "variance of two", variance(0.02), 2*variance(0.01), 1e-12)
	p.Scaling = 0
	statstest.Relative(t, "k where the density is one throughout", p.ClumpingAt(0.02), 0.4, 0)
}

// mu = 3 and k = 0.4 have the variance 3 + 9/0.4 = 25.5.
func TestRelativeVarianceByHand(t *testing.T) {
	p := Population{PerHa: 300, K: 0.4, UnitHa: 0.01}
	statstest.Relative(t, "relative variance", p.RelativeVariance(0.01), 25.5/9, 1e-12)
	statstest.Relative(t, "SD per ha", p.SD(0.01), math.Sqrt(25.5)/0.01, 1e-12)
	p.K = math.Inf(1)
	statstest.Relative(t, "Poisson", p.RelativeVariance(0.01), 1.0/3, 1e-12)
	if p.PerHa = 0; p.SD(0.01) != 0 {
		t.Errorf("SD without finds %v", p.SD(0.01))
	}
}

// Counts have the mean and the variance of the model, within five standard errors of
// 20,000 units.
func TestCountsHaveTheirVariance(t *testing.T) {
	p := Population{PerHa: 400, K: 0.8, UnitHa: 0.01}
	r := rand.New(rand.NewPCG(1, 1))
	const n = 20000
	var sum, square float64
	for range n {
		c := p.Count(r, 0.01)
		sum += c
		square += (c - 4) * (c - 4)
	}
	statstest.Near(t, "mean", sum/n, 4, 5*math.Sqrt(24.0/n))
	statstest.Relative(t, "variance", square/n, 16*p.RelativeVariance(0.01), 0.1)
}

func TestUnitsAreThoseThatTheHoursPay(t *testing.T) {
	c := Cost{Fixed: 3, SetUp: 0.2, PerHa: 30, PerKm: 0.4}
	for _, n := range []float64{1, 17, 300} {
		hours := c.Fixed + n*c.Unit(0.01) + c.Walk(n, 80)
		statstest.Relative(t, "units", c.Units(hours, 0.01, 80), n, 1e-9)
	}
	if n := c.Units(3, 0.01, 80); n != 0 {
		t.Errorf("%v units without hours", n)
	}
	statstest.Relative(t, "walking alone", Cost{PerKm: 1}.Units(Cost{PerKm: 1}.Walk(9, 50), 1, 50), 9, 1e-9)
}

// Points at random in a square, joined by the nearest and then freed of crossings
// (2-opt), make a tour a twentieth longer than the shortest, and the shortest
// through 200 points is some 4 % longer than the limit because of the edge.
func TestWalkIsTheLengthOfATour(t *testing.T) {
	const n, sideKm = 200, 1.0
	length := tour(rand.New(rand.NewPCG(3, 3)), n) * sideKm
	if ratio := length / (Cost{PerKm: 1}).Walk(n, 100*sideKm*sideKm); ratio < 1 || ratio > 1.2 {
		t.Errorf("a tour is %.3f of the length by formula", ratio)
	}
}

// tour is the length of a short tour through n points in the unit square.
func tour(r *rand.Rand, n int) float64 {
	x, y := make([]float64, n), make([]float64, n)
	for i := range n {
		x[i], y[i] = r.Float64(), r.Float64()
	}
	d := func(i, j int) float64 { return math.Hypot(x[i]-x[j], y[i]-y[j]) }
	for i := 1; i < n; i++ {
		next := i
		for j := i; j < n; j++ {
			if d(i-1, j) < d(i-1, next) {
				next = j
			}
		}
		x[i], x[next], y[i], y[next] = x[next], x[i], y[next], y[i]
	}
	for better := true; better; {
		better = false
		for i := range n - 1 {
			for j := i + 2; j < n; j++ {
				k := (j + 1) % n
				if k != i && d(i, j)+d(i+1, k) < d(i, i+1)+d(j, k)-1e-12 {
					slices.Reverse(x[i+1 : j+1])
					slices.Reverse(y[i+1 : j+1])
					better = true
				}
			}
		}
	}
	var sum float64
	for i := range n {
		sum += d(i, (i+1)%n)
	}
	return sum
}

func TestReplicatesHaveGeneratorsOfTheirOwn(t *testing.T) {
	draw := func(r *rand.Rand) uint64 { return r.Uint64() }
	first, more := Replicate(5, 9, draw), Replicate(8, 9, draw)
	if !slices.Equal(first, more[:5]) {
		t.Error("more replicates change the first")
	}
	if want := rand.New(rand.NewPCG(9, 3)).Uint64(); first[3] != want {
		t.Error("replicate 3 does not draw from PCG(seed, 3)")
	}
	if len(Replicate(0, 9, draw)) != 0 {
		t.Error("no replicates gave some")
	}
}
