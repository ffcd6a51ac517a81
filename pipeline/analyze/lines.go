package analyze

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/detect"
)

// lineFind is a find along a line: one fruit body, or a group seen as one.
type lineFind struct {
	visit, group int
	n            int64
	distanceM    float64
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

	truncationM float64
	selection   detect.Selection
	fit         *detect.Fit   // nil if there is none
	reason      stats.Warning // why there is none
	doubts      []stats.Warning
}

// transects gathers the lines that count and fits their detection function.
func (s *Season) transects(elements []element) transects {
	t := transects{frames: s.frames(LineMethod, elements)}
	for _, f := range t.frames {
		if f.years == All {
			t.elements = append(t.elements, f.elements...)
		}
	}
	s.findsOf(&t)
	t.truncationM, t.doubts = s.truncation(t)
	t.selectFunction(s.models(), s.settings.Confidence)
	return t
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
			compareGroups(s.groups[a.group], s.groups[b.group]))
	})
	for _, f := range t.finds {
		t.on = append(t.on, at[f.visit])
		t.size = append(t.size, float64(f.n))
	}
}

func compareGroups(a, b group) int {
	return cmp.Or(strings.Compare(a.mode, b.mode), strings.Compare(a.tree, b.tree), strings.Compare(a.taxon, b.taxon))
}

// farthestShare is left out where no half-width says how far was searched: a
// tail of few finds bends the curve and tells little of its shoulder (Buckland
// et al. 2001, section 4.3.2, from memory).
const farthestShare = 0.05

// truncation is the distance to which finds are used: as far as every line was
// searched, and no farther than the settings say.
func (s *Season) truncation(t transects) (float64, []stats.Warning) {
	narrowest, widest := math.Inf(1), 0.0
	for _, e := range t.elements {
		if half := e.unit.halfM; half.Known {
			narrowest, widest = min(narrowest, half.Value), max(widest, half.Value)
		}
	}
	asked := s.settings.Lines.TruncationM
	switch {
	case asked > narrowest:
		return narrowest, []stats.Warning{{Code: "truncation-cut", Text: fmt.Sprintf(
			"the settings ask for finds up to %.4g m, but a line was searched to %.4g m only; finds are used up to that", asked, narrowest)}}
	case asked > 0:
		return asked, nil
	case narrowest < widest:
		return narrowest, []stats.Warning{{Code: "half-widths-differ", Text: fmt.Sprintf(
			"lines were searched to %.4g to %.4g m; finds are used up to the narrowest", narrowest, widest)}}
	case widest > 0:
		return narrowest, nil
	}
	return nearestDistances(t.finds), []stats.Warning{{Code: "no-half-width",
		Text: "no line has a half-width, so nobody knows how far was searched; the farthest 5 % of the finds are left out"}}
}

// nearestDistances is the distance within which all but the farthest share of
// the finds lie, 0 without any.
func nearestDistances(finds []lineFind) float64 {
	if len(finds) == 0 {
		return 0
	}
	distances := make([]float64, len(finds))
	for i, f := range finds {
		distances[i] = f.distanceM
	}
	slices.Sort(distances)
	return distances[int(math.Ceil((1-farthestShare)*float64(len(distances))))-1]
}

// models are the candidates that the settings name.
func (s *Season) models() []detect.Model {
	o := s.settings.Lines
	models := detect.Candidates(o.Adjustments)
	if o.Function == survey.LowestAIC {
		return models
	}
	return slices.DeleteFunc(models, func(m detect.Model) bool { return string(m.Key) != o.Function })
}

func (t *transects) selectFunction(models []detect.Model, confidence float64) {
	data := detect.Data{Right: t.truncationM}
	for _, f := range t.finds {
		data.Distance = append(data.Distance, f.distanceM)
	}
	sample, err := detect.New(data)
	if err != nil {
		t.reason = t.noFunction(err)
		return
	}
	t.selection = sample.Select(models, detect.AIC, confidence)
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
		text = fmt.Sprintf("%d finds along lines are too few for a detection function", len(t.finds))
	case errors.Is(err, detect.ErrNoSpread):
		text = "all finds lie at one distance from their lines, so how sight falls off with distance is not known"
	case err != nil:
		text = "no detection function can be had: " + err.Error()
	}
	return stats.Warning{Code: "no-detection-function", Text: text}
}
