package selection

import (
	"fmt"
	"math"
	"slices"

	"ashtally/stats"
)

const (
	fewClusters = 15 // as in package compare, whose limits are found the same way
	fewFinds    = 20
	widest      = 1000 // factor beyond which limits say nothing
)

const tooNarrow = "the limits are the exact binomial ones, which are too narrow for finds that clump"

var (
	noFinds      = stats.Warning{Code: "no-finds", Text: "nothing was found that could be set against what is available"}
	nothing      = stats.Warning{Code: "nothing-available", Text: "nothing of any class is recorded as available, so use can not be set against it"}
	oneClass     = stats.Warning{Code: "one-class", Text: "there is one class only: all use is of it, whatever its availability, so there is nothing to select from"}
	notAvailable = stats.Warning{Code: "not-available", Text: "none of this class is recorded as available, so its use has nothing to be set against"}
	notUsed      = stats.Warning{Code: "not-used", Text: "no find is of this class; " + tooNarrow}
	aloneUsed    = stats.Warning{Code: "alone-used", Text: "all finds are of this class; " + tooNarrow}
	oneCluster   = stats.Warning{Code: "one-cluster", Text: "no stratum has two independent units or sites, so nothing is known of the spread and there is no interval"}
	noSpread     = stats.Warning{Code: "no-spread", Text: "the units or sites with finds agree more closely than chance would have them, or are one; there is no p-value, and " + tooNarrow}
	tooWide      = stats.Warning{Code: "too-wide", Text: fmt.Sprintf("the limits lie more than a factor of %d from the ratio: so few units or sites say nothing of it, and no limits are given", widest)}
)

func leftOut(finds float64) stats.Warning {
	return stats.Warning{Code: "finds-without-trees", Text: fmt.Sprintf("%.0f finds lie in units where no tree that counts is recorded, and are left out within units", finds)}
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
		all = append(all, stats.Warning{Code: "few-clusters", Text: fmt.Sprintf("%d independent units or sites: with under %d the limits may not keep their level", m, fewClusters)})
	}
	if w.n < fewFinds {
		all = append(all, stats.Warning{Code: "few-finds", Text: fmt.Sprintf("%.0f finds: with under %d the limits may not keep their level", w.n, fewFinds)})
	}
	if len(holding) == 1 {
		all = append(all, stats.Warning{Code: "finds-in-one-cluster", Text: "all finds lie in one unit or site, so the ratios are of that place alone"})
	}
	return all
}
