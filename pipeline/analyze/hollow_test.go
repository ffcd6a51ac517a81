package analyze

import (
	"fmt"
	"strings"
	"testing"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
	"ashtally/stats"
)

// cutWorld has ten plots in the burn with 20 finds each, of which the first ten were
// cut, and so many of these were not hollow, one a plot in turn.
func cutWorld(t *testing.T, notHollow int) world {
	w := newWorld()
	for i := range 10 {
		id := fmt.Sprint("P", i)
		w.plot(t, "burn", id, "2031-05-01")
		for k := range 20 {
			w.find(t, id, "2031-05-01", 1, 1, survey.Saprotrophic, "")
			last := &w.finds[len(w.finds)-1]
			switch {
			case k >= 10:
				last.Hollow = "unchecked"
			case k*10+i < notHollow:
				last.Hollow = "no"
			default:
				last.Hollow = "yes"
			}
		}
	}
	return w
}

func notHollowOf(r DensityRow) (stats.Warning, bool) {
	for _, w := range r.Warnings {
		if w.Code == "not-hollow-share" {
			return w, true
		}
	}
	return stats.Warning{}, false
}

// TestNotHollowShare: 5 of 100 cut are 5 %, told of the densities of all target finds
// and of no others; 1 of 100 is not above 1 %.
func TestNotHollowShare(t *testing.T) {
	r := cutWorld(t, 5).answer(t)
	all := row(t, r.Density, fieldwork.Pooled(PlotMethod, "burn"))
	w, ok := notHollowOf(all)
	if !ok || !strings.HasPrefix(w.Text, "5.0 % of the target finds were not hollow (95 % CI ") || !strings.Contains(w.Text, "5 of 100 fruit bodies that were cut") || !strings.HasSuffix(w.Text, "about 1.9e+03 per ha") {
		t.Errorf("%v", all.Warnings)
	}
	for _, other := range r.Density {
		if _, told := notHollowOf(other); told != (other.Value.Known && other.Value.Value > 0 && other.Mode == All && other.Tree == All && other.Taxon == All) {
			t.Errorf("%+v: told %v", other.Key, told)
		}
	}
	for _, few := range []int{0, 1} {
		if w, told := notHollowOf(row(t, cutWorld(t, few).answer(t).Density, fieldwork.Pooled(PlotMethod, "burn"))); told {
			t.Errorf("%d of 100: %v", few, w)
		}
	}
}

// TestNotHollowByAnotherTaxon: what is not estimated is not among the cuts.
func TestNotHollowByAnotherTaxon(t *testing.T) {
	w := cutWorld(t, 5)
	w.settings.Taxa.Target = []string{w.finds[0].Taxon}
	for i := range w.finds {
		if w.finds[i].Hollow == "no" {
			w.finds[i].Taxon = "false morel"
		}
	}
	if w, told := notHollowOf(row(t, w.answer(t).Density, fieldwork.Pooled(PlotMethod, "burn"))); told {
		t.Error(w)
	}
}
