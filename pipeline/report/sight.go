package report

import (
	"slices"
	"strings"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/survey"
)

// sightUses says which ways of fitting a detection function stand behind the
// densities of lines.
type sightUses struct {
	Criterion  string // "AIC" or "AICc"
	Averaged   bool   // densities are the mean over the functions
	Covariates string // what sight was let depend on, in words; "" for nothing
	Depends    bool   // whether the function selected does
	Classes    bool   // distances were recorded in classes
	From       string // the distance from which finds are used; "" for all from the line on
	Sizes      bool   // the mean size of groups was regressed
	Systematic string
	Compared   bool // a ratio of kinds was made along lines
}

// layoutName is the variance of a layout as it stands in a sentence.
func layoutName(systematic string) string { return strings.ReplaceAll(systematic, "-", " ") }

func (w writer) sight() sightUses {
	o := w.page.Settings.Lines
	u := sightUses{Criterion: "AIC", Averaged: o.Interval == survey.ModelAverage, Classes: len(o.BreaksM) > 0}
	if o.Criterion == survey.AICc {
		u.Criterion = "AICc"
	}
	var names []string
	for _, r := range w.page.Results.Visibility {
		if name := strings.ToLower(CovariateName(r.Covariate)); !slices.Contains(names, name) {
			names = append(names, name)
		}
		u.Depends = u.Depends || r.Selected.Value
	}
	u.Covariates = strings.Join(names, ", ")
	for _, r := range w.page.Results.Detection {
		if !r.Selected.Value {
			continue
		}
		if r.LeftM.Known {
			u.From = amount(r.LeftM.Value, w.units.length)
		}
		u.Sizes = r.FromGroupSize.Known
	}
	if s := w.page.Settings.Density.Systematic; s != survey.RandomLayout {
		u.Systematic = layoutName(s)
	}
	u.Compared = slices.ContainsFunc(w.page.Results.Comparison, func(c analyze.ComparisonRow) bool {
		return c.Method == analyze.LineMethod && c.Value.Known
	})
	return u
}
