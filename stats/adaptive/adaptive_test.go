package adaptive

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/combin"
	"pgregory.net/rapid"

	"ashtally/stats"
	"ashtally/stats/statstest"
)

// thompson is the small population of Thompson (1990), Journal of the American
// Statistical Association 85: 1050-1059, and (1992), Sampling, chapter 24: five
// plots in a row, two drawn, neighbours to the left and right added where a
// plot holds 5 or more. The figures are from memory; that the means and the
// variance estimates average to the truth over all ten draws proves them.
var thompson = line(1, 0, 2, 10, 1000)

func TestThompsonsPopulation(t *testing.T) {
	for _, c := range []struct {
		drawn          []int
		final          int
		hh, varHH      float64
		ht, varHT      float64
		edge, networks int
	}{
		{[]int{0, 1}, 2, 0.5, 0.15, 0.5, 0.15, 0, 2},
		{[]int{0, 2}, 2, 1.5, 0.15, 1.5, 0.15, 0, 2},
		{[]int{0, 3}, 4, 253, 38102.40, 289.0714286, 24866.76224, 1, 2},
		{[]int{0, 4}, 4, 253, 38102.40, 289.0714286, 24866.76224, 1, 2},
		{[]int{1, 2}, 2, 1, 0.60, 1, 0.60, 0, 2},
		{[]int{1, 3}, 4, 252.5, 38253.75, 288.5714286, 24982.04082, 1, 2},
		{[]int{1, 4}, 4, 252.5, 38253.75, 288.5714286, 24982.04082, 1, 2},
		{[]int{2, 3}, 3, 253.5, 37951.35, 289.5714286, 24751.78367, 0, 2},
		{[]int{2, 4}, 3, 253.5, 37951.35, 289.5714286, 24751.78367, 0, 2},
		{[]int{3, 4}, 3, 505, 0, 288.5714286, 24982.04082, 1, 1},
	} {
		r := Stratum(thompson.searched(c.drawn, 5), Options{})
		if r.Searched != c.final || r.Drawn != 2 || r.Edge != c.edge || len(r.Networks) != c.networks {
			t.Errorf("%v: %d plots, %d drawn, %d edge, %d networks", c.drawn, r.Searched, r.Drawn, r.Edge, len(r.Networks))
		}
		statstest.Relative(t, "Hansen-Hurwitz", r.HansenHurwitz.Value, c.hh, 1e-12)
		statstest.Close(t, "its variance", r.HansenHurwitz.Variance, c.varHH, 1e-12)
		statstest.Relative(t, "Horvitz-Thompson", r.HorvitzThompson.Value, c.ht, 1e-9)
		statstest.Close(t, "its variance", r.HorvitzThompson.Variance, c.varHT, 1e-9)
	}
}

// TestThompsonsMoments: over all draws both are unbiased, so are their
// variance estimates, and the mean of the final sample is not. The figures are
// Thompson's, from memory.
func TestThompsonsMoments(t *testing.T) {
	m := enumerate(t, thompson, 2, 5)
	statstest.Relative(t, "mean of Hansen-Hurwitz", m.hh.mean, 202.6, 1e-12)
	statstest.Relative(t, "its variance", m.hh.variance, 22861.59, 1e-12)
	statstest.Relative(t, "mean of its variance estimate", m.hh.estimated, 22861.59, 1e-12)
	statstest.Relative(t, "mean of Horvitz-Thompson", m.ht.mean, 202.6, 1e-12)
	statstest.Relative(t, "its variance", m.ht.variance, 17418.41143, 1e-9)
	statstest.Relative(t, "mean of its variance estimate", m.ht.estimated, 17418.41143, 1e-9)
	statstest.Relative(t, "mean of the final sample", m.naive, 202.75, 1e-12)
	statstest.Relative(t, "expected plots", m.final, 3.1, 1e-12)
}

// moments are what all draws of a ground give.
type moments struct {
	hh, ht       struct{ mean, variance, estimated float64 }
	naive, final float64
}

