// Package association asks whether finds stand nearer to live hosts than the
// ground they were found on, and whether a crew's call of the mode agrees with
// a rule of distance.
//
//   - [Near] holds the distances from finds to a live host against those from
//     points drawn at random in the same units: shares within a distance over a
//     range of distances, and medians.
//   - [Agree] is Cohen's kappa of two calls of the same finds.
//
// With each find and each point one tree is recorded, the nearest. Where that
// is a live host its distance is known; where it is any other tree, a live host
// may stand behind it, so all that is known is that none is nearer.
//
// Where a find stood is no proof of a partnership of roots; and where the crew
// called finds host-associated because a host stood near, a comparison of these
// finds alone goes in a circle: it is that of all finds that asks a question.
//
// References: Mantel & Haenszel (1959), Journal of the National Cancer
// Institute 22: 719-748; Kaplan & Meier (1958), Journal of the American
// Statistical Association 53: 457-481; Myllymäki, Mrkvička, Grabarnik, Seijo &
// Hahn (2017), Journal of the Royal Statistical Society B 79: 381-404; Cohen
// (1960), Educational and Psychological Measurement 20: 37-46; Fleiss, Cohen &
// Everitt (1969), Psychological Bulletin 72: 323-327.
package association

import (
	"ashtally/stats"
	"ashtally/stats/linear"
)

// The names of the limits.
const (
	LogT      = "log-t"     // ratio exp(-+ t s)
	Bootstrap = "bootstrap" // percentiles over sites drawn again
	T         = "t"         // estimate -+ t s
)

// Spot is where a find stood, or a reference point lies.
type Spot struct {
	Unit      int     // index into the design
	DistanceM float64 // to the tree recorded with it
	Host      bool    // whether that tree is a live host
	Count     float64 // fruit bodies; 1 for a point
}

// Survey is the finds of some kind and the points drawn in the same units.
type Survey struct {
	linear.Design
	Finds, Points []Spot
}

// Options says how distances are compared.
type Options struct {
	Confidence float64
	Seed       uint64
	Replicates int // swaps drawn, and bootstrap samples; 0 = 1999
}

// Nearness compares finds with points.
type Nearness struct {
	Within []Within // a row for each distance, in order
	Median Median
	// P is the chance of so large a departure anywhere in the range if finds
	// stood like points; NaN where there is none.
	P float64
	// Units and Clusters hold both finds and points; Finds and Points lie in
	// them, FindsLeft in units without a point.
	Units, Clusters, Finds, Points, FindsLeft int
	Warnings                                  []stats.Warning
}

// Within compares the shares within a distance of a live host.
type Within struct {
	DistanceM             float64
	FindsWithin           int
	PointsWithin          int
	FindShare, PointShare float64        // weighed; NaN without finds
	Ratio                 stats.Estimate // of the first to the second
	// P is the chance of so large a departure at this distance alone.
	P float64
	// Lower and Upper are the ratios that finds standing like points stay
	// between at this distance alone; EnvelopeLower and EnvelopeUpper over the
	// whole range at once. An upper one is NaN where it is open.
	Lower, Upper, EnvelopeLower, EnvelopeUpper float64
}

// Median compares the median distances to a live host.
type Median struct {
	Find, Point float64 // m; NaN where fewer than half come so near
	Difference  stats.Estimate
	P           float64
}
