package density

import (
	"ashtally/stats"
)

// What a sample can give reason to doubt.
var (
	noUnits = stats.NoUnits.With("no unit was searched here, so there is no density")
	noFinds = stats.NoFinds.With("nothing was found; the upper limit is the exact Poisson one, which is too low for a fungus that " +
		"grows in clumps, and there is no standard error")
	noSpread = stats.NoVariance.With("all units have the same density, which gives no information on the variance between them; " +
		"standard error and limits are those of a Poisson count")
	noFindsAveraged = stats.NoFinds.With("nothing was found; the upper limit is what clumped counts in so few units leave possible, and there " +
		"is no standard error")
	noFindsJoint = stats.NoFinds.With("nothing was found here; the upper limit is what counts that clump as in the other strata leave " +
		"possible, and there is no standard error")
	noSpreadAveraged = stats.NoVariance.With("all units have the same density, which tells little of the spread between them; the standard " +
		"error is that of a Poisson count")
	layoutNoSpread = LayoutNoSpread.With("neighbours in the layout have the same density, so the variance is that of a random layout")
	wholeLand      = stats.AllSearched.With("the whole land was searched: the density is a count, not an estimate, and its limits equal it")
	overLand       = SearchedOverLand.With("more area was searched than the stratum has; check both areas; no finite population factor was used")
	noLimits       = NoLimits.With("the method finds no limit for so few and so clumped finds, so there is no interval")
	upperOpen      = stats.UpperOpen.With("so few and so clumped finds set no upper limit that says anything: it would be over a hundred " +
		"times the figure, and is not given")
	outside          = EstimateOutside.With("the method's limits did not hold the estimate, and the nearer one was set to it; use another interval")
	bootstrapExtreme = BootstrapExtreme.With("a limit is the outermost bootstrap replicate; use more replicates or another interval")
)

// What joining strata can give reason to doubt.
var (
	noLand               = NoLand.With("no stratum has an area, so there is no density of the survey area")
	stratumMissing       = StratumMissing.With("a stratum has no density, so the survey area has none")
	stratumWithoutLimits = StratumWithoutLimits.With("a stratum has no interval, so the survey area has neither standard error nor interval")
	stratumWithoutSE     = StratumWithoutSE.With("a stratum has no standard error and adds nothing to that of the survey area, which is too " +
		"small; its limits do count in the interval")
)

// The sizes under which the calibration does not reach its goal, or does so
// only by limits of many times the estimate; see the package comment.
const (
	fewUnits   = 15
	fewFinds   = 20
	fewHolding = 5
)

// The same for the model-averaged interval: the smallest that the calibration tries.
const (
	leastUnits = 5
	leastSites = 3
	leastFinds = 10
)

func emptyGround(holding float64) stats.Warning {
	return stats.EmptyGround.With("more units are empty than clumping explains; the limits take about %.0f %% of the ground for ground that can hold finds", 100*holding)
}

func mayBeWide(counts string) stats.Warning {
	return stats.Conservative.With("the interval is conservative: in simulations with counts %s its coverage exceeded the nominal level, up to 99 %%", counts)
}

// doubts are what the size and make of a sample give reason for with a method;
// primary sampling unit is what its primary sampling units are called.
func (t totals) doubts(piece, method string) []stats.Warning {
	m := len(t.count)
	if m == 1 {
		return t.loneDoubts(piece)
	}
	units, finds, spread := fewUnits, float64(fewFinds), fewHolding
	if method == ModelAveraged {
		units, finds, spread = leastUnits, leastFinds, 0
		if piece == "site" {
			units = leastSites
		}
	}
	var w []stats.Warning
	if m < units {
		w = append(w, few[piece].With("%d %ss are few; under %d the interval may not have its nominal coverage", m, piece, units))
	}
	if t.finds == 0 {
		return w
	}
	if t.finds < finds {
		w = append(w, stats.FewFinds.With("%.0f finds are few; under %.0f the interval may not have its nominal coverage", t.finds, finds))
	}
	switch holding := t.holding(); {
	case holding == 1:
		w = append(w, inOne[piece].With("all finds lie in one %s: without it the estimate would be 0, and the upper limit is unreliable", piece))
	case holding < spread && holding < m:
		w = append(w, stats.FewWithFinds.With("only %d %ss hold finds; under %d the interval may not have its nominal coverage and its upper limit is imprecise",
			holding, piece, fewHolding))
	}
	return w
}

func (t totals) loneDoubts(piece string) []stats.Warning {
	w := []stats.Warning{single[piece].With("one %s gives no information on the variance between %ss, so there is neither standard error nor interval", piece, piece)}
	if t.finds == 0 {
		w = append(w, stats.NoFinds.With("nothing was found"))
	}
	return w
}

// holding is the number of primary sampling units with finds.
func (t totals) holding() int {
	n := 0
	for _, y := range t.count {
		if y > 0 {
			n++
		}
	}
	return n
}
