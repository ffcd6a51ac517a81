package density

import "math"

// sampleShape is what a sample looks like, by which the limits of an average are
// calibrated.
type sampleShape struct {
	units float64 // primary sampling units in a stratum, on average
	finds float64
	k     float64 // clumping, as that of [Joint]

	// Posterior weights of the models with ground that can hold no finds, and of
	// those with a heavy tail.
	inflatedWeight, lognormalWeight float64
}

// tails are the averages of tails at which the limits stand. Their odds are those of
// (1 - confidence)/2 times exp(c),
//
//	lower limit  c = (2.3 - 2.6 s + 2.4 z) / sqrt(n)
//	upper limit  c = (1 + 1.7 s - 3.2 e - 1.6 f - 5.8 w) / sqrt(n)
//
// and at least 0.4, at most 2.5 times as large. n is the number of primary sampling
// units in a stratum, s = max(0, log(0.3/k)) tells of strong clumping and
// e = max(0, log(k/0.3)) of even counts, with k taken to lie between 0.05 and 5;
// f = max(0, log(30/finds)) tells of few finds, and z and w are the posterior weights of the models
// with ground that can hold no finds and of those with a heavy tail. Without finds both
// are (1 - confidence)/2.
//
// The terms are by calibration. At (1 - confidence)/2 for both, limits missed the truth
// less often than they should where a sample looked strongly clumped: upper limits
// in none of the samples of five units a stratum with k under 0.1, lower limits in 0.004.
// They missed it more often where a sample looked even, upper limits in 0.05 to 0.1,
// because a small sample of ground with rich patches may hold none of them. The constants
// are those with the fewest of 904 worlds and sizes outside of coverages of 0.93 to 0.975,
// for their width.
func (a average) tails(o Options) (lower, upper float64) {
	half := 1 - o.upperTail()
	if a.estimate == 0 {
		return half, half
	}
	logK := math.Log(math.Min(math.Max(a.k, 0.05), 5) / 0.3)
	strong, even, few := math.Max(0, -logK), math.Max(0, logK), math.Max(0, math.Log(30/a.finds))
	root := math.Sqrt(a.units)
	return withOdds(half, (2.3-2.6*strong+2.4*a.inflatedWeight)/root),
		withOdds(half, (1+1.7*strong-3.2*even-1.6*few-5.8*a.lognormalWeight)/root)
}

// withOdds is a probability whose odds are exp(c) times those of p, between 0.4 and
// 2.5 times.
func withOdds(p, c float64) float64 {
	const most = 2.5
	odds := p / (1 - p) * math.Min(math.Max(math.Exp(c), 1/most), most)
	return odds / (1 + odds)
}