// enumerate goes through all draws of so many plots.
func enumerate(t *testing.T, g ground, drawn int, threshold float64) moments {
	t.Helper()
	var m moments
	draws := combin.Combinations(len(g.count), drawn)
	share := 1 / float64(len(draws))
	for _, d := range draws {
		r := Stratum(g.searched(d, threshold), Options{})
		m.naive += share * r.Naive
		m.final += share * float64(r.Searched)
		for _, e := range []struct {
			to  *struct{ mean, variance, estimated float64 }
			got Mean
		}{{&m.hh, r.HansenHurwitz}, {&m.ht, r.HorvitzThompson}} {
			e.to.mean += share * e.got.Value
			e.to.variance += share * e.got.Value * e.got.Value
			e.to.estimated += share * e.got.Variance
		}
	}
	m.hh.variance -= m.hh.mean * m.hh.mean
	m.ht.variance -= m.ht.mean * m.ht.mean
	return m
}

// TestUnbiasedOnAGrid enumerates all draws of three plots from a made-up grid
// with networks of one, two, three and five plots.
func TestUnbiasedOnAGrid(t *testing.T) {
	g := ground{6, 5, []float64{
		0, 0, 1, 0, 7, 3,
		4, 9, 0, 0, 0, 1,
		0, 5, 0, 0, 12, 0,
		0, 0, 0, 30, 8, 0,
		3, 0, 2, 6, 4, 0,
	}}
	m := enumerate(t, g, 3, 3)
	statstest.Relative(t, "mean of Hansen-Hurwitz", m.hh.mean, g.mean(), 1e-10)
	statstest.Relative(t, "mean of its variance estimate", m.hh.estimated, m.hh.variance, 1e-10)
	statstest.Relative(t, "mean of Horvitz-Thompson", m.ht.mean, g.mean(), 1e-10)
	statstest.Relative(t, "mean of its variance estimate", m.ht.estimated, m.ht.variance, 1e-9)
}

// TestInclusionByCounting holds the chances to their definition by binomials.
func TestInclusionByCounting(t *testing.T) {
	for _, d := range []draw{{5, 2}, {30, 3}, {60, 20}} {
		all := float64(combin.Binomial(d.plots, d.drawn))
		miss := func(m int) float64 {
			if d.plots-m < d.drawn {
				return 0
			}
			return float64(combin.Binomial(d.plots-m, d.drawn)) / all
		}
		for j := 1; j < d.plots; j++ {
			statstest.Near(t, "inclusion", d.inclusion(j), 1-miss(j), 1e-12)
			for k := 1; j+k <= d.plots; k++ {
				both := 1 - miss(j) - miss(k) + miss(j+k)
				got := d.inclusion(j)*d.inclusion(k) + d.together(j, k)
				statstest.Near(t, "inclusion of both", got, both, 1e-12)
			}
		}
	}
}

// TestLargeGrid: with single plots alone Horvitz and Thompson's variance is
// that of a random sample, (1 - n/N) s^2 / n, also where a draw of ten from
// ten million leaves no digit in the plain formula.
func TestLargeGrid(t *testing.T) {
	s := Sample{Plots: 10_000_000, AreaHa: 1, Count: []float64{4, 0, 0, 7, 1, 0, 0, 2, 0, 0}}
	s.Drawn, s.Network = slices.Repeat([]bool{true}, 10), slices.Repeat([]int{-1}, 10)
	r := Stratum(s, Options{})
	// s^2 = (4+7+1+2 = 14; 16+49+1+4 = 70) (70 - 14^2/10)/9 = 5.6, by hand.
	statstest.Relative(t, "variance", r.HorvitzThompson.Variance, (1-1e-6)*5.6/10, 1e-8)
	statstest.Relative(t, "variance", r.HansenHurwitz.Variance, (1-1e-6)*5.6/10, 1e-12)
}

func code(e stats.Estimate, code string) bool {
	return slices.ContainsFunc(e.Warnings, func(w stats.Warning) bool { return w.Code == code })
}

