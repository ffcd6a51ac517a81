package association

import (
	"math"
	"slices"

	"ashtally/stats"
)

// Warnings are the types of warnings that arise here.
var Warnings stats.WarningTypes

var (
	// NoPoints is of a comparison without reference points.
	NoPoints           = Warnings.New("no-points", stats.Unavailable, "No reference points")
	noSharedUnits      = Warnings.New("no-shared-units", stats.Unavailable, "Finds and reference points in different units")
	noLiveHost         = Warnings.New("no-live-host", stats.Unavailable, "No live host")
	noPointsWithin     = Warnings.New("no-point-within", stats.Unavailable, "No reference point so near")
	noFindsWithin      = Warnings.New("no-find-within", stats.Unavailable, "No find so near")
	medianMissing      = Warnings.New("no-median", stats.Unavailable, "No median distance")
	medianUnstable     = Warnings.New("unsteady-median", stats.Coverage, "A median that varies among bootstrap samples")
	findsWithoutPoints = Warnings.New("finds-without-points", stats.Scope, "Finds without reference points")
	calledAlike        = Warnings.New("one-call", stats.Unavailable, "All finds called alike")
	allAgreed          = Warnings.New("full-agreement", stats.Coverage, "Full agreement")
)

const (
	fewClusters = 15
	widest      = 1000  // factor beyond which limits say nothing
	tooEven     = 0.1   // share of the variance of chance under which one is not believed, as in package compare
	nothing     = 1e-20 // variance that is but rounding
)

var (
	noFinds       = stats.NoFinds.With("no find has a tree and a distance to it, so there is nothing to hold against the ground")
	noPoints      = NoPoints.With("no reference point has a tree and a distance to it, so what the ground offers is not known")
	apartUnits    = noSharedUnits.With("no unit has both finds and reference points, so finds have no reference points of their own to be compared with")
	noHost        = noLiveHost.With("no find and no reference point has a live host for its tree, so there is nothing to be near to")
	noPointWithin = noPointsWithin.With("no reference point lies so near to a live host, so there is no ratio; more points, or a greater distance, give one")
	noFindWithin  = noFindsWithin.With("no find stands so near to a live host: the ratio is 0, and nothing is known of its spread")
	noSpread      = stats.NoVariance.With("the units or sites agree more closely than chance would have them, or are one, so their spread is " +
		"not believed and there are no limits")
	tooWide = stats.TooWide.With("the limits lie more than a factor of %d from the ratio: so few units or sites say nothing of it, and "+
		"no limits are given", widest)
	oneSite  = stats.OneCluster.With("no stratum has two independent units or sites, so nothing is known of the spread and there is no interval")
	noMedian = medianMissing.With("fewer than half of the finds, or of the points, are known to have a live host as near as was looked, " +
		"so a median cannot be had")
	unsteadyMedian = medianUnstable.With("in bootstrap samples of sites a median often cannot be computed, or never moves, so limits of the " +
		"difference are not to be trusted, and may be missing")
)

func (w work) impossible(s Survey) *stats.Warning {
	hosts := 0
	for _, spots := range w.spots {
		for _, p := range spots {
			if p.host {
				hosts++
			}
		}
	}
	switch {
	case len(s.Finds) == 0:
		return &noFinds
	case len(s.Points) == 0:
		return &noPoints
	case w.units == 0:
		return &apartUnits
	case hosts == 0:
		return &noHost
	}
	return nil
}

// without is a comparison that cannot be had, with its reason in every place.
func (n Nearness) without(reason stats.Warning, distances []float64, confidence float64) Nearness {
	nan := math.NaN()
	missing := stats.Missing(confidence, n.Clusters, reason)
	for _, d := range distances {
		n.Within = append(n.Within, Within{DistanceM: d, FindShare: nan, PointShare: nan, Ratio: missing, P: nan,
			Lower: nan, Upper: nan, EnvelopeLower: nan, EnvelopeUpper: nan})
	}
	n.Median = Median{Find: nan, Point: nan, Difference: missing, P: nan}
	n.Warnings = []stats.Warning{reason}
	return n
}

func (w work) doubts() []stats.Warning {
	all := slices.Clone(w.layout.Warnings())
	if m := w.layout.Clusters(); m < fewClusters {
		all = append(all, stats.FewClusters.With("%d independent units or sites with finds and points: with under %d the limits may not have "+
			"their nominal coverage", m, fewClusters))
	}
	if w.findsLeft > 0 {
		all = append(all, findsWithoutPoints.With("%d finds lie in units without a reference point and are left out", w.findsLeft))
	}
	return all
}

var (
	noCalls       = stats.NoFinds.With("no find was called by both the crew and the rule, so there is nothing to agree on")
	oneCall       = calledAlike.With("the crew and the rule called all finds the same, so agreement beyond chance cannot be told")
	fullAgreement = allAgreed.With("the crew and the rule agree on every find, so nothing is known of how often they would not")
)

func fewCalls(m int) stats.Warning {
	return stats.FewClusters.With("%d independent units or sites: with under %d the limits may not have their nominal coverage", m, fewClusters)
}
