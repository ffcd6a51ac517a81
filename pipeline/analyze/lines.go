package analyze

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/detect"
	"ashtally/stats/detect/lines"
)

// lineFind is a find along a line: one fruit body, or a group seen as one.
type lineFind struct {
	visit, group int
	n            int64
	distanceM    float64
	cover        column.Float // percent of the ground that is hidden around it
}

// transects is what the line transects of a survey hold, with the detection
// function of all of them: by stratum, year or group most have too few finds
// for one of their own.
type transects struct {
	frames   []frame
	elements []element  // of all frames, each once
	finds    []lineFind // of these elements, in an order that the rows do not change
	on       []int      // element of each find
	size     []float64  // fruit bodies of each find

	reach     distanceRange
	selection ranking
	fit       *detect.Fit   // nil if there is none
	reason    stats.Warning // why there is none
	doubts    []stats.Warning
	replay    *lines.Replay // nil where intervals are by the delta method
}

// transects gathers the lines that count and fits their detection function.
func (s *Season) transects(ctx context.Context, elements []element) (transects, error) {
	t := transects{frames: s.frames(LineMethod, elements)}
	for _, f := range t.frames {
		if f.years == All {
			t.elements = append(t.elements, f.elements...)
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
		for _, v := range e.counted {
			at[v] = i
		}
	}
	for _, f := range s.lineFinds {
		if _, ok := at[f.visit]; ok {
			t.finds = append(t.finds, f)
		}
	}
	slices.SortFunc(t.finds, func(a, b lineFind) int {
		return cmp.Or(cmp.Compare(at[a.visit], at[b.visit]), cmp.Compare(a.distanceM, b.distanceM), cmp.Compare(a.n, b.n),
			compareGroups(s.groups[a.group], s.groups[b.group]), cmp.Compare(s.cover(a).Or(-1), s.cover(b).Or(-1)),
			strings.Compare(s.visits[a.visit].team, s.visits[b.visit].team))
	})
	for _, f := range t.finds {
		t.on = append(t.on, at[f.visit])
		t.size = append(t.size, float64(f.n))
	}
}

func compareGroups(a, b group) int {
	return cmp.Or(strings.Compare(a.mode, b.mode), strings.Compare(a.tree, b.tree), strings.Compare(a.taxon, b.taxon))
}

// criterion is what the settings rank detection functions by.
func (s *Season) criterion() detect.Criterion {
	if s.settings.Lines.Criterion == survey.AICc {
		return detect.AICc
	}
	return detect.AIC
}

// models are the candidates that the settings name.
func (s *Season) models(covariates []detect.Covariate) []detect.Model {
	o := s.settings.Lines
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
		data.Distance = append(data.Distance, f.distanceM)
	}
	sample, err := detect.New(data)
	if err != nil {
		t.reason = t.noFunction(err)
		return
	}
	t.selection = ranking{sample.Select(s.models(covariates), s.criterion(), s.settings.Confidence)}
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
