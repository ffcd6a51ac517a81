package transect

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/detect"
	"ashtally/stats/detect/lines"
)

// Lines are the line transects of a survey with the detection function of all of
// them: by stratum, year or subgroup most have too few finds for one of their own.
type Lines struct {
	Domains []fieldwork.Domain
	Units   []fieldwork.UnitSeason // of all domains, each once
	Range   Range                  // distances used

	Ranking  detect.Selection // of the detection functions
	Fit      *detect.Fit      // the one selected; nil if there is none
	Reason   stats.Warning    // why there is none
	Warnings []stats.Warning  // of all estimates along lines

	s      *fieldwork.Season
	finds  []fieldwork.LineFind // of the unit-seasons, in an order that the rows do not change
	on     []int                // unit-season of each find
	size   []float64            // fruit bodies of each find
	replay *lines.Replay        // nil where intervals are by the delta method
}

// New gathers the lines that count and fits their detection function.
func New(ctx context.Context, s *fieldwork.Season) (*Lines, error) {
	t := &Lines{s: s, Domains: s.Domains(result.Line, s.UnitSeasons())}
	for _, f := range t.Domains {
		if f.Years == result.All {
			t.Units = append(t.Units, f.Units...)
		}
	}
	t.findsOf()
	t.Range, t.Warnings = t.distanceRange()
	t.selectFunction()
	return t, t.resample(ctx)
}

// At returns the same lines with another nominal level of confidence.
func (t *Lines) At(confidence float64) *Lines {
	at := *t
	at.s = t.s.WithConfidence(confidence)
	if t.replay != nil && confidence != t.s.Settings.Confidence {
		at.replay = t.replay.At(confidence)
	}
	return &at
}

// Finds counts the finds at the distances used.
func (t *Lines) Finds() int {
	n := 0
	for _, f := range t.finds {
		if t.Range.Holds(f.DistanceM) {
			n++
		}
	}
	return n
}

// Sizes are the fruit bodies of each find.
func (t *Lines) Sizes() []float64 { return t.size }

// findsOf takes the finds of the visits that count, by unit-season, distance and
// group.
func (t *Lines) findsOf() {
	at := map[int]int{}
	for i, e := range t.Units {
		for _, v := range e.Counted {
			at[v] = i
		}
	}
	for _, f := range t.s.LineFinds {
		if _, ok := at[f.Visit]; ok {
			t.finds = append(t.finds, f)
		}
	}
	slices.SortFunc(t.finds, func(a, b fieldwork.LineFind) int {
		return cmp.Or(cmp.Compare(at[a.Visit], at[b.Visit]), cmp.Compare(a.DistanceM, b.DistanceM), cmp.Compare(a.N, b.N),
			compareGroups(t.s.Groups[a.Group], t.s.Groups[b.Group]), cmp.Compare(cover(t, a).Or(-1), cover(t, b).Or(-1)),
			strings.Compare(t.s.Visits[a.Visit].Team, t.s.Visits[b.Visit].Team))
	})
	for _, f := range t.finds {
		t.on = append(t.on, at[f.Visit])
		t.size = append(t.size, float64(f.N))
	}
}

func compareGroups(a, b fieldwork.Group) int {
	return cmp.Or(strings.Compare(a.Mode, b.Mode), strings.Compare(a.Tree, b.Tree), strings.Compare(a.Taxon, b.Taxon))
}

// Criterion is what the settings rank detection functions by.
func (t *Lines) Criterion() detect.Criterion {
	if t.s.Settings.Lines.Criterion == survey.AICc {
		return detect.AICc
	}
	return detect.AIC
}

// models are the candidates that the settings name.
func (t *Lines) models(covariates []detect.Covariate) []detect.Model {
	o := t.s.Settings.Lines
	var names []string
	for _, c := range covariates {
		names = append(names, c.Name)
	}
	models := detect.Candidates(o.Adjustments, names...)
	if o.Function == survey.LowestAIC {
		return models
	}
	return slices.DeleteFunc(models, func(m detect.Model) bool { return string(m.Key) != o.Function })
}

// selectFunction fits the candidates, with and without covariates.
func (t *Lines) selectFunction() {
	if t.Range.reason != nil {
		t.Reason = *t.Range.reason
		return
	}
	covariates, doubts := covariates(t)
	t.Warnings = append(t.Warnings, doubts...)
	data := detect.Data{Covariates: covariates, Bins: t.Range.Classes, RightIs: t.Range.RightIs}
	if data.Bins == nil {
		data.Left, data.Right = t.Range.Left, t.Range.Right
	}
	for _, f := range t.finds {
		data.Distance = append(data.Distance, f.DistanceM)
	}
	sample, err := detect.New(data)
	if err != nil {
		t.Reason = t.NoFunction(err)
		return
	}
	t.Ranking = sample.Select(t.models(covariates), t.Criterion(), t.s.Settings.Confidence)
	t.Fit = t.Ranking.Best()
	if t.Fit == nil {
		t.Reason = t.NoFunction(t.Ranking.Ranking[0].Err)
	}
}

// NoFunction says why no detection function could be had.
func (t *Lines) NoFunction(err error) stats.Warning {
	text := "none of the detection functions reached its best fit"
	switch {
	case len(t.finds) == 0:
		text = "nothing was found along a line, so nobody knows how far a fruit body is seen, and there is no upper limit"
	case errors.Is(err, detect.ErrTooFew):
		text = fmt.Sprintf("%d of %d finds along lines lie within the distances used, too few for a detection function", t.Finds(), len(t.finds))
	case errors.Is(err, detect.ErrNoSpread):
		text = "all finds lie at one distance from their lines, or in one class of distances, so how sight falls off with distance is not known"
	case err != nil:
		text = "no detection function can be had: " + err.Error()
	}
	return NoDetectionFunction.With("%s", text)
}
