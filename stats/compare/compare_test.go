package compare

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"ashtally/stats"
	"ashtally/stats/statstest"
)

func codes(warnings []stats.Warning) string {
	list := make([]string, len(warnings))
	for i, w := range warnings {
		list[i] = w.Code
	}
	return strings.Join(list, " ")
}

// spread25 is a sample without any doubt: 25 units, 100 and 200 finds.
func spread25() Part {
	var p Part
	for i := range 25 {
		p.AreaHa = append(p.AreaHa, 0.01)
		p.A = append(p.A, float64((i*7)%9))
		p.B = append(p.B, float64((i*i)%17))
	}
	return p
}

func same(n int, v float64) []float64 { return slices.Repeat([]float64{v}, n) }

func TestRatioOfAPlainSample(t *testing.T) {
	p := spread25()
	r := Ratio([]Part{p}, 0.95)
	var a, b float64
	for i := range p.A {
		a, b = a+p.A[i], b+p.B[i]
	}
	near(t, "ratio", r.Value, a/b)
	near(t, "first density", r.DensityA, a/0.25)
	near(t, "second density", r.DensityB, b/0.25)
	if r.Units != 25 || r.N != 25 || r.FindsA != int(a) || r.FindsB != int(b) {
		t.Errorf("%d units, %d independent, finds %d and %d; want 25, 25, %v, %v", r.Units, r.N, r.FindsA, r.FindsB, a, b)
	}
	if r.Warnings != nil || r.Method != LogT || r.Confidence != 0.95 {
		t.Errorf("warnings %q, method %s, confidence %v", codes(r.Warnings), r.Method, r.Confidence)
	}
	if d := math.Log(r.Upper*r.Lower) - 2*math.Log(r.Value); math.Abs(d) > 1e-12 {
		t.Errorf("limits %v and %v are not symmetric around %v on the log scale", r.Lower, r.Upper, r.Value)
	}
}

// special is a sample with what is expected of its ratio and of the share of
// its first group.
type special struct {
	name           string
	parts          []Part
	ratio          float64
	lower, upper   float64
	share          float64
	shareL, shareU float64
	codes          string
}

var nan = math.NaN()

// specials name their limits where they can be had in closed form: with n
// finds of one group and none of the other the limit of p is 0.025^(1/n).
func specials() []special {
	eight := same(8, 0.02)
	p12 := math.Pow(0.025, 1./12)
	return []special{
		{"no parts", nil, nan, nan, nan, nan, nan, nan, "no-units"},
		{"no units", []Part{{LandHa: 3}}, nan, nan, nan, nan, nan, nan, "no-units"},
		{"no finds", []Part{{AreaHa: eight, A: same(8, 0), B: same(8, 0)}}, nan, nan, nan, nan, nan, nan, "no-finds few-clusters"},
		{"none of the first", []Part{{AreaHa: eight, A: same(8, 0), B: []float64{0, 0, 5, 1, 0, 3, 0, 3}}},
			0, 0, (1 - p12) / p12, 0, 0, 1 - p12, "no-first-finds few-clusters"},
		{"none of the second", []Part{{AreaHa: eight, B: same(8, 0), A: []float64{0, 0, 5, 1, 0, 3, 0, 3}}},
			nan, p12 / (1 - p12), nan, 1, p12, 1, "no-second-finds few-clusters"},
		{"one unit", []Part{{AreaHa: eight[:1], A: same(1, 4), B: same(1, 8)}}, 0.5, nan, nan, 1. / 3, nan, nan, "one-cluster few-clusters few-finds finds-in-one-unit"},
		{"one site", []Part{{AreaHa: eight, A: same(8, 4), B: same(8, 8), Cluster: make([]int, 8)}}, 0.5, nan, nan, 1. / 3, nan, nan, "one-cluster few-clusters finds-in-one-cluster"},
		// R: ci <- binom.test(1, 2)$conf.int; ci; ci / (1 - ci)
		{"all finds in one unit", []Part{{AreaHa: eight, A: []float64{0, 1, 0, 0, 0, 0, 0, 0}, B: []float64{0, 1, 0, 0, 0, 0, 0, 0}}},
			1, 0.0127393670836666, 78.4968353162628460, 0.5, 0.0125791170934251, 0.9874208829065749, "no-spread few-clusters few-finds finds-in-one-unit"},
		// R: the same of binom.test(24, 40)
		{"equal counts", []Part{{AreaHa: eight, A: same(8, 3), B: same(8, 2)}}, 1.5, 0.764499494638649, 3.021717490208346, 0.6, 0.433267052193297, 0.751350013412256, "no-spread few-clusters few-finds"},
	}
}

