package pipeline

import (
	"ashtally/pipeline/analyze"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/report"
	"ashtally/pipeline/survey"
	"ashtally/plots"
)

// ofLand reports whether a row about hosts is of the land as a whole.
func ofLand(stratum, years string) bool { return fieldwork.OverStrata(stratum) && years == analyze.All }

// selectionRatios draws for each method the use of hosts on the land as a whole.
func (d *drawer) selectionRatios() {
	offered := map[string]string{survey.Stems: "stems", survey.BasalArea: "basal area", survey.Cover: "crown cover"}[d.settings.Selection.Availability]
	for _, method := range []string{analyze.PlotMethod, analyze.StripMethod, analyze.LineMethod} {
		in := plots.SelectionRatios{Confidence: d.settings.Confidence, Offered: offered}
		in.Name, in.Title = "selection-ratios-"+method, "Use of hosts against what they offer, from "+method+"s"
		var shown []analyze.SelectionRow
		drawn := false
		for _, r := range d.results.Selection {
			if r.Method != method || !ofLand(r.Stratum, r.Years) || r.Tree == analyze.All {
				continue
			}
			row := plots.SelectionRatio{
				Tree: r.Tree, Value: value(r.Ratio.Value), Lower: value(r.Ratio.Lower), Upper: value(r.Ratio.Upper),
				Used: value(r.Used.Value), Available: value(r.Available.Value), Finds: int(r.Finds.Value), Note: note(r.Warnings),
			}
			if r.Scale == analyze.OverLand {
				in.Land = append(in.Land, row)
			} else {
				in.Units = append(in.Units, row)
			}
			shown, drawn = append(shown, r), drawn || r.Ratio.Value.Known
		}
		if !drawn {
			continue
		}
		d.add(in.Title, in, report.Figure{Selection: shown})
	}
}

// nearHosts draws for each method how all its finds stand to live hosts.
func (d *drawer) nearHosts() {
	unit, metres := report.PerLength(d.settings)
	for _, method := range []string{analyze.PlotMethod, analyze.StripMethod, analyze.LineMethod} {
		in := plots.RiskByDistance{Confidence: d.settings.Confidence, Unit: unit}
		in.Name, in.Title = "near-hosts-"+method, "Finds near live hosts against random points, from "+method+"s"
		var shown []analyze.AssociationRow
		drawn := false
		for _, r := range d.results.Association {
			if r.Method != method || !ofLand(r.Stratum, r.Years) || r.Mode != analyze.All || r.Measure != analyze.WithinDistance {
				continue
			}
			in.Finds, in.Points = int(r.Finds.Value), int(r.Points.Value)
			in.At = append(in.At, plots.RiskAt{
				Distance: r.DistanceM.Value / metres, Ratio: value(r.Figure.Value), Lower: value(r.Figure.Lower), Upper: value(r.Figure.Upper),
				EnvelopeLower: value(r.EnvelopeLowest), EnvelopeUpper: value(r.EnvelopeHighest),
			})
			shown, drawn = append(shown, r), drawn || r.Figure.Value.Value > 0
		}
		if !drawn {
			continue
		}
		d.add(in.Title, in, report.Figure{Association: shown})
	}
}

// answersByRule draws for each method how the answers move with the distance
// of the rule.
func (d *drawer) answersByRule() {
	unit, metres := report.PerLength(d.settings)
	for _, method := range []string{analyze.PlotMethod, analyze.StripMethod} {
		in := plots.AnswersByRule{Confidence: d.settings.Confidence, DensityUnit: d.unit, DistanceUnit: unit, Rule: d.settings.Hosts.DistanceM / metres}
		in.Name, in.Title = "answers-by-rule-"+method, "The answers by the distance of the rule, from "+method+"s"
		var shown []analyze.SensitivityRow
		drawn := false
		for _, r := range d.results.Sensitivity {
			if r.Method != method {
				continue
			}
			at := plots.AnswersAt{
				Distance: r.DistanceM.Value / metres,
				Density:  value(r.Density.Value) * d.scale, DensityLower: value(r.Density.Lower) * d.scale, DensityUpper: value(r.Density.Upper) * d.scale,
				Ratio: value(r.Ratio.Value), RatioLower: value(r.Ratio.Lower), RatioUpper: value(r.Ratio.Upper),
			}
			switch {
			case r.Rule == analyze.CrewRule:
				in.Crew = at
			case at.Distance > 0:
				in.At = append(in.At, at)
				drawn = drawn || r.Hosts.Value > 0
			}
			shown = append(shown, r)
		}
		if !drawn {
			continue
		}
		d.add(in.Title, in, report.Figure{Sensitivity: shown})
	}
}
