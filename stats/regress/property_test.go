package regress

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"ashtally/stats/regress/terms"
	"ashtally/stats/statstest"
)

// survey is units in sites with finds by mode, tree and years, made up by rapid:
// few or many finds, cells without any, levels that do not meet.
func survey(t *rapid.T) (Sample, terms.Model) {
	seed := rapid.Uint64Range(1, 1<<40).Draw(t, "seed")
	sites, units := rapid.IntRange(1, 9).Draw(t, "sites"), rapid.IntRange(1, 3).Draw(t, "units")
	trees, ages := rapid.IntRange(1, 3).Draw(t, "trees"), rapid.IntRange(1, 3).Draw(t, "ages")
	mean := rapid.SampledFrom([]float64{0.1, 1, 5, 60}).Draw(t, "mean")
	rng := rand.New(rand.NewPCG(seed, 1))
	names := func(prefix string, n int) []string {
		var list []string
		for i := range n {
			list = append(list, prefix+string(rune('a'+i)))
		}
		return list
	}
	mode, tree := terms.Factor{Name: "mode", Levels: names("mode ", 2)}, terms.Factor{Name: "tree", Levels: names("tree ", trees)}
	years := terms.Factor{Name: "years", Levels: names("", ages)}
	var s Sample
	for site := range sites {
		luck := math.Exp(0.5 * rng.NormFloat64())
		age := rng.IntN(ages)
		for range units {
			area := 0.5 + rng.Float64()
			if rng.IntN(3) == 0 {
				age = rng.IntN(ages)
			}
			for m := range 2 {
				for k := range trees {
					mu := mean * area * luck / float64(1+m+2*k) / float64(1+3*age)
					s.Count = append(s.Count, poisson(rng, mu*gamma(rng, 0.7)))
					s.Exposure, s.Cluster = append(s.Exposure, area), append(s.Cluster, site)
					mode.Of, tree.Of, years.Of = append(mode.Of, m), append(tree.Of, k), append(years.Of, age)
				}
			}
		}
	}
	s.Frame = terms.Frame{Rows: len(s.Count), Factors: []terms.Factor{mode, tree, years}}
	models := []terms.Model{terms.Crossed(1, "mode", "tree", "years"), terms.Crossed(2, "mode", "tree", "years"), {{"mode"}, {"years"}}, {{"years"}, {"years", "tree"}}}
	return s, models[rapid.IntRange(0, len(models)-1).Draw(t, "model")]
}

// renamed is the sample with the levels of each factor in another order, under
// other names, its rows in another order, and its areas in another unit.
func renamed(s Sample, rng *rand.Rand, scale float64) Sample {
	rows := rng.Perm(len(s.Count))
	out := Sample{Frame: terms.Frame{Rows: len(rows)}}
	for _, row := range rows {
		out.Count, out.Exposure, out.Cluster = append(out.Count, s.Count[row]), append(out.Exposure, s.Exposure[row]*scale), append(out.Cluster, 7-3*s.Cluster[row])
	}
	for _, f := range s.Frame.Factors {
		g := terms.Factor{Name: f.Name, Levels: make([]string, len(f.Levels))}
		to := rng.Perm(len(f.Levels))
		for i, l := range f.Levels {
			g.Levels[to[i]] = l
		}
		for _, row := range rows {
			g.Of = append(g.Of, to[f.Of[row]])
		}
		out.Frame.Factors = append(out.Frame.Factors, g)
	}
	return out
}

// place finds the point that has these levels by name.
func placeOf(s Sample, names ...string) terms.Point {
	p := terms.Point{Level: map[string]int{}}
	for i, f := range s.Frame.Factors {
		p.Level[f.Name] = slices.Index(f.Levels, names[i])
	}
	return p
}