func TestSpecialCases(t *testing.T) {
	for _, c := range specials() {
		t.Run(c.name, func(t *testing.T) {
			r := Ratio(c.parts, 0.95)
			near(t, "ratio", r.Value, c.ratio)
			near(t, "lower", r.Lower, c.lower)
			near(t, "upper", r.Upper, c.upper)
			if got := codes(r.Warnings); got != c.codes {
				t.Errorf("warnings of the ratio %q, want %q", got, c.codes)
			}
			s := Share(withAll(c.parts), 0.95)
			near(t, "share", s.Value, c.share)
			near(t, "lower of the share", s.Lower, c.shareL)
			near(t, "upper of the share", s.Upper, c.shareU)
			if !math.IsNaN(r.P) || !math.IsNaN(r.SE) || !math.IsNaN(s.SE) {
				t.Errorf("P %v, SE %v, SE of the share %v without a spread", r.P, r.SE, s.SE)
			}
			if got := codes(s.Warnings); got != c.codes {
				t.Errorf("warnings of the share %q, want %q", got, c.codes)
			}
		})
	}
}

// withAll turns the second group into all finds.
func withAll(parts []Part) []Part {
	all := slices.Clone(parts)
	for i := range all {
		all[i].B = slices.Clone(all[i].B)
		for j, a := range all[i].A {
			all[i].B[j] += a
		}
	}
	return all
}

func TestTwoUnitsFarApart(t *testing.T) {
	part := []Part{{AreaHa: []float64{1, 1}, A: []float64{30, 2}, B: []float64{1, 40}}}
	r := Ratio(part, 0.95)
	if !math.IsNaN(r.DF) || r.Method != "none" || !strings.HasSuffix(codes(r.Warnings), "too-wide") {
		t.Errorf("%+v: want no limits, for they would lie a factor of thousands away", r)
	}
	if !(r.P > 0.5 && r.P <= 1) {
		t.Errorf("P = %v, want one that says nothing", r.P)
	}
	s := Share(withAll(part), 0.95)
	if s.Method != LogitT || !(0 < s.Lower && s.Lower < 0.01 && 0.99 < s.Upper && s.Upper < 1) {
		t.Errorf("share %+v: want limits near 0 and 1, for these are bounded", s)
	}
}

func TestOneGroupInOnePlace(t *testing.T) {
	p := spread25()
	p.A = make([]float64, 25)
	p.A[11] = 30
	if got := codes(Ratio([]Part{p}, 0.95).Warnings); got != "group-in-one-cluster" {
		t.Errorf("warnings %q, want group-in-one-cluster", got)
	}
}

func TestStrataWithFewOrNoUnits(t *testing.T) {
	p := spread25()
	p.LandHa = 40
	alone := Ratio([]Part{p}, 0.95)
	with := Ratio([]Part{p, {LandHa: 10}}, 0.95)
	near(t, "ratio with a stratum not searched", with.Value, alone.Value)
	near(t, "upper limit", with.Upper, alone.Upper)
	if codes(with.Warnings) != "unsearched-stratum" {
		t.Errorf("warnings %q", codes(with.Warnings))
	}
	lone := Part{LandHa: 8, AreaHa: same(1, 0.01), A: same(1, 9), B: same(1, 4)}
	with = Ratio([]Part{p, lone}, 0.95)
	if codes(with.Warnings) != "collapsed-strata" || !(with.SE/with.Value > alone.SE/alone.Value) {
		t.Errorf("CV %v with a stratum of one unit, %v without; warnings %q", with.SE/with.Value, alone.SE/alone.Value, codes(with.Warnings))
	}
	only := Ratio([]Part{lone}, 0.95)
	if codes(only.Warnings) != "one-cluster few-clusters few-finds finds-in-one-unit" || !math.IsNaN(only.SE) {
		t.Errorf("the stratum of one unit alone: %+v", only.Estimate)
	}
}

