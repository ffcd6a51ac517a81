package analyze

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/detect"
	"ashtally/stats/detect/lines"
)

// transects is what the line transects of a survey hold, with the detection
// function of all of them: by stratum, year or group most have too few finds
// for one of their own.
type transects struct {
	frames   []fieldwork.Domain
	elements []fieldwork.UnitSeason // of all frames, each once
	finds    []fieldwork.LineFind   // of these elements, in an order that the rows do not change
	on       []int                  // element of each find
	size     []float64              // fruit bodies of each find

	reach     distanceRange
	selection ranking
	fit       *detect.Fit   // nil if there is none
	reason    stats.Warning // why there is none
	doubts    []stats.Warning
	replay    *lines.Replay // nil where intervals are by the delta method
}

// transects gathers the lines that count and fits their detection function.
func (s *Season) transects(ctx context.Context, elements []fieldwork.UnitSeason) (transects, error) {
	t := transects{frames: s.Domains(LineMethod, elements)}
	for _, f := range t.frames {
		if f.Years == All {
			t.elements = append(t.elements, f.Units...)
		}
	}
	s.findsOf(&t)
	t.reach, t.doubts = s.distanceRange(t)
	s.selectFunction(&t)
	return t, s.replay(ctx, &t)
}

// findsOf takes the finds of the visits that count, by element, distance and
// group.
func (s *Season) findsOf(t *transects) {
	at := map[int]int{}
	for i, e := range t.elements {
		for _, v := range e.Counted {
			at[v] = i
		}
	}
	for _, f := range s.LineFinds {
		if _, ok := at[f.Visit]; ok {
			t.finds = append(t.finds, f)
		}
	}
	slices.SortFunc(t.finds, func(a, b fieldwork.LineFind) int {
		return cmp.Or(cmp.Compare(at[a.Visit], at[b.Visit]), cmp.Compare(a.DistanceM, b.DistanceM), cmp.Compare(a.N, b.N),
			compareGroups(s.Groups[a.Group], s.Groups[b.Group]), cmp.Compare(s.cover(a).Or(-1), s.cover(b).Or(-1)),
			strings.Compare(s.Visits[a.Visit].Team, s.Visits[b.Visit].Team))
	})
	for _, f := range t.finds {
		t.on = append(t.on, at[f.Visit])
		t.size = append(t.size, float64(f.N))
	}
}

func compareGroups(a, b fieldwork.Group) int {
	return cmp.Or(strings.Compare(a.Mode, b.Mode), strings.Compare(a.Tree, b.Tree), strings.Compare(a.Taxon, b.Taxon))
}

// criterion is what the settings rank detection functions by.
func (s *Season) criterion() detect.Criterion {
	if s.Settings.Lines.Criterion == survey.AICc {
		return detect.AICc
	}
	return detect.AIC
}

// models are the candidates that the settings name.
func (s *Season) models(covariates []detect.Covariate) []detect.Model {
	o := s.Settings.Lines
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
func (s *Season) selectFunction(t *transects) {
	if t.reach.reason != nil {
		t.reason = *t.reach.reason
		return
	}
	covariates, doubts := s.covariates(*t)
	t.doubts = append(t.doubts, doubts...)
	data := detect.Data{Covariates: covariates, Bins: t.reach.classes, RightIs: t.reach.rightIs}
	if data.Bins == nil {
		data.Left, data.Right = t.reach.left, t.reach.right
	}
	for _, f := range t.finds {
		data.Distance = append(data.Distance, f.DistanceM)
	}
	sample, err := detect.New(data)
	if err != nil {
		t.reason = t.noFunction(err)
		return
	}
	t.selection = ranking{sample.Select(s.models(covariates), s.criterion(), s.Settings.Confidence)}
	t.fit = t.selection.Best()
	if t.fit == nil {
		t.reason = t.noFunction(t.selection.Ranking[0].Err)
	}
}

// noFunction says why no detection function could be had.
func (t *transects) noFunction(err error) stats.Warning {
	text := "none of the detection functions reached its best fit"
	switch {
	case len(t.finds) == 0:
		text = "nothing was found along a line, so nobody knows how far a fruit body is seen, and there is no upper limit"
	case errors.Is(err, detect.ErrTooFew):
		text = fmt.Sprintf("%d of %d finds along lines lie within the distances used, too few for a detection function", t.within(), len(t.finds))
	case errors.Is(err, detect.ErrNoSpread):
		text = "all finds lie at one distance from their lines, or in one class of distances, so how sight falls off with distance is not known"
	case err != nil:
		text = "no detection function can be had: " + err.Error()
	}
	return stats.Warning{Code: "no-detection-function", Text: text}
}
