// Package density estimates fruit bodies per hectare from plots and strips.
//
// [Stratum] estimates one stratum from its units, [Land] joins strata, and
// [HorizontalArea] brings a unit laid along a slope to the map. All fruit bodies
// in a unit are taken for found: lines with detection that falls with the
// distance, and observers who miss some, have packages of their own.
//
// # The interval
//
// Counts of fruit bodies are clumped and full of zeros, so that their mean is
// skewed and its standard error goes with it: a sample that missed the rich
// spots has a low mean and a small spread. Seven methods ([Methods]) are at hand,
// each a value in a file of its own; every one uses the layout of a systematic
// sample and the finite population, and its comment says how.
//
// The default, [ModelAveraged], averages over models of clumping, whose weights the
// strata of an area set together ([Area]): so a few units in each stratum give every
// one and the area two finite limits. Strata whose primary sampling units are sites share
// their clumping, and strata of single units share theirs. It was chosen by the calibration of package
// calibrate, on worlds where the truth is known; published/areas/README.md there has its
// coverage and width, of single strata and of areas of up to eight.
//
// Ground that holds most fruit bodies in a few rich patches is not told from milder ground
// by a few dozen units, and there no interval of a useful width has its nominal
// coverage. Where intervals of simulated surveys of the same size and clumping covered the truth
// in under 93 % of all worlds, or 85 % of the least favourable one, the estimate says so
// ([Expectations]).
//
// Of the methods for a stratum by itself, with 15 plots of 2 finds on average and
// for a nominal 0.95:
//
//	                            t     log-t  bca   bootstrap-t  emp.lik.  nb-profile
//	negative binomial, k 0.15   0.78  0.84   0.83  0.90         0.81      0.95
//	negative binomial, k 1      0.92  0.94   0.91  0.94         0.93      0.97
//	zero-inflated, 0.8 empty    0.90  0.93   0.93  0.81         0.93      0.95
//	clumps cut by plot edges    0.86  0.91   0.92  0.95         0.90      0.98
//
// The others look at the sample's own spread and so vary with it; nb-profile
// asks which densities could have given such counts, with a clumping that may be
// any. Its price is width: at k = 0.15 and n = 15 the upper limit is some eight
// times the truth, which is what such a sample knows. Three refinements are
// argued beside the code: Student's quantile for the normal one, extra zeros
// where Akaike's criterion asks for them, and a larger variance where the
// linearised one is larger than the model's.
//
// # The variance of a systematic layout
//
// [Random], the variance of a random sample, is the default also for transects in
// order: it is on the safe side. Across a trend from 0.2 to 1.8 of the mean
// density nb-profile covers 0.99 with it for Poisson counts and 0.96 to 0.97 for
// clumped ones (k = 1), and 0.94 to 0.96 with the others, which are narrower by
// 0.3 and by 0.1. They rest on the order being that of the ground and on fewer
// degrees of freedom; who trusts the order may choose [SuccessiveDifferences].
package density
