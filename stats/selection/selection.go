// Package selection asks whether classes of a resource are used more than they
// are available: host-associated finds by tree species, say, against what the
// trees offer.
//
//   - [Known] takes each find for independent and the availability for known,
//     as the first works on the subject did. Finds clump, so its limits are too
//     near; it is here to be compared with.
//   - [Estimated] takes use and availability from the same units, clustered by
//     site, with the variance of both; or a known availability.
//   - [Within] asks within each unit: is a tree used more than that unit's own
//     trees would have it?
//
// The selection ratio of class i is
//
//	w_i = o_i / pi_i
//
// with o_i its share of the use and pi_i its share of what is available: 1
// where it is used as it is available. The standardised ratio
//
//	B_i = w_i / sum_j w_j
//
// is the share of the use it would have if all classes were offered alike.
//
// References: Neu, Byers & Peek (1974), Journal of Wildlife Management 38:
// 541-545; Manly, McDonald, Thomas, McDonald & Erickson (2002), Resource
// Selection by Animals, 2nd ed., Kluwer, chapter 4; Rao & Scott (1984), Annals
// of Statistics 12: 46-60.
package selection

import (
	"ashtally/stats"
	"ashtally/stats/linear"
)

// The names of the limits.
const (
	LogT          = "log-t"          // w exp(-+ t s), s the standard error of log w
	Normal        = "normal"         // o -+ z sqrt(o (1 - o) / n), over pi
	BinomialExact = "binomial-exact" // Clopper & Pearson of o, over pi
	None          = "none"
)

// Sample is what units offer and what was used of it. The outer slices have an
// entry per class, the inner ones per unit of the design.
type Sample struct {
	linear.Design
	Used      [][]float64 // finds, whole numbers from 0
	Available [][]float64 // stems, basal area or cover, from 0; nil where Share is given
	Share     []float64   // known shares of what is available; nil to take them from Available
}

// Class is the answer for one class.
type Class struct {
	Finds     float64
	Used      stats.Estimate // share of the use, o
	Available stats.Estimate // share of what is available, pi; no standard error where it is known
	Ratio     stats.Estimate // w, its limits simultaneous over the classes
	// Standardised is B; NaN where a class has no ratio.
	Standardised float64
	// P is the chance of so distant a w if it were 1, and PAdjusted the same by
	// Bonferroni; NaN where there is none.
	P, PAdjusted float64
}

// Result is a comparison of use with availability.
type Result struct {
	Classes []Class
	Test    Test
	Finds   float64
	Units   int
	// Clusters are the independent sites behind the variance; 0 where each find
	// was taken for independent.
	Clusters int
	Warnings []stats.Warning
}

// Test holds all classes together against use in proportion to availability.
type Test struct {
	// ChiSquare and G are Pearson's and the likelihood-ratio statistic on the
	// finds, DF their degrees of freedom, ChiSquareP and GP the p-values they
	// would have if each find were independent.
	ChiSquare, G, DF, ChiSquareP, GP float64
	// Overdispersion is the factor by which the spread between clusters, and the
	// error of the availability, exceed that of independent finds; at least 1.
	Overdispersion float64
	// F is ChiSquare / (DF Overdispersion) with DF and DFBetween degrees of
	// freedom, P its p-value and PG that of G in its place. NaN without clusters.
	F, DFBetween, P, PG float64
}