func TestDegenerate(t *testing.T) {
	sparse := line(0, 0, 2, 0, 0, 9, 8, 0, 0, 0, 1, 0)
	for name, c := range map[string]struct {
		sample    Sample
		value     float64
		estimator string
		code      string
		limits    bool
	}{
		"no plot":             {Sample{Plots: 3, AreaHa: 1}, math.NaN(), "", "no-units", false},
		"added plots alone":   {Sample{Plots: 9, AreaHa: 1, Count: []float64{3}, Drawn: []bool{false}, Network: []int{0}}, math.NaN(), "", "no-units", false},
		"one drawn":           {sparse.searched([]int{5}, 5), 12 * 8.5 / 12, "", "one-unit", false},
		"one drawn, nothing":  {sparse.searched([]int{0}, 5), 0, "", "no-finds", false},
		"none met":            {line(1, 2, 4, 3, 0, 2, 1, 2, 9, 8).searched([]int{0, 1, 2, 3, 4, 5, 6}, 5), 13. / 7, "", "no-networks", true},
		"upper limit open":    {sparse.searched([]int{0, 2, 10}, 5), 1, "", "upper-open", false},
		"nothing found":       {sparse.searched([]int{0, 1, 3}, 5), 0, "", "no-finds", true},
		"all one network":     {line(6, 7, 8, 9).searched([]int{1, 2}, 5), 7.5, HansenHurwitz, "no-spread", false},
		"all one network, HT": {line(6, 7, 8, 9).searched([]int{1, 2}, 5), 7.5, "", "no-spread", false},
		"one network hit":     {sparse.searched([]int{5, 6}, 5), 8.5, HansenHurwitz, "no-spread", false},
		"every plot drawn":    {sparse.searched([]int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}, 5), 20. / 12, "", "whole-land-searched", true},
	} {
		t.Run(name, func(t *testing.T) {
			r := Stratum(c.sample, Options{Estimator: c.estimator})
			e := r.Density
			statstest.WellFormed(t, e)
			if !(e.Value == c.value || math.Abs(e.Value-c.value) < 1e-12 || math.IsNaN(e.Value) && math.IsNaN(c.value)) {
				t.Errorf("density %v, want %v", e.Value, c.value)
			}
			if !code(e, c.code) {
				t.Errorf("warnings %v, want %s", e.Warnings, c.code)
			}
			if limits := !math.IsNaN(e.Upper); limits != c.limits {
				t.Errorf("limits %v to %v", e.Lower, e.Upper)
			}
		})
	}
}

// An edge plot counts where it was drawn, and not where it was added.
func TestEdgePlotsCountWhereDrawn(t *testing.T) {
	g := line(1, 0, 2, 10, 1000, 0, 0, 0)
	added := Stratum(g.searched([]int{0, 3}, 5), Options{})
	richer := slices.Clone(g.count)
	richer[2] = 4
	again := Stratum(ground{g.width, 1, richer}.searched([]int{0, 3}, 5), Options{})
	if added.Density.Value != again.Density.Value || added.Naive == again.Naive || added.Edge != 2 {
		t.Errorf("an added edge plot counts: %v and %v", added.Density, again.Density)
	}
	drawn := Stratum(g.searched([]int{2, 3}, 5), Options{})
	if drawn.Edge != 1 || drawn.HansenHurwitz.Value != (2+505)/2. {
		t.Errorf("a drawn edge plot does not count: %+v", drawn)
	}
}

// What is counted may be a kind of the finds; the networks stay.
func TestKindsAddUp(t *testing.T) {
	s := thompson.searched([]int{0, 3}, 5)
	whole := Stratum(s, Options{}).Density.Value
	first, second := s, s
	first.Count, second.Count = slices.Clone(s.Count), slices.Clone(s.Count)
	for i, y := range s.Count {
		first.Count[i] = math.Floor(y / 3)
		second.Count[i] = y - first.Count[i]
	}
	sum := Stratum(first, Options{}).Density.Value + Stratum(second, Options{}).Density.Value
	statstest.Relative(t, "sum of two kinds", sum, whole, 1e-12)
}

// Plots of a network that were not searched are taken for its mean, and a
// network without a drawn plot counts nowhere; both are told.
func TestNetworksInPart(t *testing.T) {
	s := thompson.searched([]int{0, 3}, 5)
	s.Size = []int{3}
	r := Stratum(s, Options{})
	// alpha of three plots in five, two drawn: 1 - C(2,2)/C(5,2) = 0.9; of one 0.4.
	statstest.Relative(t, "mean", r.HorvitzThompson.Value, (1515/0.9+1/0.4)/5, 1e-12)
	if !code(r.Density, "network-incomplete") {
		t.Errorf("warnings %v", r.Density.Warnings)
	}
	s = thompson.searched([]int{0, 1}, 5)
	s.Count, s.Drawn, s.Network = append(s.Count, 70), append(s.Drawn, false), append(s.Network, 0)
	r = Stratum(s, Options{})
	if r.HorvitzThompson.Value != 0.5 || !code(r.Density, "network-not-drawn") {
		t.Errorf("%+v", r)
	}
}

