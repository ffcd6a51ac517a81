package pipeline

import (
	"slices"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/report"
	"ashtally/plots"
)

// againstFit draws how the selected detection function fits.
func (d *drawer) againstFit() {
	i := slices.IndexFunc(d.results.Detection, func(r analyze.DetectionRow) bool { return r.Selected.Value })
	if i < 0 {
		return
	}
	from := d.results.Fit
	in := plots.DistancesAgainstFit{Function: from.Function, Finds: from.Detections, Classes: from.Classes, Band: from.Band}
	for _, p := range from.Pairs {
		in.Points = append(in.Points, plots.FitPoint{Fitted: p.Fitted, Observed: p.Observed})
	}
	d.add("Fit of the detection function", in, report.Figure{Detection: d.results.Detection[i : i+1]})
}

// sight draws what is seen by each covariate that was tried.
func (d *drawer) sight() {
	unit, metres := report.PerLength(d.settings)
	in := plots.SightByCovariate{Confidence: d.settings.Confidence, Unit: unit}
	for _, r := range d.results.Visibility {
		name := report.CovariateName(r.Covariate)
		if n := len(in.Covariates); n == 0 || in.Covariates[n-1].Covariate != name {
			in.Covariates = append(in.Covariates, plots.Sight{Covariate: name})
		}
		at := &in.Covariates[len(in.Covariates)-1]
		at.Levels = append(at.Levels, plots.SightLevel{
			Level: report.CovariateLevel(r), Finds: int(r.Detections.Value),
			Percent: 100 * value(r.Detected.Value), Lower: 100 * value(r.Detected.Lower), Upper: 100 * value(r.Detected.Upper),
			HalfWidth: value(r.HalfWidth.Value) / metres,
		})
	}
	d.add("Share seen along lines, by what sight may depend on", in, report.Figure{Visibility: d.results.Visibility})
}