// TestEvenStrataOfUnequalWeight: the pooled finds, 9 : 42, must not set the
// place of limits around a ratio that the large stratum makes 1.6.
func TestEvenStrataOfUnequalWeight(t *testing.T) {
	large := Part{LandHa: 98, AreaHa: same(3, 1), A: same(3, 2), B: same(3, 1)}
	small := Part{LandHa: 2, AreaHa: same(3, 1), A: same(3, 1), B: same(3, 13)}
	r := Ratio([]Part{large, small}, 0.95)
	near(t, "ratio", r.Value, 1.98/1.24, 1e-12)
	pooled := exact(piece{a: 9, b: 42}, 0.95)
	near(t, "lower", r.Lower/r.Value, pooled.Lower/(9./42), 1e-12)
	near(t, "upper", r.Upper/r.Value, pooled.Upper/(9./42), 1e-12)
	if codes(r.Warnings) != "no-spread few-clusters few-finds" {
		t.Errorf("warnings %q", codes(r.Warnings))
	}
}

// TestLimitsAreBounded: whatever is drawn, limits are on both sides of the
// figure, apart, and neither infinite nor huge.
func TestLimitsAreBounded(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 1))
	for range 3000 {
		w := world{
			strata: 1 + rng.IntN(3), sites: 1 + rng.IntN(6), units: 1 + rng.IntN(3),
			mean: 3 * rng.Float64() * rng.Float64(), ratio: math.Exp(2 * rng.NormFloat64()),
			soil: 0.1 + rng.Float64(), own: 0.1 + rng.Float64(), site: rng.Float64(),
		}
		parts := w.draw(rng)
		r := Ratio(parts, 0.95)
		checkLimits(t, r.Estimate, 1e6)
		if r.Method == LogT && !(r.P >= 0 && r.P <= 1) || r.Method == BinomialExact && !math.IsNaN(r.P) {
			t.Errorf("P = %v by %s", r.P, r.Method)
		}
		if r.Method == LogT && (r.P < 0.05) != (r.Lower > 1 || r.Upper < 1) && math.Abs(r.P-0.05) > 1e-9 {
			t.Errorf("P = %v, but limits %v to %v", r.P, r.Lower, r.Upper)
		}
		s := Share(withAll(parts), 0.95)
		checkLimits(t, s, 1)
		if known := !math.IsNaN(r.Value); known {
			near(t, "share of the ratio", s.Value, r.Value/(1+r.Value), 1e-9)
		}
	}
}

// checkLimits holds the estimate to what may reach a report, to a range, and to
// having a width.
func checkLimits(t *testing.T, e stats.Estimate, most float64) {
	t.Helper()
	statstest.WellFormed(t, e)
	if e.Value > most || e.Upper > most || e.SE > most || e.Lower == e.Upper || e.SE == 0 {
		t.Errorf("%+v: over %v, or without a width", e, most)
	}
}

// TestRatioIsSymmetric: exchanging the groups inverts the ratio and keeps P,
// and neither the unit of area nor the order of units or strata matters.
func TestRatioIsSymmetric(t *testing.T) {
	w := world{strata: 3, sites: 6, units: 2, mean: 2, ratio: 1.5, soil: 0.5, own: 1, site: 0.5}
	parts := w.draw(rand.New(rand.NewPCG(12, 1)))
	r := Ratio(parts, 0.9)
	other := make([]Part, len(parts))
	for h, p := range parts {
		n := len(p.A)
		o := Part{LandHa: 2.5 * p.LandHa}
		for i := range n {
			j := n - 1 - i
			o.A, o.B, o.Cluster = append(o.A, p.B[j]), append(o.B, p.A[j]), append(o.Cluster, 100-p.Cluster[j])
			o.AreaHa = append(o.AreaHa, p.AreaHa[j]/1e4)
		}
		other[len(parts)-1-h] = o
	}
	q := Ratio(other, 0.9)
	near(t, "inverse", q.Value, 1/r.Value, 1e-12)
	near(t, "lower", q.Lower, 1/r.Upper, 1e-10)
	near(t, "upper", q.Upper, 1/r.Lower, 1e-10)
	near(t, "P", q.P, r.P, 1e-10)
	near(t, "density", q.DensityA, 1e4*r.DensityB, 1e-12)
	// 1 - Share of A is the Share of B, with the limits exchanged.
	a, b := Share(withAll(parts), 0.9), Share(withAll(other), 0.9)
	near(t, "share", 1-a.Value, b.Value, 1e-12)
	near(t, "lower share", 1-a.Lower, b.Upper, 1e-10)
	near(t, "upper share", 1-a.Upper, b.Lower, 1e-10)
}

