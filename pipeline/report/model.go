package report

import (
	"fmt"
	"slices"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/column"
	"ashtally/stats"
)

// modelAnswers says what the model of counts makes of trees and years: the size
// of each effect, its interval, and what it rests on.
func (w writer) modelAnswers() []claim {
	var says []claim
	for _, fit := range w.page.Results.Model.Fits {
		for _, by := range []struct {
			what string
			of   func(analyze.ContrastRow) (string, bool)
		}{{"By tree", ofTree}, {"By years since fire", ofYears}} {
			if c, ok := w.ratiosClaim(fit, by.what, by.of); ok {
				says = append(says, c)
			}
		}
		said := false // what an age may be instead is said once
		for _, r := range w.page.Results.Model.Declines {
			if r.Method == fit.Method && r.Mode != analyze.All {
				says = append(says, w.declineClaim(r, !said))
				said = true
			}
		}
	}
	return says
}

// ofTree and ofYears name what a ratio of modes is within.
func ofTree(r analyze.ContrastRow) (string, bool) {
	return "by " + treeName(r.Tree), r.Comparison == analyze.HostToSapro && r.Tree != analyze.All
}

func ofYears(r analyze.ContrastRow) (string, bool) {
	return yearsInWords(r.Years), r.Comparison == analyze.HostToSapro && r.Years != analyze.All
}

// mostRatios bounds the ratios that a sentence lists.
const mostRatios = 4

// ratiosClaim lists the ratios of the modes within trees or years, those of
// most finds where there are many.
func (w writer) ratiosClaim(fit analyze.ModelFitRow, what string, of func(analyze.ContrastRow) (string, bool)) (claim, bool) {
	var rows []analyze.ContrastRow
	for _, r := range w.page.Results.Model.Contrasts {
		if _, ok := of(r); ok && r.Method == fit.Method && (r.Value.Known || r.Lower.Known) {
			rows = append(rows, r)
		}
	}
	if len(rows) < 2 {
		return claim{}, false
	}
	all := len(rows)
	if all > mostRatios {
		rows = richest(rows, contrasted, mostRatios)
	}
	var parts []string
	clear := 0
	for _, r := range rows {
		name, _ := of(r)
		parts = append(parts, w.ratioPart(name, r))
		if r.Lower.Known && r.Lower.Value > 1 || r.Upper.Known && r.Upper.Value < 1 {
			clear++
		}
	}
	lead := what + ", " + methodOf(fit.Method).many + " and the model of counts put host-associated to saprotrophic fruit bodies at " + and(parts)
	rest := fmt.Sprintf(" (%s; %s). ", restsOn(fit), shownOf(len(rows), all))
	switch clear {
	case 0:
		rest += "Every one of these intervals holds 1."
	case len(rows):
		rest += "None of these intervals holds 1."
	default:
		rest += several(int64(clear), "of these intervals does not hold 1", "of these intervals do not hold 1") + "."
	}
	return claim{lead, rest}, true
}

func contrasted(r analyze.ContrastRow) int64 { return r.FirstFinds.Or(0) + r.BaseFinds.Or(0) }

func (w writer) ratioPart(name string, r analyze.ContrastRow) string {
	t := round(r.Estimate, 1)
	switch {
	case !r.Value.Known:
		return fmt.Sprintf("%s or more %s, where no saprotrophic one was found", number(r.Lower), name)
	case t.interval() == none:
		return fmt.Sprintf("%s %s (no interval)", t.value, name)
	}
	return fmt.Sprintf("%s %s (%s)", t.value, name, t.interval())
}

// restsOn says on what a model rests: "948 finds on 192 plots of 114 sites, 3
// fires".
func restsOn(f analyze.ModelFitRow) string {
	return findsOf(f.Finds.Or(0)) + " in " + several(f.Units.Or(0), "unit", "units") + " of " + several(f.Sites.Or(0), "site", "sites") + ", " + several(f.Fires.Or(0), "year of fire", "years of fire")
}

func shownOf(n, all int) string {
	if n == all {
		return "intervals in brackets"
	}
	return fmt.Sprintf("the %d with most finds of %d, intervals in brackets", n, all)
}

