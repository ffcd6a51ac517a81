// Package adaptive estimates fruit bodies per hectare from adaptive cluster
// plots: plots drawn at random from a grid of equal plots, to which the
// neighbours of each plot that held enough were added, and theirs, until the
// clump was walked round.
//
// The plots that were added are no random sample: they lie where fruit bodies
// were found. Their mean is too high, so they count only through the network
// they belong to. A network is a connected set of plots that met the threshold;
// a plot that did not meet it is a network of its own. Whichever plot of a
// network is drawn, all of it comes into the sample, so the chance that it does
// is known. An edge plot, one that was added and did not meet the threshold,
// counts only if it was drawn itself: its chance to be added hangs on ground
// that nobody searched.
//
// [Stratum] has both of Thompson's estimators, by Hansen and Hurwitz and by
// Horvitz and Thompson, and an interval for the one that is asked for.
// SIMULATION.md says how often the intervals hold the truth.
//
// Reference: Thompson (1990), Journal of the American Statistical Association
// 85: 1050-1059.
package adaptive
