package chain

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats"
)

// Test is one of the agreement of several densities. Its zero value is that of a
// single one.
type Test struct {
	X2 float64
	DF float64 // 0: nothing is compared
	P  float64
}

func (t Test) settled() Test {
	if t.DF < 1 {
		return Test{}
	}
	t.P = distuv.ChiSquared{K: t.DF}.Survival(t.X2)
	return t
}

// agreement tests whether the methods of a stratum that have a weight agree; counted are
// their densities. See [Combine].
func (s Stratum) agreement(counted []stats.Estimate, weights []float64) Test {
	var list []compared
	for m, d := range counted {
		if weights[m] > 0 && d.Upper > 0 {
			list = append(list, newCompared(d, s.Samples[m]))
		}
	}
	t := Test{DF: float64(len(list) - 1)}
	if t.DF > 0 {
		t.X2 = leastSquares(list)
	}
	return t.settled()
}

// compared is the density of a method on the log scale, with its standard error towards
// lower densities and towards higher ones; of a method without finds the last two are
// not there, and z2PerDensity is.
type compared struct {
	log, below, above float64
	z2PerDensity      float64
}

func newCompared(d stats.Estimate, s Sample) compared {
	z := distuv.UnitNormal.Quantile((1 + d.Confidence) / 2)
	if d.Value == 0 {
		return compared{log: math.Inf(-1), z2PerDensity: z * z / (s.Factor * d.Upper)}
	}
	c := compared{log: math.Log(s.Factor * d.Value), below: math.Inf(1), above: math.Hypot(math.Log(d.Upper/d.Value)/z, s.CV)}
	if d.Lower > 0 {
		c.below = math.Hypot(math.Log(d.Value/d.Lower)/z, s.CV)
	}
	return c
}

// square is what a method adds to X2 at the log of a density.
func (c compared) square(x float64) float64 {
	if math.IsInf(c.log, -1) {
		return c.z2PerDensity * math.Exp(x)
	}
	se := c.above
	if x < c.log {
		se = c.below
	}
	if x == c.log {
		return 0
	}
	d := (x - c.log) / se
	return d * d
}

// farBelow is how far under the lowest density that was found the common one is sought
// where a method found nothing, on the log scale.
const farBelow = 20

// leastSquares is the least sum of squares, which is convex in the log of the density.
func leastSquares(list []compared) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	nothing := false
	for _, c := range list {
		if math.IsInf(c.log, -1) {
			nothing = true
			continue
		}
		low, high = math.Min(low, c.log), math.Max(high, c.log)
	}
	if math.IsInf(low, 1) {
		return 0
	}
	if nothing {
		low -= farBelow
	}
	sum := func(x float64) float64 {
		var sum float64
		for _, c := range list {
			sum += c.square(x)
		}
		return sum
	}
	for range 200 {
		a, b := low+(high-low)/3, high-(high-low)/3
		if sum(a) < sum(b) {
			high = b
		} else {
			low = a
		}
	}
	return sum((low + high) / 2)
}
