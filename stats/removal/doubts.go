package removal

import (
	"errors"
	"fmt"
	"math"

	"ashtally/stats"
)

// fewFound is how many finds the passes should have: below it the limits of
// CALIBRATION.md fall short of their level.
const fewFound = 50

// unequal is the p-value under which the chance is taken to change from pass
// to pass.
const unequal = 0.05

var (
	allInFirst = AllInFirstPass.With("nothing was found after the first pass, so nothing seems to have been missed; with few finds that is no " +
		"proof, and the uncertainty of the correction is not known")
	upperOpen = stats.MissedOpen.With("catches hardly fall from pass to pass: the upper limit of what was there lies past %d times what was "+
		"found, and is left open", mostTimes)
	twoPasses = TwoPasses.With("no unit was passed over more than twice, so nobody can tell whether the second pass was as thorough as the " +
		"first; if what was left was harder to find, what was there is underestimated: the figure is a lower bound")
	changing = PassesUnequal.With("catches do not fall as they would if every pass had the same chance to find: the last passes were less " +
		"thorough or what was left was harder to find, or fruit bodies came up between; the figure may be too low or too high")
)

func (f *Fit) doubts() []stats.Warning {
	var w []stats.Warning
	if f.Passes >= 3 && f.FitP < unequal && !f.varied() {
		w = append(w, changing)
	}
	switch {
	case f.Passes < 3:
		w = append(w, twoPasses)
	case f.varied():
		w = append(w, f.varies())
	default:
		w = append(w, f.lowerBound())
	}
	if f.Chance.N < fewFound {
		w = append(w, FewInPasses.With("%d finds in repeated passes are few; under %d the interval may not have its nominal coverage", f.Chance.N, fewFound))
	}
	return w
}

// varied reports whether catches fall ever less, as where finds differ: no pass
// found more than the one before by more than chance, a normal deviate of
//
//	(later - earlier) / sqrt(later + earlier)
func (f *Fit) varied() bool {
	for k, later := range f.By[1:] {
		if earlier := f.By[k]; later-earlier > beyondChance*math.Sqrt(later+earlier) {
			return false
		}
	}
	return f.SightP < unequal
}

// beyondChance is the normal deviate above which one is found in 5 of 100.
const beyondChance = 1.645

// varies warns of catches that fall ever less.
func (f *Fit) varies() stats.Warning {
	return stats.SightVaries.With("catches fall less and less from pass to pass (p %.3f): some finds were harder to find than others, or the "+
		"last passes less thorough; what was there is underestimated", f.SightP)
}

func (f *Fit) lowerBound() stats.Warning {
	text := "where some finds are harder to find than others, the first passes take the easy ones, catches fall too fast, and what was there " +
		"is underestimated: the figure is a lower bound"
	if !math.IsNaN(f.SightP) {
		text += fmt.Sprintf("; the catches do not show it (p %.2f), as they seldom can", f.SightP)
	}
	return stats.SightUntested.With(text)
}

// Reason says in words why a fit could not be had.
func Reason(err error) stats.Warning {
	switch {
	case errors.Is(err, ErrNotFalling):
		return CatchesNotFalling.With("later passes found as much as earlier ones, so nothing tells how much is still there: either a pass finds " +
			"very little of it, or fruit bodies came up between, or the passes were not equally thorough; nothing is corrected")
	case errors.Is(err, ErrNothing):
		return stats.NoFinds.With("nothing was found where there were two passes or more")
	}
	return OnePass.With("no unit was passed over twice on a day, so detection cannot be estimated")
}
