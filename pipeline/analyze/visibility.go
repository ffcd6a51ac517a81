package analyze

import (
	"fmt"
	"math"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
	"ashtally/stats/detect"
)

// visibilityRows tells of every covariate that was tried how far is seen at its
// levels, whether or not the densities rest on it.
func (s *Season) visibilityRows(t transects) ([]VisibilityRow, error) {
	var rows []VisibilityRow
	for _, name := range s.Settings.Lines.Covariates {
		with, without := t.selection.bestWith(name)
		if with == nil {
			continue
		}
		gain := column.Float{}
		if without != nil {
			gain = column.Finite(s.criterion().Of(without) - s.criterion().Of(with))
		}
		for i, at := range settingsOf(with, name) {
			v, err := with.At(at)
			if err != nil {
				return nil, fmt.Errorf("line transects: %w", err)
			}
			row := VisibilityRow{
				Method: LineMethod, Covariate: name, Level: at.Level,
				Function: with.Model.String(), Selected: column.Bool{Value: with == t.fit, Known: true},
				Detections: column.Count(v.N), HalfWidth: figures(v.HalfWidth), Detected: figures(v.Detected), Gain: gain,
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

// ranking is the detection functions fitted, in the order of their criterion.
type ranking struct{ detect.Selection }

// bestWith is the best function that depends on a covariate and the best that
// does not; nil where none converged.
func (s ranking) bestWith(name string) (with, without *detect.Fit) {
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

// agreement is how the selected function fits.
func (t *transects) agreement() Fit {
	if t.fit == nil {
		return Fit{}
	}
	f := Fit{Function: t.fit.Model.String(), Detections: t.fit.N, Pairs: t.fit.Agreement(), Band: detect.Band(t.fit.N)}
	if t.reach.classes != nil {
		f.Classes, f.Band = true, math.NaN()
	}
	return f
}
