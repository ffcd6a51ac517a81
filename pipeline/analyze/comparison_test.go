package analyze

import (
	"fmt"
	"slices"
	"testing"

	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
)

// modelWorld is two fires of different age in a land of two strata: plots of
// 100 m2 with finds by a rule. A count of 0 is no find.
func modelWorld(t *testing.T, plots int, finds func(stratum, plot int, mode, tree string) int64) world {
	w := world{settings: survey.Defaults()}
	w.strata = []survey.Stratum{{Stratum: "young", AreaHa: known1(30), FireDate: "2030"}, {Stratum: "old", AreaHa: known1(10), FireDate: "2027"}}
	for h, s := range w.strata {
		for i := range plots {
			id := fmt.Sprintf("%s %02d", s.Stratum, i)
			w.plot(t, s.Stratum, id, "2031-05-01")
			for _, mode := range []string{survey.Saprotrophic, survey.HostAssociated, survey.Undetermined} {
				for _, tree := range []string{"birch", "fir", ""} {
					if n := finds(h, i, mode, tree); n > 0 {
						w.find(t, id, "2031-05-01", 1, n, mode, tree)
					}
				}
			}
		}
	}
	return w
}

func oneIfAll(all ...bool) int64 {
	if slices.Contains(all, false) {
		return 0
	}
	return 1
}

// TestComparisonTests: a comparison of a kind without finds has a p too, and one
// of few sites says how small it could be at all.
func TestComparisonTests(t *testing.T) {
	r := modelWorld(t, 4, func(h, i int, mode, tree string) int64 {
		return oneIfAll(mode == survey.Saprotrophic, tree == "fir")
	}).answer(t)
	for _, c := range r.Comparison {
		if c.Comparison != HostToSapro || c.Stratum != All || c.Years != All || c.Tree != All {
			continue
		}
		if c.P.Value != 2.0/256 || c.Test != result.AllSigns || c.WaldP.Known {
			t.Errorf("%+v", c)
		}
	}
	one := modelWorld(t, 1, func(int, int, string, string) int64 { return 9 }).answer(t)
	for _, c := range one.Comparison {
		if c.Comparison == HostToSapro && c.P.Known && c.P.Value < 1 {
			t.Errorf("%+v", c)
		}
	}
}
