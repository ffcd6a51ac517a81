package compare

import "ashtally/stats"

// Warnings are the types of warnings that arise here.
var Warnings stats.WarningTypes

var (
	groupInOneCluster = Warnings.New("group-in-one-cluster", stats.Coverage, "All finds of one kind in one unit or site")
)

// What is called few. From 15 clusters on, and one more for each stratum but the
// first, the interval covers 0.94 or more in all of CALIBRATION.md; the finds
// follow what density calls few.
const (
	fewClusters = 15
	fewFinds    = 20
)

const (
	tooNarrow = "which is too narrow for finds that clump"
	byModel   = "; the model of counts may have one that allows for clumping"
)

var (
	noUnits       = stats.NoUnits.With("no unit was searched, so there is nothing to compare")
	noFinds       = stats.NoFinds.With("nothing was found of either group, so there is no ratio")
	noFirstFinds  = stats.NoFirstFinds.With("nothing was found of the first group: the ratio is 0, and its upper limit is the exact binomial one, " + tooNarrow + byModel)
	noSecondFinds = stats.NoSecondFinds.With("nothing was found of the second group: the ratio has no value, and its lower limit is the exact binomial one, " + tooNarrow + byModel)
	oneCluster    = stats.OneCluster.With("no stratum has two independent units or sites, so nothing is known of the spread and there is no interval")
	evenSpread    = stats.NoVariance.With("the units or sites agree more closely than chance would have them, so their spread is not believed, " +
		"and the limits are the exact binomial ones, " + tooNarrow)
	tooWide = stats.TooWide.With("the limits lie more than a factor of %d from the ratio: so few units or sites say nothing of it, and "+
		"no limits are given", widest)
	oneUnit = stats.FindsInOneUnit.With("all finds lie in one unit: another draw might have missed them all")
)

// shareTexts put those reasons that speak of a ratio into the words of a share.
var shareTexts = map[string]string{
	noFinds.Code:       "nothing was found, so there is no share",
	noFirstFinds.Code:  "none of the finds is of this group: the upper limit of its share is the exact binomial one, " + tooNarrow,
	noSecondFinds.Code: "all finds are of this group: the lower limit of its share is the exact binomial one, " + tooNarrow,
	evenSpread.Code: "the units or sites agree more closely than chance would have them, so their spread is not believed, and the limits " +
		"are the exact binomial ones, " + tooNarrow,
}

func ofShare(w stats.Warning) stats.Warning {
	if text, ok := shareTexts[w.Code]; ok {
		w.Text = text
	}
	return w
}

// doubts are what the layout and size of a sample give reason for.
func (s sample) doubts() []stats.Warning {
	var w []stats.Warning
	if s.unsearched > 0 && s.units > 0 {
		w = append(w, stats.UnsearchedStratum.With("%d of %d strata have no searched unit: the estimate is that of the other strata",
			s.unsearched, s.unsearched+len(s.strata)))
	}
	w = append(w, s.collapsed.Warnings...)
	if s.clusters > 0 && s.clusters-len(s.collapsed.Clusters)+1 < fewClusters {
		w = append(w, s.fewClusters())
	}
	if scarcer := min(s.finds.a, s.finds.b); scarcer > 0 && scarcer < fewFinds {
		w = append(w, stats.FewFinds.With("%.0f finds of the scarcer group are few; under %d the interval may not have its nominal coverage", scarcer, fewFinds))
	}
	return append(w, s.gathered()...)
}

// fewClusters says that the spread rests on few. Each stratum beyond the first
// costs one: with five in each of three, 0.91 for 0.95 was held.
func (s sample) fewClusters() stats.Warning {
	if n := len(s.collapsed.Clusters); n > 1 {
		return stats.FewClusters.With("%d independent units or sites in %d strata are few; under %d the interval may not have its nominal coverage",
			s.clusters, n, fewClusters+n-1)
	}
	return stats.FewClusters.With("%d independent units or sites are few; under %d the interval may not have its nominal coverage", s.clusters, fewClusters)
}

// gathered warns where one place holds all finds.
func (s sample) gathered() []stats.Warning {
	if s.fullUnits == 1 {
		return []stats.Warning{oneUnit}
	}
	var both, first, second int // clusters with finds
	for _, h := range s.strata {
		for _, c := range h.clusters {
			both += stats.Indicator(c.occupied())
			first += stats.Indicator(c.a > 0)
			second += stats.Indicator(c.b > 0)
		}
	}
	switch {
	case both == 1:
		return []stats.Warning{stats.FindsInOneCluster.With("all finds lie in one site: another draw might have missed them all")}
	case first == 1 && s.finds.a > 1 || second == 1 && s.finds.b > 1:
		return []stats.Warning{groupInOneCluster.With("all finds of one of the groups lie in one unit or site: another draw might have missed them")}
	}
	return nil
}
