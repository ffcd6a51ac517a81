package density

import (
	"fmt"
	"strings"
	"testing"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
)

// cutWorld has ten plots in the burn with 20 finds each, of which the first ten were
// cut, and so many of these were not hollow, one a plot in turn.
func cutWorld(t *testing.T, notHollow int) fieldworktest.World {
	w := fieldworktest.New()
	for i := range 10 {
		id := fmt.Sprint("P", i)
		w.Plot(t, "burn", id, "2031-05-01")
		for k := range 20 {
			w.Find(t, id, "2031-05-01", 1, 1, survey.Saprotrophic, "")
			last := &w.Finds[len(w.Finds)-1]
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

func notHollowOf(r Row) (stats.Warning, bool) {
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
	r := ask(t, cutWorld(t, 5))
	all := row(t, r, fieldwork.Pooled(result.Plot, "burn"))
	w, ok := notHollowOf(all)
	if !ok || !strings.HasPrefix(w.Text, "5.0 % of the target finds were not hollow (95 % CI ") || !strings.Contains(w.Text, "5 of 100 fruit bodies that were cut") || !strings.HasSuffix(w.Text, "about 1.9e+03 per ha") {
		t.Errorf("%v", all.Warnings)
	}
	for _, other := range r {
		if _, told := notHollowOf(other); told != (other.Density.Value.Known && other.Density.Value.Value > 0 && other.Mode == result.All && other.Tree == result.All && other.Taxon == result.All) {
			t.Errorf("%+v: told %v", other.Key, told)
		}
	}
	for _, few := range []int{0, 1} {
		if w, told := notHollowOf(row(t, ask(t, cutWorld(t, few)), fieldwork.Pooled(result.Plot, "burn"))); told {
			t.Errorf("%d of 100: %v", few, w)
		}
	}
}

// TestNotHollowByAnotherTaxon: what is not estimated is not among the cuts.
func TestNotHollowByAnotherTaxon(t *testing.T) {
	w := cutWorld(t, 5)
	w.Settings.Taxa.Target = []string{w.Finds[0].Taxon}
	for i := range w.Finds {
		if w.Finds[i].Hollow == "no" {
			w.Finds[i].Taxon = "false morel"
		}
	}
	if w, told := notHollowOf(row(t, ask(t, w), fieldwork.Pooled(result.Plot, "burn"))); told {
		t.Error(w)
	}
}
