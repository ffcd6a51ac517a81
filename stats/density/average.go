package density

import (
	"math"
)

// modelAveraged averages over models of clumping the probability of an estimate
// as far off as the one made. For models g with weights w_g the limits are where
//
//	sum_g w_g P_g(estimate >= D | lower limit) = t_l
//	sum_g w_g P_g(estimate <= D | upper limit) = t_u
//
// with t_l and t_u near (1 - confidence)/2: see [average.tails].
//
// Where a profile likelihood asks which k suits a density best, this asks what
// each k makes of it, and so needs no correction for few units: with normal
// counts and a spread that is not known the average is Student's t.
//
// The models are the negative binomial with k on a grid, the same with ground
// that can hold no finds, for counts with more empty units, and the
// Poisson-lognormal, for counts of which a few units hold most. The last counts for
// the upper limit alone: its mean is that of a tail that was not seen, which may
// lie above the estimate, but tells nothing of how low the density can be. A weight is a
// prior one times the likelihood, maximized over the mean and adjusted for it
// ([profileK]); the prior ones are those of the constants beside kGrid.
//
// Strata tell of each other's clumping ([Area]): k may be one for all, differ about
// a common one, or be that of each stratum alone, each with its weight. The
// distribution of the estimate under a negative binomial is that of [katzTotal],
// with the variance
//
//	sum_h W_h^2 f_h [ m_h / A_h + m_h^2 / k_h * sum_i a_i^2 / A_h^2 ]
//
// where A_h is the area searched in stratum h, f_h the factor by which layout and
// finite population shrink the variance and m_h the density with half a find
// more, so that a stratum without finds has its part. Where the linearized variance is larger than
// that of the negative binomial models, the likelihood ratio is divided by their quotient.
//
// References: Turek & Fletcher (2012), Computational Statistics and Data Analysis
// 56: 2809-2815, and Fletcher & Turek (2012), Journal of Agricultural, Biological,
// and Environmental Statistics 17: 38-51, on averaging tail areas over models; the
// weights by the calibration of this package.
type modelAveraged struct{}

var _ method = modelAveraged{}

// ModelAveraged is the name in Options.Interval of limits that strata set together;
// see [Area].
const ModelAveraged = "model-averaged"

func (modelAveraged) name() string { return ModelAveraged }

func (modelAveraged) limits(f figure) limits {
	j := newJoint([]*member{newMember(f.totals, f.varianceRatio(), f.random, false, f.options.Fits)})
	a := j.stratum(0)
	found := a.limits(f.options)
	found.warnings = append(found.warnings, j.shape()...)
	found.df = f.df // of the variance, as a description: the weights stand for the rest
	return found
}

// average is a set of models with their weights.
type average struct {
	estimate float64
	searched float64 // area over which one find more would raise the estimate by 1/searched
	sampleShape
	counts []weightedTotal
	heavy  []weightedMean // that count for the upper limit alone
	// inflation of the variance of the counts: the linearized one over the average of the
	// models', from 1
	inflation float64
}

type weightedTotal struct {
	weight float64
	katzTotal
}

type weightedMean struct {
	weight float64
	lognormalMean
}

// tail is the average of the tails.
func (a average) tail(d float64, upper bool) float64 {
	var sum, weights float64
	var at scaledCounts // most have the same
	for i := range a.counts {
		m := &a.counts[i]
		if m.scale != at.scale {
			at = countsAt(&m.katzTotal, d)
		}
		sum += m.weight * m.tailAt(&at, upper)
		weights += m.weight
	}
	if upper {
		for _, m := range a.heavy {
			sum += m.weight * m.tail(d)
			weights += m.weight
		}
	}
	return sum / weights
}

// limits are the densities whose average tails are those of [average.tails]. An upper
// limit is at most widest times the estimate, or, without finds, the density of so many.
func (a average) limits(o Options) limits {
	found := limits{df: math.NaN()}
	below, above := a.tails(o)
	from, most := a.estimate, widest*a.estimate
	if a.estimate == 0 {
		from, most = 1/(widest*a.searched), widest/a.searched
	} else {
		found.lower = a.crossing(a.estimate, 1/reachBelow, false, below)
	}
	if a.tail(most, true) > above {
		found.upper = most
		found.warnings = append(found.warnings, upperLoose)
		return found
	}
	found.upper = a.crossing(from, most/from, true, above)
	return found
}

// reachBelow is how many times the estimate a lower limit may lie below it: with
// one find the exact limit of a Poisson count is a fortieth of the estimate.
const reachBelow = 1e6

// crossing finds where the tail falls to the target between a density and ratio
// times it, by the regula falsi of Illinois on the log scale (Dowell & Jarratt 1971,
// BIT 11: 168-174). Where the tail does not fall so far, it is the far end.
func (a average) crossing(from, ratio float64, upper bool, target float64) float64 {
	const last, most = 1e-10, 200
	over := func(x float64) float64 { return a.tail(from*math.Exp(x), upper) - target }
	inner, outer := 0.0, math.Log(ratio)
	atInner, atOuter := over(inner), over(outer)
	switch {
	case atInner <= 0:
		return from
	case atOuter >= 0:
		return from * ratio
	}
	// The tail is flat far out: a bracket that grows from the estimate is short.
	for step := math.Copysign(0.25, outer); math.Abs(step) < math.Abs(outer); step *= 2 {
		if v := over(step); v < 0 {
			outer, atOuter = step, v
			break
		} else {
			inner, atInner = step, v
		}
	}
	side := 0
	for range most {
		x := (inner*atOuter - outer*atInner) / (atOuter - atInner)
		if math.Abs(outer-inner) < last {
			break
		}
		switch v := over(x); {
		case v == 0:
			return from * math.Exp(x)
		case v > 0:
			inner, atInner = x, v
			if side > 0 {
				atOuter /= 2
			}
			side = 1
		default:
			outer, atOuter = x, v
			if side < 0 {
				atInner /= 2
			}
			side = -1
		}
	}
	return from * math.Exp((inner+outer)/2)
}

var upperLoose = UpperLoose.With("so few and so clumped finds set no upper limit that says anything: it is given as a hundred times the figure")
