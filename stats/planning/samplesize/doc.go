// Package samplesize plans how many units a survey needs for a wanted precision.
//
// # The expected coefficient of variation
//
// With n_h units of area a in stratum h, and W_h its share of the survey area, the
// density D = sum_h W_h D_h is estimated with
//
//	CV^2 = sum_h W_h^2 D_h^2 c_h f_h / n_h / D^2
//	c_h  = 1/mu_h + 1/k_h,  mu_h = D_h a
//
// c_h the relative variance of a unit's negative binomial count, f_h the finite
// population factor 1 - n_h a / A_h where over 5 % of a stratum is searched, as in
// package density, and 1 elsewhere. With one stratum and without that factor it is
// n = (1/mu + 1/k) / CV^2. (Cochran 1977, Sampling Techniques, 3rd ed., section 5.3.)
// [Design.Units] solves it for the number of units.
//
// # The one that a survey will report
//
// A survey estimates its CV from its own counts, and those are clumped: of two surveys
// with one design one may report 0.2 and the other 0.3. Density and clumping are
// estimated from a pilot with errors of their own. So [For] simulates surveys of
// populations drawn from the posterior distribution, estimates each as the survey
// will, and takes the number of units with which a stated share of them reports what
// was wanted. It is larger than that of the formula, the more so the smaller the pilot.
//
// The population of the survey is assumed to be that of the pilot. Another year, or
// another burn, has a density of its own.
package samplesize