// TestInvariant: names and order of levels and rows and the unit of area have
// no say in densities, ratios, tests and degrees of freedom.
func TestInvariant(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, model := survey(t)
		kind := rapid.SampledFrom([]Kind{CR2, CR1, Observed}).Draw(t, "kind")
		const scale = 2.471
		other := renamed(s, rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "order"), 2)), scale)
		f, err := NegativeBinomial(s, model)
		g, err2 := NegativeBinomial(other, model)
		if err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
		statstest.Close(t, "log-likelihood", g.LogLik, f.LogLik, 1e-8)
		if f.Parameters != g.Parameters {
			t.Errorf("%d parameters, then %d", f.Parameters, g.Parameters)
		}
		// A k far out on a likelihood that is flat there has few digits.
		if f.K < 1e4 {
			statstest.Relative(t, "k", g.K, f.K, 1e-6)
		}
		a, b := f.Covariance(kind, 0.95), g.Covariance(kind, 0.95)
		fs := s.Frame.Factors
		for _, m := range fs[0].Levels {
			for _, k := range fs[1].Levels {
				for _, y := range fs[2].Levels {
					here, there := Mix{{1, placeOf(s, m, k, y)}}, Mix{{1, placeOf(other, m, k, y)}}
					d := a.Density(here)
					sameEffect(t, m+" "+k+" "+y, b.Density(there), d, 1/scale)
					base, otherBase := Mix{{1, placeOf(s, fs[0].Levels[0], k, y)}}, Mix{{1, placeOf(other, fs[0].Levels[0], k, y)}}
					if m != fs[0].Levels[0] {
						sameEffect(t, "ratio at "+k+" "+y, b.Ratio(there, otherBase), a.Ratio(here, base), 1)
					}
				}
			}
		}
		for _, term := range model {
			under := model.Under(term)
			one, two := testOf(t, s, under, term, kind), testOf(t, other, under, term, kind)
			statstest.Close(t, term.String()+" LR", zero(two.LR), zero(one.LR), 1e-6)
			if one.DF != two.DF || math.IsNaN(one.F) != math.IsNaN(two.F) {
				t.Errorf("%v: %+v, then %+v", term, one, two)
			}
			statstest.Close(t, term.String()+" F", zero(two.F), zero(one.F), 1e-6)
			statstest.Close(t, term.String()+" df", finite(two.DenDF), finite(one.DenDF), 1e-6)
		}
	})
}

func testOf(t *rapid.T, s Sample, m terms.Model, term terms.Term, kind Kind) Test {
	full, err := NegativeBinomial(s, m)
	less, err2 := NegativeBinomial(s, m.Without(term))
	if err != nil || err2 != nil {
		t.Fatal(err, err2)
	}
	return full.Covariance(kind, 0.95).waldTest(less)
}

func zero(v float64) float64 {
	if math.IsNaN(v) {
		return 0
	}
	return v
}

func finite(v float64) float64 {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return 0
	}
	return v
}

// sameEffect compares two effects in digits, and holds the second to form.
func sameEffect(t *rapid.T, what string, got, want Effect, factor float64) {
	t.Helper()
	if math.IsNaN(want.Value) != math.IsNaN(got.Value) || math.IsNaN(want.Upper) != math.IsNaN(got.Upper) || math.IsNaN(want.Lower) != math.IsNaN(got.Lower) {
		t.Errorf("%s: %+v, then %+v", what, want, got)
		return
	}
	for _, v := range []struct {
		name      string
		got, want float64
	}{
		{"value", got.Value, factor * want.Value}, {"lower", got.Lower, factor * want.Lower}, {"upper", got.Upper, factor * want.Upper},
		{"p", got.P, want.P}, {"df", finite(got.DF), finite(want.DF)},
	} {
		if !math.IsNaN(v.want) {
			statstest.Close(t, what+": "+v.name, v.got, v.want, 1e-8*max(1, math.Abs(v.want)))
		}
	}
	formed(t, want)
}

// formed fails where an effect could not stand in a report.
func formed(t statstest.TB, e Effect) {
	t.Helper()
	bad := math.IsInf(e.Value, 0) || math.IsInf(e.Lower, 0) || math.IsInf(e.Upper, 0) || math.IsInf(e.SE, 0) || e.P < 0 || e.P > 1
	bad = bad || e.Lower > e.Value || e.Upper < e.Value || math.IsNaN(e.Value) && !math.IsNaN(e.P)
	if bad || (math.IsNaN(e.Value) || math.IsNaN(e.Upper) || e.SE == 0) && len(e.Warnings) == 0 {
		t.Errorf("not fit to be shown: %+v", e)
	}
}
