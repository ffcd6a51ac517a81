// Package allocation divides the units of a survey among strata.
//
// With W_h = A_h / A the share of stratum h in the area, S_h the standard deviation
// between its units and c_h the cost of one, n units are divided in proportion to
//
//	proportional   W_h
//	Neyman         W_h S_h             least variance for n
//	cost-optimal   W_h S_h / sqrt(c_h) least variance for the cost
//
// (Cochran 1977, Sampling Techniques, 3rd ed., sections 5.5 and 5.6; Neyman 1934,
// Journal of the Royal Statistical Society 97: 558-625.) The variance of the
// stratified mean is
//
//	V = sum_h W_h^2 S_h^2 / n_h (1 - n_h / N_h)
//
// # Whole numbers
//
// Rounding these can miss n, and a stratum can be given more units than it holds or
// fewer than two. A [Sequence] hands the units out one by one instead, each to the
// stratum of the highest
//
//	proportional   W_h / (n_h + 1/2)
//	Neyman         W_h^2 S_h^2 / ( n_h (n_h + 1) )
//	cost-optimal   W_h^2 S_h^2 / ( n_h (n_h + 1) c_h )
//
// after each has had its least number, and to none that is full. The second is what a
// further unit takes off the variance, so that no other whole numbers of the same sum
// and within the same bounds have a smaller variance; the third is the same by cost,
// and no other division that costs as much or less has a smaller variance (Fox 1966,
// Operations Research 14: 210-216; Wright 2017, Statistics & Probability Letters 129:
// 50-57). The first is Sainte-Laguë's rule. A larger survey has all units of a smaller
// one.
package allocation
