package density

import (
	"math"
	"slices"

	"ashtally/stats/negbin"
)

// The models of clumping and their prior weights. They were chosen by the
// calibration, for coverage in the least favourable worlds first and for width then:
// with fewer than about a hundred units the counts say little of the shape of their
// distribution, and the weights decide how far an interval goes.
const (
	inflatedShare  = 0.27 // zero-inflated negative binomial
	lognormalShare = 0.08 // Poisson-lognormal
	poissonShare   = 0.1  // of the negative binomial models: no clumping at all

	// With z = log(k/modeK)/spreadK, k has the weight exp(-z^2/2) on the side of
	// strong clumping and 1/(1 + z^2/2), of the same curvature, on the other: a prior
	// that fell off faster there would make even counts look clumped.
	modeK, spreadK = 0.2, 1.2

	// k is one for all strata, or differs about a common one by this standard
	// deviation of its log, or is that of each stratum alone.
	oneShare, tiedShare, ownShare = 0.5, 0.25, 0.25
	tiedSpread                    = 0.7
)

// kGrid are the k tried: from the smallest at which ten finds bound a mean at all
// to where counts look Poisson, by a factor of 1.35, under a third of the standard error
// of log k in most samples; and Poisson.
var kGrid = func() (grid []float64) {
	for i := range 23 {
		grid = append(grid, 0.05*math.Exp(0.3*float64(i)))
	}
	return append(grid, math.Inf(1))
}()

// logPriorK are the logs of the prior weights of kGrid.
var logPriorK = func() []float64 {
	weights := make([]float64, len(kGrid))
	for g, k := range kGrid[:len(kGrid)-1] {
		z := math.Log(k/modeK) / spreadK
		weights[g] = math.Exp(-z * z / 2)
		if z > 0 {
			weights[g] = 1 / (1 + z*z/2)
		}
	}
	last := len(weights) - 1
	scaleTo(weights[:last], 1-poissonShare)
	weights[last] = poissonShare
	return logs(weights)
}()

// logTiedK[c] are the logs of the weights of kGrid in a stratum whose k lies about
// kGrid[c]. Poisson strata are tied to Poisson ones alone.
var logTiedK = func() [][]float64 {
	all := make([][]float64, len(kGrid))
	last := len(kGrid) - 1
	for c := range all {
		all[c] = make([]float64, len(kGrid))
		if c == last {
			all[c][last] = 1
		} else {
			for g, k := range kGrid[:last] {
				z := math.Log(k/kGrid[c]) / tiedSpread
				all[c][g] = math.Exp(-z * z / 2)
			}
			scaleTo(all[c], 1)
		}
		all[c] = logs(all[c])
	}
	return all
}()

// inflatedGrid are the shares of units that can hold finds, with the k in them.
var inflatedGrid = func() (grid []inflatedModel) {
	for _, holding := range []float64{0.15, 0.3, 0.5, 0.7} {
		for _, k := range []float64{0.5, 1, 2.5, 10} {
			grid = append(grid, inflatedModel{holding, k})
		}
	}
	return grid
}()

type inflatedModel struct{ holding, k float64 }

// sigmaGrid are the standard deviations of the log rate of the Poisson-lognormal
// models. At the last the variance is 80 times the squared mean; one more step would
// double the width of intervals from a dozen units.
var sigmaGrid = []float64{0.5, 0.9, 1.3, 1.7, 2.1}

// logPriors are those of logTiedK and, at the place ownPrior, logPriorK.
var (
	logPriors = append(slices.Clone(logTiedK), logPriorK)
	ownPrior  = len(kGrid)
)

func scaleTo(weights []float64, total float64) {
	var sum float64
	for _, w := range weights {
		sum += w
	}
	for i := range weights {
		weights[i] *= total / sum
	}
}

func logs(weights []float64) []float64 {
	for i, w := range weights {
		weights[i] = math.Log(w)
	}
	return weights
}

// profileK is the log-likelihood of each k of kGrid in one stratum, adjusted for
// the mean that was fitted along with it,
//
//	l(m_k, k) - log(I(m_k, k)) / 2
//
// with I the information of the log mean. Without the adjustment k is too large by
// about the number of strata over that of units, in each of which a mean took up
// some of the spread. With equal areas the adjusted profile is close to the likelihood
// given the total, which no longer holds the mean.
//
// Reference: Cox & Reid (1987), Journal of the Royal Statistical Society B 49:
// 1-39; Robinson & Smyth (2008), Biostatistics 9: 321-332, on counts of many groups.
func profileK(d *negbin.Data) []float64 {
	profile := make([]float64, len(kGrid))
	for g, k := range kGrid {
		logLik, mean := d.ProfileK(k)
		profile[g] = logLik - math.Log(d.Information(mean, k).Mean)/2
	}
	return profile
}

// posterior weighs kGrid in one stratum: prior and profile are logs. It returns
// the weights, which add up to 1, and the log of what they were divided by.
func posterior(prior, profile []float64) (weights []float64, logEvidence float64) {
	weights = make([]float64, len(prior))
	for g := range prior {
		weights[g] = prior[g] + profile[g]
	}
	return weights, normalize(weights)
}

// clumping is what one stratum tells of its k under a prior.
type clumping struct {
	weights        []float64 // of kGrid, which add up to 1
	evidence       float64   // log of the sum of prior times likelihood
	mean, variance float64   // of 1/k
}

// under is the clumping under one of logPriors.
func (l *likelihoods) under(prior int) *clumping {
	l.once.Do(func() {
		l.clumping = make([]clumping, len(logPriors))
		for c := range l.clumping {
			of := &l.clumping[c]
			of.weights, of.evidence = posterior(logPriors[c], l.profile)
			of.mean, of.variance = reciprocalK(of.weights)
		}
	})
	return &l.clumping[prior]
}

// reciprocalK is the mean and variance of 1/k under weights of kGrid.
func reciprocalK(weights []float64) (mean, variance float64) {
	for g, w := range weights {
		mean += w / kGrid[g]
		variance += w / (kGrid[g] * kGrid[g])
	}
	return mean, math.Max(0, variance-mean*mean)
}

// logSum is the log of the sum of weights whose logs are given.
func logSum(logWeights []float64) float64 { return normalize(slices.Clone(logWeights)) }

// normalize turns logs of weights into weights that add up to 1 and returns the
// log of their sum.
func normalize(weights []float64) (logSum float64) {
	top := math.Inf(-1)
	for _, w := range weights {
		top = math.Max(top, w)
	}
	var sum float64
	for i, w := range weights {
		weights[i] = math.Exp(w - top)
		sum += weights[i]
	}
	for i := range weights {
		weights[i] /= sum
	}
	return top + math.Log(sum)
}