// TestSitesTakeTheirUnitsTogether: units repeated within a site add nothing.
func TestSitesTakeTheirUnitsTogether(t *testing.T) {
	p := spread25()
	twice := p
	twice.Cluster = nil
	var cluster []int
	for i := range 50 {
		cluster = append(cluster, i%25)
	}
	twice.AreaHa, twice.A, twice.B = slices.Repeat(p.AreaHa, 2), slices.Repeat(p.A, 2), slices.Repeat(p.B, 2)
	narrow := Ratio([]Part{twice}, 0.95)
	twice.Cluster = cluster
	one, two := Ratio([]Part{p}, 0.95), Ratio([]Part{twice}, 0.95)
	near(t, "SE by site", two.SE, one.SE, 1e-12)
	near(t, "upper by site", two.Upper, one.Upper, 1e-12)
	if two.N != 25 || two.Units != 50 || !(narrow.SE < 0.75*one.SE) {
		t.Errorf("N %d, units %d, SE %v by unit and %v by site", two.N, two.Units, narrow.SE, two.SE)
	}
}

func TestArgumentsAreLeftAlone(t *testing.T) {
	p := spread25()
	p.Cluster = make([]int, 25)
	for i := range p.Cluster {
		p.Cluster[i] = 24 - i
	}
	p.B = withAll([]Part{p})[0].B
	before := Part{A: slices.Clone(p.A), B: slices.Clone(p.B), AreaHa: slices.Clone(p.AreaHa), Cluster: slices.Clone(p.Cluster)}
	Ratio([]Part{p}, 0.95)
	Share([]Part{p}, 0.95)
	if !slices.Equal(p.A, before.A) || !slices.Equal(p.B, before.B) || !slices.Equal(p.AreaHa, before.AreaHa) || !slices.Equal(p.Cluster, before.Cluster) {
		t.Error("an argument was changed")
	}
}

func TestMisusePanics(t *testing.T) {
	ok := Part{LandHa: 1, AreaHa: []float64{1, 1}, A: []float64{1, 0}, B: []float64{2, 1}}
	bad := func(change func(p *Part)) []Part {
		p := ok
		change(&p)
		return []Part{p}
	}
	statstest.Panics(t, map[string]func(){
		"confidence":      func() { Ratio([]Part{ok}, 95) },
		"length":          func() { Ratio(bad(func(p *Part) { p.A = p.A[:1] }), 0.95) },
		"cluster length":  func() { Ratio(bad(func(p *Part) { p.Cluster = []int{1} }), 0.95) },
		"area":            func() { Ratio(bad(func(p *Part) { p.AreaHa = []float64{1, 0} }), 0.95) },
		"count":           func() { Ratio(bad(func(p *Part) { p.B = []float64{1, 0.5} }), 0.95) },
		"land":            func() { Ratio(bad(func(p *Part) { p.LandHa = nan }), 0.95) },
		"land of several": func() { Ratio(append(bad(func(p *Part) { p.LandHa = 0 }), ok), 0.95) },
		"share":           func() { Share(bad(func(p *Part) { p.A = []float64{3, 0} }), 0.95) },
		"weights":         func() { Contrast([]Group{{1, []Part{ok}}, {-0.5, []Part{ok}}}, 0.95) },
		"no weights":      func() { Contrast(nil, 0.95) },
	})
}

