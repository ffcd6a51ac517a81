// Package observers estimates what a crew missed from two or more observers
// who searched the same ground independently of each other.
//
// What one of them saw is a trial of the other's eyes: the share of the first
// one's finds that the second saw too is the second one's chance to see. With
// all of their chances known, so is the share that none of them saw.
//
//   - [Chapman] needs three counts: seen by the first, by the second, by both.
//   - [Data.Fit] lets the chance depend on the observer and on what is known
//     of a find (how large the group, how far from the line), by the
//     conditional likelihood of Huggins. [Data.Select] chooses among several
//     such models by AIC.
//   - [Fit.OnLine] is the chance that a find on a transect's line is seen, which
//     detection functions take to be 1.
//
// # What it takes for granted
//
// Observers did not tell each other what they saw, by mouth, flag or harvest;
// it is known of each find who saw it; and finds that are alike in the
// covariates were alike in their chance to be seen. Where some are harder to
// see than the covariates tell, both observers see the same easy ones, agree too
// well, and the estimate of what was there is too low. With two observers nothing can
// show it, and a warning says of every fit that it is a lower bound. With three,
// [Fit.Frequencies] tests it, [Data.Select] takes a model with a random effect of finds
// where that fits better, and [Data.Chao] is a lower bound that needs no model;
// VARYING.md has how often the test tells and how often the limits hold.
//
// # Intervals
//
// What was seen is certain, so only the number missed is uncertain, and no
// lower limit lies below the number seen. Of the three intervals of Chapman's
// estimate in CALIBRATION.md the symmetric one covers 0.77 to 0.94 for a nominal
// 0.95, a log-normal on the number missed (Burnham et al. 1987) 0.38 to 0.95, for it
// cannot reach the number seen where nothing was missed, and the transformed
// logit of Sadinle (2009) 0.95 and more. So [Chapman] uses the last. For models
// with covariates, for which it does not exist, [Fit.Sight] puts the limits of the
// share seen and the sampling variance of the number missed together (Zou & Donner 2008),
// which covers 0.95 to 0.99.
package observers