func TestMisusePanics(t *testing.T) {
	sound := func() Sample { return thompson.searched([]int{0, 3}, 5) }
	with := func(change func(*Sample)) func() {
		return func() {
			s := sound()
			change(&s)
			Stratum(s, Options{})
		}
	}
	statstest.Panics(t, map[string]func(){
		"unequal slices":     with(func(s *Sample) { s.Drawn = s.Drawn[1:] }),
		"area 0":             with(func(s *Sample) { s.AreaHa = 0 }),
		"too few plots":      with(func(s *Sample) { s.Plots = 3 }),
		"negative count":     with(func(s *Sample) { s.Count[0] = -1 }),
		"NaN count":          with(func(s *Sample) { s.Count[0] = math.NaN() }),
		"unknown network":    with(func(s *Sample) { s.Size = []int{} }),
		"network too small":  with(func(s *Sample) { s.Size = []int{1} }),
		"unknown estimator":  func() { Stratum(sound(), Options{Estimator: "mean"}) },
		"impossible level":   func() { Stratum(sound(), Options{Confidence: 1}) },
		"networks too large": with(func(s *Sample) { s.Size = []int{9} }),
	})
}

// TestProperties holds the estimates to what must be true of any sample.
func TestProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := ground{width: rapid.IntRange(1, 7).Draw(t, "width"), height: rapid.IntRange(1, 7).Draw(t, "height")}
		most := rapid.SampledFrom([]int{0, 1, 6, 50}).Draw(t, "most")
		for range g.width * g.height {
			y := 0
			if rapid.IntRange(0, 3).Draw(t, "holds") == 0 {
				y = rapid.IntRange(0, most).Draw(t, "count")
			}
			g.count = append(g.count, float64(y))
		}
		n := rapid.IntRange(1, len(g.count)).Draw(t, "drawn")
		draw := rapid.Permutation(seq(len(g.count))).Draw(t, "draw")[:n]
		s := g.searched(draw, float64(rapid.IntRange(1, 8).Draw(t, "threshold")))
		o := Options{Estimator: rapid.SampledFrom([]string{HansenHurwitz, HorvitzThompson}).Draw(t, "estimator")}
		r := Stratum(s, o)
		statstest.WellFormed(t, r.Density)
		statstest.Same(t, "rows in another order", Stratum(shuffled(s), o).Density, r.Density)
		wide := s
		wide.AreaHa = 4
		statstest.Scaled(t, "plots four times as large", Stratum(wide, o).Density, r.Density, 0.25, 1e-12)
		rich := s
		rich.Count = slices.Clone(s.Count)
		for i := range rich.Count {
			rich.Count[i] *= 2
		}
		if got, want := Stratum(rich, o).Density.Value, 2*r.Density.Value; math.Abs(got-want) > 1e-9*want {
			t.Errorf("twice the finds: %v, want %v", got, want)
		}
		for _, k := range r.Networks {
			if !(k.Inclusion > 0 && k.Inclusion <= 1) || k.Drawn > k.Plots {
				t.Errorf("network %+v", k)
			}
		}
		if n == len(g.count) && math.Abs(r.Density.Value-g.mean()) > 1e-9*g.mean() {
			t.Errorf("a full count gives %v, the truth is %v", r.Density.Value, g.mean())
		}
	})
}

func seq(n int) []int {
	list := make([]int, n)
	for i := range list {
		list[i] = i
	}
	return list
}

// shuffled has the same plots in another order of rows.
func shuffled(s Sample) Sample {
	out := Sample{Plots: s.Plots, AreaHa: s.AreaHa, Size: s.Size}
	for _, i := range rand.New(rand.NewPCG(1, 2)).Perm(len(s.Count)) {
		out.Count, out.Drawn, out.Network = append(out.Count, s.Count[i]), append(out.Drawn, s.Drawn[i]), append(out.Network, s.Network[i])
	}
	return out
}
