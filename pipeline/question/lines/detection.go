package lines

import (
	"fmt"
	"math"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate/transect"
	"ashtally/pipeline/result"
	"ashtally/stats"
	"ashtally/stats/detect"
	"ashtally/stats/detect/lines"
)

// detectionRows tells of every detection function that was tried, the best
// first, and what the density of the land would be with it.
func detectionRows(t *transect.Lines) ([]DetectionRow, error) {
	if len(t.Units) == 0 {
		return nil, nil
	}
	if len(t.Ranking.Ranking) == 0 {
		return []DetectionRow{noFunctionRow(t, "none", t.Reason)}, nil
	}
	area := t.Survey(t.AllYears())
	var rows []DetectionRow
	for _, ranked := range t.Ranking.Ranking {
		if ranked.Fit == nil {
			rows = append(rows, noFunctionRow(t, ranked.Model.String(), t.NoFunction(ranked.Err)))
			continue
		}
		row, err := detectionRow(t, area, ranked)
		if err != nil {
			return nil, err
		}
		rows = append(rows, row)
	}
	return rows, nil
}

func noFunctionRow(t *transect.Lines, function string, reason stats.Warning) DetectionRow {
	return DetectionRow{
		Method: result.Line, Function: function, Selected: column.Bool{Known: true},
		Lines: column.Count(len(t.Units)), Detections: column.Count(t.Finds()), TruncationM: positive(t.Range.Right), LeftM: positive(t.Range.Left),
		Warnings: append([]stats.Warning{reason}, t.Warnings...),
	}
}

func positive(v float64) column.Float {
	if v == 0 {
		return column.Float{}
	}
	return column.Finite(v)
}

func detectionRow(t *transect.Lines, area lines.Survey, ranked detect.Ranked) (DetectionRow, error) {
	f := ranked.Fit
	counting, err := area.Counted(f, t.Sizes(), t.Options())
	if err != nil {
		return DetectionRow{}, fmt.Errorf("line transects: %w", err)
	}
	density, err := area.Density(f, t.Options())
	if err != nil {
		return DetectionRow{}, fmt.Errorf("line transects: %w", err)
	}
	row := DetectionRow{
		Method: result.Line, Function: f.Model.String(), Selected: column.Bool{Value: f == t.Fit, Known: true},
		Lines: column.Count(len(t.Units)), Detections: column.Count(f.N), TruncationM: column.Finite(f.Sample().Right()), LeftM: positive(f.Sample().Left()),
		HalfWidth: result.Of(f.HalfWidth), Detected: result.Of(f.Detected),
		PerKm: column.Finite(density.Rate.Value), PerKmSE: column.Finite(column.UnlessRounding(density.Rate.SE, density.Rate.Value)),
		AIC: column.Finite(f.AIC), AICc: column.Finite(f.AICc), DeltaAIC: column.Finite(ranked.Delta), Weight: column.Finite(ranked.Weight),
		Density: result.Of(counting.Density), Warnings: append(counting.Density.Warnings, t.Warnings...),
	}
	row.setParameters(f.Parameters)
	row.setShares(counting.Parts)
	tests := f.Test(detect.TestOptions{})
	row.ChiSquareP, row.KolmogorovP, row.CramerP = column.Finite(tests.ChiSquare.P),
		column.Finite(tests.KolmogorovSmirnov.P), column.Finite(tests.CramerVonMises.P)
	return row, nil
}

func (r *DetectionRow) setParameters(parameters []detect.Parameter) {
	var terms []string
	for _, p := range parameters {
		switch p.Name {
		case "scale":
			r.ScaleM, r.ScaleSE = column.Finite(p.Value), column.Finite(p.SE)
		case "shape":
			r.Shape, r.ShapeSE = column.Finite(p.Value), column.Finite(p.SE)
		default:
			term := fmt.Sprintf("%s %.4g", p.Name, p.Value)
			if !math.IsNaN(p.SE) {
				term += fmt.Sprintf(" (se %.2g)", p.SE)
			}
			terms = append(terms, term)
		}
	}
	r.Adjustments = strings.Join(terms, "; ")
}

func (r *DetectionRow) setShares(parts []lines.Part) {
	for _, p := range parts {
		share := column.Finite(100 * p.Share)
		switch p.Source {
		case lines.FromUnits:
			r.FromUnits = share
		case lines.FromDetectability:
			r.FromDetectability = share
		case lines.FromGroupSize:
			r.FromGroupSize = share
		}
	}
}
