package adaptive

import (
	"fmt"

	"ashtally/stats"
)

// What a sample can give reason to doubt.
var (
	noneDrawn = stats.NoUnits.With("no plot that was drawn at random was searched here, so there is no density")
	noFinds   = stats.NoFinds.With("nothing was found; the upper limit is the exact Poisson one of the drawn plots, which is too low for a " +
		"fungus that grows in clumps, and there is no standard error")
	wholeLand = stats.AllSearched.With("every plot of the stratum was drawn: the density is a count, not an estimate, and its limits equal it")
	noSpread  = stats.NoVariance.With("the drawn plots give no information on the variance between networks, as where all of them hit one, so " +
		"there is neither standard error nor interval")
	upperOpen = stats.UpperOpen.With("so few networks with finds set no upper limit that says anything: it would be over a hundred times the " +
		"figure, and is not given")
	belowZero = VarianceBelow0.With("the estimated variance came out below 0, as Horvitz and Thompson's may, so there is neither standard " +
		"error nor interval; ask for hansen-hurwitz")
	nothingMet = NoNetworks.With("no drawn plot met the threshold, so no plot was added by rule and the figure is that of the drawn plots")
)

// The sizes under which SIMULATION.md does not find the level kept.
const (
	fewDrawn   = 15
	fewHolding = 5
	// safeUnder is the number of networks with finds under which the limits are
	// wider than they need be: with one degree of freedom less than networks the
	// intervals hold 0.96 to 0.99 in most worlds there, and their level above.
	safeUnder = 13
)

// MayBeWide is the code of [stats.Conservative].
const MayBeWide = "may-be-wide"

// doubts are what the size of the draw gives reason for.
func (f figure) doubts() []stats.Warning {
	if f.drawn == 1 {
		w := []stats.Warning{stats.OneUnit.With("one drawn plot gives no information on the variance between plots, so there is neither standard error nor interval")}
		if f.Value == 0 {
			w = append(w, stats.NoFinds.With("nothing was found"))
		}
		return w
	}
	var w []stats.Warning
	if f.drawn < fewDrawn {
		w = append(w, stats.FewUnits.With("%d drawn plots are few; under %d the interval may not have its nominal coverage", f.drawn, fewDrawn))
	}
	if f.Value == 0 {
		return append(w, noFinds)
	}
	switch n := holding(f.hit); {
	case n < fewHolding:
		w = append(w, stats.FewWithFinds.With("only %s with finds came into the draw; under %d the interval does not have its nominal coverage",
			networksInWords(n), fewHolding))
	case n < safeUnder && f.drawn >= fewDrawn && f.Variance > 0:
		w = append(w, stats.Conservative.With("the interval is conservative: in simulations with %d to %d networks with finds its coverage "+
			"exceeded the nominal level, up to 99 %%", fewHolding, safeUnder-1))
	}
	return w
}

func networksInWords(n int) string {
	if n == 1 {
		return "1 network or plot"
	}
	return fmt.Sprintf("%d networks or plots", n)
}

// holding is the number of networks with finds, plots under the threshold among them.
func holding(hit []Network) int {
	n := 0
	for _, k := range hit {
		if k.Count > 0 {
			n++
		}
	}
	return n
}

// designDoubts are what the networks give reason for.
func designDoubts(hit []Network, missed int) []stats.Warning {
	var w []stats.Warning
	if len(hit) > 0 && hit[0].Number < 0 {
		w = append(w, nothingMet)
	}
	if missed > 0 {
		w = append(w, NetworkNotDrawn.With("%d networks hold no drawn plot of this stratum and count nowhere", missed))
	}
	part := 0
	for _, k := range hit {
		if k.Searched < k.Plots {
			part++
		}
	}
	if part > 0 {
		w = append(w, NetworkIncomplete.With("%d networks were not searched whole; their other plots are assumed to have the mean of those that were", part))
	}
	return w
}
