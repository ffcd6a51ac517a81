package pipeline

import (
	"fmt"
	"math"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/report"
	"ashtally/plots"
)

// predictions draws the densities of the model by mode, tree and years, a
// figure for each method.
func (d *drawer) predictions() {
	for _, method := range []string{analyze.PlotMethod, analyze.StripMethod} {
		in := plots.DensityByModeAndTree{Unit: d.unit, Confidence: d.settings.Confidence, Axis: plots.AutoAxis}
		in.Name, in.Title = "model-by-mode-and-tree-"+method, "Density by mode, tree and years since fire, by the model of counts, from "+method+"s"
		var shown []analyze.PredictedRow
		for _, r := range d.results.Model.Predicted {
			if r.Method != method || r.Years == analyze.All || r.Tree == analyze.All {
				continue
			}
			in.Rows = append(in.Rows, plots.ModeTreeDensity{Years: r.Years, Tree: r.Tree, Mode: r.Mode, Estimate: plots.Estimate{
				Value: value(r.Value) * d.scale, Lower: value(r.Lower) * d.scale, Upper: value(r.Upper) * d.scale,
				Units: int(r.Units.Value), Finds: int(r.Finds.Value), Note: note(r.Warnings),
			}})
			shown = append(shown, r)
		}
		d.add(in.Title, in, report.Figure{Predicted: shown})
	}
}

// declines draws how density falls with the years since fire, a figure for each
// method with two ages or more.
func (d *drawer) declines() {
	for _, method := range []string{analyze.PlotMethod, analyze.StripMethod} {
		in := plots.DeclineWithYears{Unit: d.unit, Confidence: d.settings.Confidence}
		in.Name, in.Title = "decline-with-years-"+method, "Decline with years since fire, from "+method+"s"
		var shown []analyze.DeclineRow
		for _, c := range d.results.Model.Curves {
			if c.Method == method {
				in.Modes = append(in.Modes, d.decline(c))
			}
		}
		for _, r := range d.results.Model.Declines {
			if r.Method == method && len(in.Modes) > 0 {
				shown = append(shown, r)
			}
		}
		d.add(in.Title, in, report.Figure{Decline: shown})
	}
}

func (d *drawer) decline(c analyze.DeclineCurve) plots.DeclineOfMode {
	m := plots.DeclineOfMode{Mode: c.Mode}
	for _, y := range c.Classes {
		m.Classes = append(m.Classes, plots.YearsDensity{Years: float64(y.Years), Estimate: plots.Estimate{
			Value: value(y.Value) * d.scale, Lower: value(y.Lower) * d.scale, Upper: value(y.Upper) * d.scale,
			Units: y.Units, Finds: y.Finds, Note: note(y.Warnings),
		}})
	}
	for _, p := range c.Line {
		if p.Value.Known && p.Value.Value > 0 {
			m.Line = append(m.Line, plots.DeclineOfYear{Years: p.Years, Value: value(p.Value) * d.scale, Lower: value(p.Lower) * d.scale, Upper: value(p.Upper) * d.scale})
		}
	}
	for _, r := range d.results.Model.Declines {
		if r.Method == c.Method && r.Mode == c.Mode && r.PerYear.Value.Known {
			m.Note = fmt.Sprintf("× %.2f each year", r.PerYear.Value.Value)
			if r.PerYear.Lower.Known && r.PerYear.Upper.Known {
				m.Note += fmt.Sprintf(" (%.4g %% interval %.2f to %.2f)", math.Round(1e6*d.settings.Confidence)/1e4, r.PerYear.Lower.Value, r.PerYear.Upper.Value)
			}
		}
	}
	return m
}
