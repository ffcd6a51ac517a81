// Package lines is the question of how the probability to detect a fruit body falls
// with its distance from a line transect: the detection functions fitted, and what
// detection depends on.
package lines

import (
	"context"
	"slices"

	"ashtally/pipeline/estimate/transect"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
	"ashtally/stats"
)

// Answer is the detection functions of the lines of a survey.
type Answer struct {
	detection  []DetectionRow
	visibility []VisibilityRow
	curve      curve // of the selected function
}

// Tables are results/detection and results/visibility.
func (a Answer) Tables() []result.Table {
	return []result.Table{detectionTable.Of(a.detection), visibilityTable.Of(a.visibility)}
}

// Warnings are the types of warnings of its rows.
func Warnings() []stats.WarningTypes { return transect.AllWarnings() }

// Ask fits the detection functions. What follows from the selected one is known to
// later questions.
func Ask(ctx context.Context, s *fieldwork.Season, known *question.Known) (Answer, error) {
	t, err := transect.New(ctx, s)
	if err != nil {
		return Answer{}, err
	}
	known.Lines = t
	a := Answer{curve: curveOf(t, s.Settings.Confidence)}
	if a.detection, err = detectionRows(t); err != nil {
		return Answer{}, err
	}
	a.visibility, err = visibilityRows(t, s.Settings.Lines.Covariates)
	return a, err
}

// selected is the row of the selected function; -1 for none.
func (a Answer) selected() int {
	return slices.IndexFunc(a.detection, func(r DetectionRow) bool { return r.Selected.Value })
}
