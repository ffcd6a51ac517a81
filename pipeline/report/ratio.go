package report

import (
	"ashtally/pipeline/analyze"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
)

// modeAnswers says how the two modes compare and what was left open.
func (w writer) modeAnswers() []claim {
	var says []claim
	for _, m := range w.density.methods() {
		if m == analyze.AdaptiveMethod { // compared by its drawn plots, among the plots
			continue
		}
		if r, ok := w.compared(m, analyze.HostToSapro); ok {
			says = append(says, w.ratioClaim(r))
		}
		if c, ok := w.undetermined(m); ok {
			says = append(says, c)
		}
	}
	return says
}

// compared finds a comparison on the land as a whole.
func (w writer) compared(m, comparison string) (analyze.ComparisonRow, bool) {
	for _, r := range w.page.Results.Comparison {
		if r.Comparison == comparison && r.Method == m && fieldwork.OverStrata(r.Stratum) && r.Years == analyze.All && r.Tree == analyze.All {
			return r, true
		}
	}
	return analyze.ComparisonRow{}, false
}

func (w writer) ratioClaim(r analyze.ComparisonRow) claim {
	counts := count(r.FirstFinds.Or(0)) + " against " + findsOf(r.BaseFinds.Or(0)) + " on the same " + methodOf(r.Method).many
	if !r.Value.Known {
		return claim{"Host-associated and saprotrophic finds cannot be set in a ratio", " (" + counts + "). " + reason(r.Warnings)}
	}
	t := round(r.Estimate, 1)
	lead := "For each saprotrophic fruit body the land carries " + t.value + " host-associated ones"
	if r.Stratum == analyze.Reached {
		lead = "For each saprotrophic fruit body the part of the survey area that " + methodOf(r.Method).many + " reached carries " + t.value + " host-associated ones"
	}
	if t.interval() == none {
		return claim{lead, " (" + counts + "). No interval can be given. " + reason(r.Warnings)}
	}
	return claim{lead, " (" + w.limits(r.Estimate, 1) + "; " + counts + "). " + held(r)}
}

// limits writes "95 % interval 0.30 to 0.62".
func (w writer) limits(e analyze.Estimate, size float64) string {
	return level(e.Confidence.Or(w.page.Settings.Confidence)) + " interval " + round(e, size).interval()
}

// held says whether the interval of a ratio tells the two sides apart, and where
// its test does not agree.
func held(r analyze.ComparisonRow) string {
	said := "The interval holds 1, so neither can be called the more frequent."
	apart := true
	switch {
	case r.Lower.Known && r.Lower.Value > 1:
		said = "The whole interval lies above 1: host-associated fruit bodies were the more frequent."
	case r.Upper.Known && r.Upper.Value < 1:
		said = "The whole interval lies below 1: saprotrophic fruit bodies were the more frequent."
	default:
		apart = false
	}
	if level := 1 - r.Confidence.Or(0.95); r.P.Known && apart != (r.P.Value <= level) {
		said += " Their test says otherwise (p " + chance(r.P) + "): this is near the edge, and more units would tell."
	}
	return said
}

// undetermined says what share of the finds the crew gave no mode.
func (w writer) undetermined(m string) (claim, bool) {
	all, ok := analyze.HeadlineIn(w.density.rows, m)
	key := all.Key
	key.Mode = survey.Undetermined
	open, found := w.density.at(key)
	if !ok || !found || all.Finds.Or(0) == 0 {
		return claim{}, false
	}
	of := " of the " + findsOf(all.Finds.Value) + " on " + methodOf(m).many
	if open.Finds.Or(0) == 0 {
		return claim{"The crew gave a mode to every one" + of, "."}, true
	}
	were := "were"
	if open.Finds.Value == 1 {
		were = "was"
	}
	share := 100 * float64(open.Finds.Value) / float64(all.Finds.Value)
	return claim{count(open.Finds.Value) + of + " (" + percent(share) + ") " + were + " left undetermined",
		w.ofLand(m) + "; such finds stand on neither side of the ratio."}, true
}

// ofLand gives the share of the land's fruit bodies that the undetermined
// finds stand for: strata weigh by their area there.
func (w writer) ofLand(m string) string {
	r, ok := w.compared(m, analyze.UndeterminedShare)
	if !ok || !r.Value.Known || round(r.Estimate, onePercent).interval() == none {
		return ""
	}
	return ", which puts " + landOf(r.Stratum) + " at " + percent(100*r.Value.Value) + " (" + w.limits(r.Estimate, onePercent) + noBreak + "%)"
}
