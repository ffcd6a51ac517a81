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
// well, and the estimate of what was there is too low.
//
// # Intervals
//
// What was seen is certain, so only the number missed is uncertain, and no lower
// limit lies below the number seen. The limits put a log-normal on the number
// missed (Burnham et al. 1987; Chao 1989):
//
//	N = n + f / C to n + f C,  C = exp( z sqrt(log(1 + v / f^2)) )
//
// with n seen and f = N - n missed. For two observers without covariates the
// transformed logit of Sadinle (2009) is there too. CALIBRATION.md holds both
// against the symmetric interval: with few finds the log-normal falls to
// 0.86 and less, the transformed logit keeps 0.95 or more wherever anything was
// seen by both. [Chapman] therefore uses the transformed logit, and models with
// covariates, for which there is none, the log-normal.
package observers
