package pipeline

import (
	"slices"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/report"
	"ashtally/plots"
	"ashtally/stats"
)

// seasons draws the densities of the last seasons side by side, a figure for
// each method.
func (d *drawer) seasons() {
	if len(d.results.Change) == 0 {
		return
	}
	for _, method := range []string{analyze.PlotMethod, analyze.StripMethod} {
		in := plots.SeasonsSideBySide{
			Name: "seasons-side-by-side-" + method, Title: "Seasons side by side, from " + method + "s",
			Unit: d.unit, Confidence: d.settings.Confidence,
		}
		last := d.lastSeasons()
		for _, stratum := range d.seasonStrata(method) {
			for _, s := range d.results.Seasons {
				if s.Method != method || s.Stratum != stratum || !slices.Contains(last, s.Season) {
					continue
				}
				in.Rows = append(in.Rows, plots.SeasonDensity{Stratum: stratum, Season: s.Season, Estimate: d.seasonEstimate(s.Estimate, s.Units, s.Finds, s.Warnings)})
			}
		}
		var shown []analyze.ChangeRow
		for _, r := range d.results.Change {
			if r.Method == method {
				shown = append(shown, r)
			}
		}
		if len(in.Rows) == 0 {
			continue
		}
		d.add(in.Title, in, report.Figure{Change: shown})
	}
}

// lastSeasons are those that one figure can tell apart, the last ones.
func (d *drawer) lastSeasons() []string {
	var all []string
	for _, s := range d.results.Seasons {
		if !slices.Contains(all, s.Season) {
			all = append(all, s.Season)
		}
	}
	return all[max(len(all)-plots.MostSeasons, 0):]
}

// seasonStrata lists the strata of any season in the order they appear.
func (d *drawer) seasonStrata(method string) []string {
	var names []string
	for _, s := range d.results.Seasons {
		if s.Method == method && !slices.Contains(names, s.Stratum) {
			names = append(names, s.Stratum)
		}
	}
	return names
}

func (d *drawer) seasonEstimate(e analyze.Estimate, units, finds int, warnings []stats.Warning) plots.Estimate {
	return plots.Estimate{
		Value: value(e.Value) * d.scale, Lower: value(e.Lower) * d.scale, Upper: value(e.Upper) * d.scale,
		Units: units, Finds: finds, Note: note(warnings),
	}
}
