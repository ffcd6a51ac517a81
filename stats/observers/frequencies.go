package observers

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Frequencies are the capture frequencies: finds by the number of observers who
// saw each, of those for which three or more searched, with a test of sight that
// varies among finds.
type Frequencies struct {
	Seen     []float64 // finds that k+1 observers saw
	Expected []float64 // the same by the model
	// Z is how far the pairs of observers per find lie above those expected, in
	// standard errors. Where finds differ in how easy they are to see, some are seen
	// by all and some by one alone, and there are more pairs.
	Z float64
	P float64 // one-sided, of Z being so large by chance; 1 where nothing can be tested
}

// Frequencies pools the finds of three observers or more over units, strata and
// covariates, and tests sight that is even among finds with the same covariates.
//
//	Z = S / sqrt(v),  S = sum_i ( n_i (n_i - 1) / 2 - e_i ),  v = sum_i v_i - c' V c
//
// with n_i how many observers saw find i, e_i and v_i the expectation and variance
// of its pairs given that somebody saw it, and c their covariance with the score of
// beta, which was fitted to the same finds. S is the score of the variance of a
// random effect on the logit of the detection probabilities at variance 0, less
// what beta takes up, and so has the most power against small ones, whatever their
// distribution.
//
// Observers who tell each other what they see give a large Z too.
//
// It panics on a model with a random effect.
//
// Reference: Zelterman & Chen (1988), Journal of the American Statistical
// Association 83: 179-182, from memory, for score tests of a mixing distribution.
func (f *Fit) Frequencies() Frequencies {
	if f.design.varying {
		panic("observers: the test is of sight that is even among finds")
	}
	d := f.design.data
	out := Frequencies{P: 1}
	var more, variance float64
	score := make([]float64, len(f.x))
	for _, i := range d.telling() {
		k := len(d.Searched[i])
		if k < looksToVary {
			continue
		}
		for len(out.Seen) < k {
			out.Seen, out.Expected = append(out.Seen, 0), append(out.Expected, 0)
		}
		w, n := d.times(i), d.seenBy(i)
		out.Seen[n-1] += w
		pairs := f.pairs(i, score)
		for at, p := range pairs.by {
			out.Expected[at] += w * p
		}
		more += w * (float64(n*(n-1))/2 - pairs.mean)
		variance += w * pairs.variance
	}
	if v := variance - form(score, f.covariance); v > 1e-6*variance {
		out.Z = more / math.Sqrt(v)
		out.P = distuv.UnitNormal.Survival(out.Z)
	}
	return out
}

// pairs are the pairs of observers who see a find that somebody saw.
type pairs struct {
	by             []float64 // probability of being seen by k+1
	mean, variance float64
}

// pairs also adds the covariance of the pairs with the score of beta to score:
// the sum over observers j of cov(pairs, y_j) x_ij.
func (f *Fit) pairs(i int, score []float64) pairs {
	d := f.design.data
	who := d.Searched[i]
	rows, p := make([][]float64, len(who)), make([]float64, len(who))
	for j, o := range who {
		rows[j] = make([]float64, len(f.x))
		f.design.row(rows[j], i, o, -1)
		p[j] = logistic(dot(rows[j], f.x))
	}
	all := sums(p, -1)
	seen := 1 - all[0]
	out := pairs{by: all[1:]}
	var squares float64
	for k := range out.by {
		out.by[k] /= seen
		n := float64((k + 1) * k / 2)
		out.mean += out.by[k] * n
		squares += out.by[k] * n * n
	}
	out.variance = squares - out.mean*out.mean
	for j, x := range rows {
		var with float64 // E( pairs y_j )
		for k, others := range sums(p, j) {
			with += others * p[j] / seen * float64((k+1)*k/2)
		}
		c := with - out.mean*p[j]/seen
		for a := range x {
			score[a] += d.times(i) * c * x[a]
		}
	}
	return out
}

// sums are the probabilities that 0, 1, ... of independent observers see, without
// one of them; -1: with all.
func sums(p []float64, without int) []float64 {
	out := []float64{1}
	for j, v := range p {
		if j == without {
			continue
		}
		out = append(out, 0)
		for k := len(out) - 1; k > 0; k-- {
			out[k] = out[k]*(1-v) + out[k-1]*v
		}
		out[0] *= 1 - v
	}
	return out
}
