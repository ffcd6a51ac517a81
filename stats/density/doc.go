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
// spots has a low mean and a small spread. Six methods ([Methods]) are at hand,
// each a value in a file of its own; every one uses the layout of a systematic
// sample and the finite population, and its comment says how.
//
// The default is chosen by the calibration in CALIBRATION.md, on worlds where
// the truth is known. For a nominal 0.95, with 15 units:
//
//	                              t     log-t  bca   bootstrap-t  emp.lik.  nb-profile
//	negative binomial, k 0.15     0.77  0.84   0.79  0.85         0.81      0.95
//	negative binomial, k 1        0.91  0.94   0.89  0.93         0.91      0.97
//	zero-inflated, 0.8 empty      0.89  0.92   0.91  0.80         0.93      0.95
//	clumps cut by plot edges      0.87  0.90   0.86  0.92         0.90      0.97
//
// The others look at the sample's own spread and so share its luck; nb-profile
// asks which densities could have given such counts, with a clumping that may be
// any. Its price is width: at k = 0.15 and n = 15 the upper limit is some seven
// times the truth, which is what such a sample knows. Three refinements are
// argued beside the code: Student's quantile for the normal one, extra zeros
// where Akaike's criterion asks for them, and a larger variance where the
// linearised one is larger than the model's.
//
// Where it leaves the goal of 0.93 to 0.97 with 15 units and 20 finds or more,
// it is to the safe side, up to 0.99, in worlds that are empty in part and in
// strips through clumps, at 15 to 60 units; but for samples in which under five
// units hold finds, which carry a warning.
//
// # The variance of a systematic layout
//
// R2, the variance of a random sample, is the default also for transects in
// order. Across a trend it covers too much (0.98 to 1.00 for Poisson counts,
// 0.95 to 0.97 for clumped ones) where O2, O3 and S2 hold the level; but they
// rest on the order being that of the ground and on fewer degrees of freedom,
// and where counts are clumped there is little left for them to gain.
package density