// declineClaim says how one mode falls with the years.
func (w writer) declineClaim(r analyze.DeclineRow, confounded bool) claim {
	kind := name(r.Mode) + " fruit bodies on " + methodOf(r.Method).many
	rests := fmt.Sprintf("%s in %s of %s, %s, %s after fire", findsOf(r.Finds.Or(0)), several(r.Units.Or(0), "unit", "units"),
		several(r.Sites.Or(0), "site", "sites"), several(r.Fires.Or(0), "year of fire", "years of fire"), agesOf(r))
	if !r.PerYear.Value.Known {
		return claim{"No decline of " + kind + " with the years can be given", " (" + rests + "). " + reason(r.Warnings)}
	}
	t := round(r.PerYear, 1)
	lead := fmt.Sprintf("From one year after fire to the next, the density of %s is multiplied by %s", kind, t.value)
	rest := " (" + rests + "). No interval can be given. "
	if t.interval() != none {
		rest = " (" + w.limits(r.PerYear, 1) + "; " + rests + "). "
	}
	rest += tenthInWords(r)
	for _, code := range []string{"one-fire", "age-is-fire"} {
		if warning, ok := find(r.Warnings, code); ok && confounded {
			rest += " " + sentence(words(warning.Text))
		}
	}
	return claim{lead, rest}
}

func agesOf(r analyze.DeclineRow) string {
	first, last := r.FirstYears.Or(0), r.LastYears.Or(0)
	if first == last {
		return several(first, "year", "years")
	}
	return fmt.Sprintf("%d to %d%syears", first, last, noBreak)
}

// tenthInWords says how long the density takes to a tenth.
func tenthInWords(r analyze.DeclineRow) string {
	upper := r.PerYear.Upper
	switch t := round(r.Tenth, 1); {
	case !r.Tenth.Value.Known:
		return "It does not fall, so that there is no time in which it comes down to a tenth."
	case t.interval() == none:
		return fmt.Sprintf("At that rate it comes down to a tenth in %s%syears.", t.value, noBreak)
	case !r.Tenth.Upper.Known && upper.Known && upper.Value >= 1:
		return fmt.Sprintf("At that rate it comes down to a tenth in %s%syears, in %s at the least; the interval holds 1, so that it may not fall at all.", t.value, noBreak, t.lower)
	default:
		return fmt.Sprintf("At that rate it comes down to a tenth in %s%syears (%s).", t.value, noBreak, t.interval())
	}
}

// eachModelWarned goes through the warnings of the model's tables.
func (w writer) eachModelWarned(take func(table string, where func() string, warnings []stats.Warning)) {
	m := w.page.Results.Model
	for _, r := range m.Fits {
		take(analyze.ModelFitTable.Name, func() string { return where(r.Method, "", "", "", "", "") }, r.Warnings)
	}
	for _, r := range m.Tests {
		take(analyze.ModelTestTable.Name, func() string { return where(r.Method, "", "", r.Term, "", "") }, r.Warnings)
	}
	for _, r := range m.Coefficients {
		take(analyze.ModelTable.Name, func() string { return where(r.Method, "", "", r.Term, "", r.Level) }, r.Warnings)
	}
	for _, r := range m.Predicted {
		take(analyze.PredictedTable.Name, func() string { return where(r.Method, "", r.Years, r.Mode, r.Tree, "") }, r.Warnings)
	}
	for _, r := range m.Contrasts {
		take(analyze.ContrastTable.Name, func() string { return where(r.Method, r.Comparison, r.Years, r.Mode, r.Tree, "") }, r.Warnings)
	}
	for _, r := range m.Declines {
		take(analyze.DeclineTable.Name, func() string { return where(r.Method, "", "", r.Mode, "", "") }, r.Warnings)
	}
}

// modelUses says what of the model the methods have to explain.
type modelUses struct {
	Fitted, Robust, CR2, Cut, Decline, Adjusted bool
	Sites                                       bool   // units share sites
	Replicates                                  string // signs drawn
}

func (w writer) modelUses() modelUses {
	m := w.page.Results.Model
	known := func(v column.Float) bool { return v.Known }
	u := modelUses{
		Fitted: len(m.Fits) > 0, Replicates: count(int64(w.page.Settings.Model.Replicates)),
		Decline:  slices.ContainsFunc(m.Declines, func(r analyze.DeclineRow) bool { return known(r.PerYear.Value) }),
		Adjusted: slices.ContainsFunc(m.Contrasts, func(r analyze.ContrastRow) bool { return known(r.PAdjusted) }),
	}
	for _, f := range m.Fits {
		u.Robust = u.Robust || f.Covariance != "model"
		u.CR2 = u.CR2 || f.Covariance == "CR2"
		u.Sites = u.Sites || f.Sites.Or(0) < f.Units.Or(0)
		_, cut := find(f.Warnings, "no-finds-in-cell")
		u.Cut = u.Cut || cut
	}
	return u
}
