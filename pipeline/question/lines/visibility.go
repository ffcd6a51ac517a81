package lines

import (
	"fmt"
	"math"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate/transect"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats/detect"
)

// visibilityRows tells of every covariate that was tried the detection probability
// at its levels, whether or not the densities rest on it.
func visibilityRows(t *transect.Lines, covariates []string) ([]VisibilityRow, error) {
	var rows []VisibilityRow
	for _, name := range covariates {
		with, without := bestWith(t.Ranking, name)
		if with == nil {
			continue
		}
		gain := column.Float{}
		if without != nil {
			gain = column.Finite(t.Criterion().Of(without) - t.Criterion().Of(with))
		}
		for i, at := range settingsOf(with, name) {
			v, err := with.At(at)
			if err != nil {
				return nil, fmt.Errorf("line transects: %w", err)
			}
			row := VisibilityRow{
				Method: result.Line, Covariate: name, Level: at.Level,
				Function: with.Model.String(), Selected: column.Bool{Value: with == t.Fit, Known: true},
				Detections: column.Count(v.N), HalfWidth: result.Of(v.HalfWidth), Detected: result.Of(v.Detected), Gain: gain,
				Warnings: slices.Clone(with.Warnings),
			}
			if at.Level == "" {
				row.Level, row.At = quartiles[i], column.Finite(valueOf(name, at.Value))
			}
			rows = append(rows, row)
		}
	}
	return rows, nil
}

var quartiles = []string{"lower quartile", "median", "upper quartile"}

// valueOf takes a setting back to what the crew wrote down.
func valueOf(name string, v float64) float64 {
	if name == survey.GroupSize {
		return math.Exp(v)
	}
	return v
}

// settingsOf are those of one covariate.
func settingsOf(f *detect.Fit, name string) []detect.Setting {
	return slices.DeleteFunc(f.Settings(), func(at detect.Setting) bool { return at.Name != name })
}

// bestWith is the best function that depends on a covariate and the best that
// does not; nil where none converged.
func bestWith(s detect.Selection, name string) (with, without *detect.Fit) {
	for _, r := range s.Ranking {
		if r.Fit == nil || !r.Fit.Converged {
			continue
		}
		depends := slices.Contains(r.Model.Covariates, name)
		switch {
		case depends && with == nil:
			with = r.Fit
		case !depends && without == nil:
			without = r.Fit
		}
	}
	return with, without
}
