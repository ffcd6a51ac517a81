package adaptive

import (
	"maps"
	"math"
	"slices"
)

// Mean is fruit bodies per plot with the estimated variance.
type Mean struct {
	Value    float64
	Variance float64 // NaN with one plot drawn; of Horvitz and Thompson it may be below 0
}

// hansenHurwitz is the mean, over the plots drawn, of the mean of the network
// that each lies in,
//
//	mu = sum w_i / n1,  v = (N - n1) / (N n1 (n1 - 1)) * sum (w_i - mu)^2
func (d draw) hansenHurwitz(hit []Network) Mean {
	n, total := float64(d.drawn), float64(d.plots)
	var mean Mean
	for _, k := range hit {
		mean.Value += float64(k.Drawn) * k.mean()
	}
	mean.Value /= n
	var sum float64
	for _, k := range hit {
		z := k.mean() - mean.Value
		sum += float64(k.Drawn) * z * z
	}
	mean.Variance = (total - n) / (total * n * (n - 1)) * sum
	if d.drawn == 1 {
		mean.Variance = math.NaN()
	}
	return mean
}

// horvitzThompson weighs the total y of each network that was hit by its
// chance to be,
//
//	mu = sum y_k / alpha_k / N
//	v = sum_jk y_j y_k / alpha_jk (alpha_jk / (alpha_j alpha_k) - 1) / N^2
//
// with alpha_kk = alpha_k. The pairs are summed by size of network, of which
// there are few: what a pair weighs depends on nothing else.
func (d draw) horvitzThompson(hit []Network) Mean {
	type class struct{ sum, squares float64 } // of y / alpha
	classes := map[int]*class{}
	var value, variance float64
	for _, k := range hit {
		weighed := k.total() / k.Inclusion
		value += weighed
		variance += (1 - k.Inclusion) * weighed * weighed
		if classes[k.Plots] == nil {
			classes[k.Plots] = &class{}
		}
		classes[k.Plots].sum += weighed
		classes[k.Plots].squares += weighed * weighed
	}
	sizes := slices.Sorted(maps.Keys(classes))
	for _, j := range sizes {
		for _, k := range sizes {
			pairs := classes[j].sum * classes[k].sum
			if j == k {
				pairs -= classes[j].squares
			}
			variance += d.pairWeight(j, k) * pairs
		}
	}
	total := float64(d.plots)
	mean := Mean{Value: value / total, Variance: variance / (total * total)}
	if d.drawn == 1 {
		mean.Variance = math.NaN()
	}
	return mean
}

// pairWeight is (alpha_jk - alpha_j alpha_k) / alpha_jk for two networks of j
// and k plots. It is 0 where no draw hits both, for then none did.
func (d draw) pairWeight(j, k int) float64 {
	apart := d.together(j, k)
	both := d.inclusion(j)*d.inclusion(k) + apart
	if d.drawn == 1 || both <= 0 || d.plots < j+k {
		return 0
	}
	return apart / both
}
