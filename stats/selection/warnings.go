package selection

import (
	"math"
	"slices"

	"ashtally/stats"
)

// Warnings are the types of warnings that arise here.
var Warnings stats.WarningTypes

var (
	// NothingAvailable is of use that has nothing to be compared with.
	NothingAvailable  = Warnings.New("nothing-available", stats.Unavailable, "Nothing recorded as available")
	oneOffered        = Warnings.New("one-class", stats.Unavailable, "A single class")
	noneAvailable     = Warnings.New("not-available", stats.Unavailable, "A class that is not recorded as available")
	unused            = Warnings.New("not-used", stats.Coverage, "A class without finds")
	solelyUsed        = Warnings.New("alone-used", stats.Coverage, "A class with all finds")
	findsWithoutTrees = Warnings.New("finds-without-trees", stats.Scope, "Finds where no live host is recorded")
)

const (
	fewClusters = 15 // as in package compare, whose limits are found the same way
	fewFinds    = 20
	widest      = 1000 // factor beyond which limits say nothing
)

const tooNarrow = "the limits are the exact binomial ones, which are too narrow for finds that clump"

var (
	noFinds      = stats.NoFinds.With("nothing was found that could be set against what is available")
	nothing      = NothingAvailable.With("nothing of any class is recorded as available, so use can not be set against it")
	oneClass     = oneOffered.With("there is one class only: all use is of it, whatever its availability, so there is nothing to select from")
	notAvailable = noneAvailable.With("none of this class is recorded as available, so its use has nothing to be set against")
	notUsed      = unused.With("no find is of this class; " + tooNarrow)
	aloneUsed    = solelyUsed.With("all finds are of this class; " + tooNarrow)
	oneCluster   = stats.OneCluster.With("no stratum has two independent units or sites, so nothing is known of the spread and there is no interval")
	noSpread     = stats.NoVariance.With("the units or sites with finds agree more closely than chance would have them, or are one; there is " +
		"no p-value, and " + tooNarrow)
	tooWide = stats.TooWide.With("the limits lie more than a factor of %d from the ratio: so few units or sites say nothing of it, and no "+
		"limits are given", widest)
)

func leftOut(finds float64) stats.Warning {
	return findsWithoutTrees.With("%.0f finds lie in units where no tree that counts is recorded, and are left out within units", finds)
}

// impossible says why there can be no ratio at all.
func (r Result) impossible(pi []float64) *stats.Warning {
	offered := 0
	for _, p := range pi {
		if p > 0 {
			offered++
		}
	}
	switch {
	case r.Finds == 0:
		return &noFinds
	case offered == 0:
		return &nothing
	case len(pi) == 1:
		return &oneClass
	}
	return nil
}

// without is a result without ratios.
func (r Result) without(reason stats.Warning, finds []float64, confidence float64) Result {
	nan := math.NaN()
	for i := range r.Classes {
		none := stats.Missing(confidence, r.Clusters, reason)
		r.Classes[i] = Class{Finds: finds[i], Used: none, Available: none, Ratio: none, Standardised: nan, P: nan, PAdjusted: nan}
	}
	r.Test = Test{ChiSquare: nan, G: nan, DF: nan, ChiSquareP: nan, GP: nan, Overdispersion: nan, F: nan, DFBetween: nan, P: nan, PG: nan}
	r.Warnings = []stats.Warning{reason}
	return r
}

// doubts are those of the sample as a whole.
func (w work) doubts() []stats.Warning {
	all := slices.Clone(w.layout.Warnings())
	holding := map[int]bool{}
	for unit, u := range w.unitUsed {
		if u > 0 {
			holding[w.layout.Cluster(unit)] = true
		}
	}
	if m := w.layout.Clusters(); m < fewClusters {
		all = append(all, stats.FewClusters.With("%d independent units or sites: with under %d the limits may not have their nominal coverage", m, fewClusters))
	}
	if w.n < fewFinds {
		all = append(all, stats.FewFinds.With("%.0f finds: with under %d the limits may not have their nominal coverage", w.n, fewFinds))
	}
	if len(holding) == 1 {
		all = append(all, stats.FindsInOneCluster.With("all finds lie in one unit or site, so the ratios are of that place alone"))
	}
	return all
}