func TestContrast(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 1))
	w := world{strata: 2, sites: 12, units: 1, mean: 3, ratio: 1, soil: 0.5, own: 1}
	first, second := w.draw(rng), w.draw(rng)
	c := Contrast([]Group{{1, first}, {-1, second}}, 0.95)
	a, b := Ratio(first, 0.95), Ratio(second, 0.95)
	near(t, "contrast", c.Value, a.Value/b.Value, 1e-12)
	va, vb := square(a.SE/a.Value), square(b.SE/b.Value)
	near(t, "CV", square(c.SE/c.Value), va+vb, 1e-12)
	near(t, "df", c.DF, square(va+vb)/(va*va/a.DF+vb*vb/b.DF), 1e-12)
	if c.N != a.N+b.N {
		t.Errorf("N %d, want %d", c.N, a.N+b.N)
	}
	// A group of weight 0 has no say, and P is that of the interval's t.
	with := Contrast([]Group{{1, first}, {0, nil}, {-1, second}}, 0.95)
	near(t, "with a group of weight 0", with.Upper, c.Upper, 1e-15)
	if (c.P < 0.05) != (c.Lower > 1 || c.Upper < 1) {
		t.Errorf("P %v, limits %v to %v", c.P, c.Lower, c.Upper)
	}
}

func TestContrastThatCannotBeHad(t *testing.T) {
	ok := []Part{spread25()}
	none := []Part{{AreaHa: same(8, 1), A: same(8, 0), B: same(8, 3)}}
	c := Contrast([]Group{{1, ok}, {-1, none}}, 0.95)
	if !math.IsNaN(c.Value) || !math.IsNaN(c.P) || codes(c.Warnings) != "no-first-finds" || !strings.HasPrefix(c.Warnings[0].Text, "group 2 of the contrast") {
		t.Errorf("%+v: want nothing, and the reason in group 2", c)
	}
}

// TestContrastKeepsItsLevel: two groups of the same ratio, which differ in
// everything else.
func TestContrastKeepsItsLevel(t *testing.T) {
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	one := world{strata: 2, sites: 10, units: 2, mean: 3, ratio: 2, soil: 0.5, own: 2, siteBy: 0.3}
	two := world{strata: 1, sites: 15, units: 1, mean: 6, ratio: 2, soil: 1, own: 1}
	var rejected, had int
	for i := range replicates {
		rng := rand.New(rand.NewPCG(calibrationSeed, uint64(i)))
		c := Contrast([]Group{{1, one.draw(rng)}, {-1, two.draw(rng)}}, 0.95)
		if math.IsNaN(c.P) {
			continue
		}
		had++
		if c.P < 0.05 {
			rejected++
		}
	}
	share := float64(rejected) / float64(had)
	t.Logf("rejected %.3f of %d", share, had)
	if share < 0.03 || share > 0.07 {
		t.Errorf("rejected %.3f at a nominal 0.05", share)
	}
}

func BenchmarkRatio200(b *testing.B) {
	w := world{strata: 4, sites: 25, units: 2, mean: 3, ratio: 1, soil: 0.5, own: 1, site: 0.5}
	parts := w.draw(rand.New(rand.NewPCG(1, 1)))
	b.ReportAllocs()
	for b.Loop() {
		Ratio(parts, 0.95)
	}
}

// TestFewClustersOfSeveralStrata: each stratum beyond the first costs a cluster.
func TestFewClustersOfSeveralStrata(t *testing.T) {
	strata := func(n, each int) []Part {
		var parts []Part
		for range n {
			p := Part{LandHa: 1}
			for i := range each {
				p.AreaHa = append(p.AreaHa, 1)
				p.A = append(p.A, float64(3+i%4*4))
				p.B = append(p.B, float64(12-i%5*2))
			}
			parts = append(parts, p)
		}
		return parts
	}
	for _, c := range []struct {
		strata, each int
		few          bool
	}{{1, 14, true}, {1, 15, false}, {3, 5, true}, {2, 8, false}, {3, 6, false}} {
		if got := codes(Ratio(strata(c.strata, c.each), 0.95).Warnings) == "few-clusters"; got != c.few {
			t.Errorf("%d strata of %d: few is %v", c.strata, c.each, got)
		}
	}
}
