package estimate

import (
	"context"
	"fmt"
	"slices"
	"testing"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats/statstest"
)

// world has four plots of 0.01 ha in each of two strata, 30 ha with 12 saprotrophic
// and 4 host-associated fruit bodies and 10 ha with 2.
func world(t *testing.T) *fieldwork.Season {
	w := fieldworktest.New()
	const day = "2031-05-01"
	for i := range 4 {
		burn, green := fmt.Sprint("b", i), fmt.Sprint("g", i)
		w.Plot(t, "burn", burn, day)
		w.Plot(t, "green", green, day)
		if i > 0 {
			w.Find(t, burn, day, 1, int64(2*i), survey.Saprotrophic, "spruce")
		}
		w.Find(t, burn, day, 1, 1, survey.HostAssociated, "spruce")
		if i < 2 {
			w.Find(t, green, day, 1, 1, survey.Saprotrophic, "birch")
		}
	}
	return w.Season(t)
}

// TestBySubgroup: 16/0.04 = 400 in 30 ha and 2/0.04 = 50 in 10 ha, so 312.5
// together; by hand.
func TestBySubgroup(t *testing.T) {
	s := world(t)
	domains, c := s.Domains(result.Plot, s.UnitSeasons()), s.Subgroups()
	d, err := BySubgroup(context.Background(), s, domains, c)
	if err != nil {
		t.Fatal(err)
	}
	all := d.Areas[result.All][0] // the first subgroup is all finds
	statstest.Relative(t, "density of the area", all.Value, 312.5, 1e-12)
	if all.Finds != 18 || len(d.Domains) != len(domains) || len(d.Areas) != 3 {
		t.Errorf("%v finds, %d domains, %d areas", all.Finds, len(d.Domains), len(d.Areas))
	}
	for i, f := range domains {
		want := 400.0
		if s.Strata[f.Stratum].Name == "green" {
			want = 50
		}
		statstest.Relative(t, s.Strata[f.Stratum].Name+" "+f.Years, d.Domains[i][0].Value, want, 1e-12)
	}
	var sum float64
	for k, g := range c.List {
		if g.Mode != result.All && g.Tree == result.All && g.Taxon == result.All {
			sum += d.Areas[result.All][k].Value
		}
	}
	statstest.Relative(t, "the modes together", sum, 312.5, 1e-12)

	cancelled, stop := context.WithCancel(context.Background())
	stop()
	if _, err := BySubgroup(cancelled, s, domains, c); err == nil {
		t.Error("it goes on after being stopped")
	}
}

// TestOnce: subgroups that were counted alike, and classes of years that are whole
// strata, are estimated once, and have what Jointly gives each of them.
func TestOnce(t *testing.T) {
	s := world(t)
	domains, c := s.Domains(result.Plot, s.UnitSeasons()), s.Subgroups()
	d, err := BySubgroup(context.Background(), s, domains, c)
	if err != nil {
		t.Fatal(err)
	}
	if groups := asOne(domains, Groups(domains)); len(groups) != 1 {
		t.Errorf("%d groups of strata that burned in one year", len(groups))
	}
	for _, y := range Groups(domains) {
		members := fieldwork.Pick(domains, y.Places)
		counts := make([]fieldwork.Counts, len(members))
		for j, f := range members {
			counts[j] = c.Count(f)
		}
		if of := firstAlike(counts, len(c.List)); len(slices.Compact(slices.Sorted(slices.Values(of)))) == len(of) {
			t.Error("no subgroup is counted as another one")
		}
		for k := range c.List {
			strata, areas := Jointly(s, members, y.Areas, func(member int) []float64 {
				return fieldwork.Dense(make([]float64, len(members[member].Units)), counts[member][k])
			})
			for j, i := range y.Places {
				hold(t, d.Domains[i][k], strata[j])
			}
			for a, years := range y.Years {
				hold(t, d.Areas[years][k], areas[a])
			}
		}
	}
}

// hold holds a density to another one, to the last digit.
func hold(t *testing.T, got, want Density) {
	t.Helper()
	if g, w := fmt.Sprintf("%#v", got), fmt.Sprintf("%#v", want); g != w {
		t.Errorf("%s, want %s", g, w)
	}
}

// TestGroups: the domains of all years make one area, and each class of years one.
func TestGroups(t *testing.T) {
	s := world(t)
	domains := s.Domains(result.Plot, s.UnitSeasons())
	groups := Groups(domains)
	if len(groups) != 2 || len(groups[0].Areas) != 1 || len(groups[1].Areas) != 2 || len(groups[0].Places)+len(groups[1].Places) != len(domains) {
		t.Errorf("%+v", groups)
	}
}

// TestAdaptive: of a grid of plots, three were drawn: one in a network of two with
// 4 and 6 fruit bodies, two under the threshold with none. Hansen and Hurwitz's
// mean is (5 + 0 + 0)/3 a plot of 0.01 ha (Thompson 1990, equation for w); by hand.
func TestAdaptive(t *testing.T) {
	w := fieldworktest.New()
	w.Settings.Adaptive.Estimator = "hansen-hurwitz"
	const day = "2031-05-01"
	for i, n := range []int64{4, 0, 0, 6} {
		id := fmt.Sprint("p", i)
		w.Plot(t, "burn", id, day)
		p := &w.Plots[i]
		p.Added.Known, p.Added.Value = true, i == 3
		if n > 0 {
			p.Network = "n1"
			w.Find(t, id, day, 1, n, survey.Saprotrophic, "spruce")
		}
	}
	s := w.Season(t)
	domains := s.Domains(result.Adaptive, s.UnitSeasons())
	strata, together := Jointly(s, domains[:1], [][]int{{0}}, AllFinds(domains[:1]))
	statstest.Relative(t, "density", strata[0].Value, 5.0/3/0.01, 1e-12)
	statstest.Relative(t, "together", together[0].Value, 5.0/3/0.01, 1e-12)
	if strata[0].Finds != 10 || together[0].Finds != 10 {
		t.Errorf("finds: %v and %v", strata[0].Finds, together[0].Finds)
	}
}
