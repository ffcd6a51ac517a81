package chain

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats"
	"ashtally/stats/density"
	"ashtally/stats/statstest"
)

func estimate(value, lower, upper float64) stats.Estimate {
	return stats.Estimate{Value: value, SE: value / 10, Interval: stats.Interval{Lower: lower, Upper: upper, Confidence: 0.95, DF: 9}}
}

// TestTimes: limits a factor 2 off below and 4 above, times a factor with limits a
// factor 2 off: 2^sqrt(2) below and 2^sqrt(5) above. By hand.
func TestTimes(t *testing.T) {
	e := Times(estimate(100, 50, 400), estimate(3, 1.5, 6))
	statstest.Relative(t, "value", e.Value, 300, 1e-12)
	statstest.Relative(t, "lower", e.Lower, 300/math.Pow(2, math.Sqrt2), 1e-12)
	statstest.Relative(t, "upper", e.Upper, 300*math.Pow(2, math.Sqrt(5)), 1e-12)
	statstest.Relative(t, "standard error", e.SE, 300*math.Sqrt(0.02), 1e-12)

	known := stats.Estimate{Value: 2, SE: math.NaN(), Interval: stats.NoInterval(0.95)}
	e = Times(estimate(100, 50, 400), known)
	if math.Abs(e.Lower-100) > 1e-9 || math.Abs(e.Upper-800) > 1e-9 || e.DF != 9 {
		t.Errorf("a known factor: %+v", e)
	}
	e = Times(stats.Estimate{Interval: stats.Interval{Upper: 30, Confidence: 0.95}}, estimate(3, 1.5, 6))
	if e.Value != 0 || e.Lower != 0 || e.Upper != 90 {
		t.Errorf("nothing found: %+v", e)
	}
	e = Times(estimate(100, 0, 400), estimate(3, 1.5, 6))
	if e.Lower != 0 || !(e.Upper > 1200) {
		t.Errorf("a lower limit of 0: %+v", e)
	}
	open := estimate(100, 50, math.NaN())
	if e = Times(open, estimate(3, 1.5, 6)); !(e.Lower < 150) || !math.IsNaN(e.Upper) {
		t.Errorf("an open upper limit: %+v", e)
	}
	if e = Times(stats.Missing(0.95, 0, stats.NoUnits.With("none")), known); !math.IsNaN(e.Value) || !math.IsNaN(e.Upper) {
		t.Errorf("no density: %+v", e)
	}
}

// TestMean: two factors 1.2 and 1.6 of densities 30 and 10: 1.3. Their limits lie 0.1
// and 0.2 off: of one source they add up, 0.75 x 0.1 + 0.25 x 0.2; of two they add up in
// squares. By hand.
func TestMean(t *testing.T) {
	a, b := estimate(1.2, 1.1, 1.3), estimate(1.6, 1.4, 1.8)
	one := Mean([]Term{{30, a, 0}, {10, b, 0}}, 0.95)
	statstest.Relative(t, "value", one.Value, 1.3, 1e-12)
	statstest.Relative(t, "lower", one.Lower, 1.3-0.125, 1e-12)
	two := Mean([]Term{{30, a, 0}, {10, b, 1}}, 0.95)
	statstest.Relative(t, "upper", two.Upper, 1.3+math.Hypot(0.075, 0.05), 1e-12)
	none := Mean([]Term{{0, a, 0}, {0, b, 1}}, 0.95)
	statstest.Relative(t, "no density", none.Value, 1.4, 1e-12)
	known := Mean([]Term{{30, a, 0}, {10, stats.Estimate{Value: 1.6, SE: math.NaN(), Interval: stats.NoInterval(0.95)}, 1}}, 0.95)
	if !math.IsNaN(known.Lower) || math.Abs(known.Value-1.3) > 1e-12 {
		t.Errorf("a factor without limits: %+v", known)
	}
	statstest.Panics(t, map[string]func(){"no terms": func() { Mean(nil, 0.95) }})
}

func TestAt(t *testing.T) {
	e := At(estimate(2, 1, 4), 0.68268949213708585)
	by := 1 / 1.959963984540054 // of one standard error, and of 0.95
	statstest.Relative(t, "lower", e.Lower, 2*math.Pow(2, -by), 1e-9)
	statstest.Relative(t, "upper", e.Upper, 2*math.Pow(2, by), 1e-9)
}

func TestInverse(t *testing.T) {
	e := Inverse(estimate(0.5, 0.4, 0.8))
	if e.Value != 2 || e.Lower != 1.25 || e.Upper != 2.5 || math.Abs(e.CV()-0.1) > 1e-12 {
		t.Errorf("%+v", e)
	}
}

// TestShares: half-widths on the log scale of 3, 2 and 0: 9/13 and 4/13.
func TestShares(t *testing.T) {
	wide := func(by float64) stats.Estimate { return estimate(1, math.Exp(-by), math.Exp(by)) }
	s := Shares(wide(3), wide(2), stats.Estimate{Value: 2, Interval: stats.NoInterval(0.95)})
	for i, want := range []float64{9. / 13, 4. / 13, 0} {
		statstest.Near(t, "share", s[i], want, 1e-12)
	}
	if s = Shares(estimate(1, 0, 2), wide(1)); !math.IsNaN(s[0]) {
		t.Errorf("without a lower limit: %v", s)
	}
}

func sample(factor float64, area float64, counts ...float64) Sample {
	s := Sample{Factor: factor}
	for _, y := range counts {
		s.AreaHa, s.Count = append(s.AreaHa, area), append(s.Count, y)
	}
	return s
}

// TestCombine: with the clumping k that the counts show, eight plots of 0.01 ha and
// four strips of 0.05 ha weigh by 1/(n k) + 1/(D a), D = 60/0.28 per ha.
func TestCombine(t *testing.T) {
	plots, strips := sample(1, 0.01, 0, 2, 5, 1, 0, 4, 7, 1), sample(1, 0.05, 3, 18, 9, 10)
	s := []Stratum{{LandHa: 100, Samples: []Sample{plots, strips}}, {LandHa: 50, Samples: []Sample{plots}}}
	w := Combine(s, density.Options{})
	d := 60.5 / 0.28
	a, b := 1/(1/(8*w.K)+1/(d*0.08)), 1/(1/(4*w.K)+1/(d*0.2))
	statstest.Relative(t, "weight of plots", w.Of[0][0], a/(a+b), 1e-12)
	statstest.Relative(t, "weight of strips", w.Of[0][1], b/(a+b), 1e-12)
	mean := w.Of[0][0]*250 + w.Of[0][1]*200
	// Two methods: the squared distance of their logs over that of the limits between them.
	plots.LandHa, strips.LandHa = 50, 50
	all := density.Area([]density.NamedSample{plots.NamedSample, strips.NamedSample, plots.NamedSample}, density.Options{}).Strata
	up, down := math.Log(all[1].Upper/all[1].Value), math.Log(all[0].Value/all[0].Lower)
	x2 := math.Pow(math.Log(250./200)*distuv.UnitNormal.Quantile(0.975), 2) / (up*up + down*down)
	statstest.Relative(t, "X2", w.Tests[0].X2, x2, 1e-6)
	if w.Tests[0].DF != 1 || w.Tests[1] != (Test{}) || w.Test != w.Tests[0] || !(w.Test.P > 0.5) {
		t.Errorf("tests %+v, together %+v", w.Tests, w.Test)
	}
	e := w.Densities([][]int{{0}, {1}, {0, 1}}, density.Options{})
	statstest.Relative(t, "first stratum", e[0].Value, mean, 1e-12)
	statstest.Relative(t, "second stratum", e[1].Value, 250, 1e-12)
	statstest.Relative(t, "area", e[2].Value, (2*mean+250)/3, 1e-12)
	for _, one := range e {
		statstest.WellFormed(t, one)
	}
	w.Only(0, 1)
	if e = w.Densities([][]int{{0}}, density.Options{}); math.Abs(e[0].Value-200) > 1e-9 {
		t.Errorf("strips alone: %v", e[0].Value)
	}
}

// TestAgreement by hand: of three densities with the same standard error the least sum
// of squares is that about their mean; a factor moves one, its coefficient of variation
// widens it; without a lower limit nothing speaks against a lower density; where one
// method found nothing, the common density weighs its zeros against the finds of the other.
func TestAgreement(t *testing.T) {
	z := distuv.UnitNormal.Quantile(0.975)
	of := func(log, se float64) stats.Estimate {
		return estimate(math.Exp(log), math.Exp(log-z*se), math.Exp(log+z*se))
	}
	three := Stratum{Samples: []Sample{{Factor: 1}, {Factor: 1}, {Factor: math.E}}}
	weights := []float64{0.3, 0.3, 0.4}
	got := three.agreement([]stats.Estimate{of(1, 0.5), of(1.4, 0.5), of(0.8, 0.5)}, weights)
	if math.Abs(got.X2-(0.16+0+0.16)/0.25) > 1e-9 || got.DF != 2 {
		t.Errorf("three methods: %+v", got)
	}
	three.Samples[2].CV = 1.2 // with 0.5: 1.3
	two := three.agreement([]stats.Estimate{of(1, 0.5), of(9, 0.5), of(0.8, 0.5)}, []float64{0.5, 0, 0.5})
	statstest.Relative(t, "two with a factor's variance", two.X2, 0.64/(0.25+1.69), 1e-9)
	open := of(3, 0.5)
	open.Lower = 0
	if got = three.agreement([]stats.Estimate{of(1, 0.5), open}, weights); got.X2 > 1e-9 || got.DF != 1 {
		t.Errorf("without a lower limit: %+v", got)
	}
	nothing := stats.Estimate{Interval: stats.Interval{Upper: 2, Confidence: 0.95}}
	got = three.agreement([]stats.Estimate{nothing, of(2, 0.4)}, weights)
	least := math.Inf(1)
	for x := -2.0; x < 2; x += 1e-4 {
		least = min(least, z*z*math.Exp(x)/2+math.Pow((2-x)/0.4, 2))
	}
	statstest.Relative(t, "one found nothing", got.X2, least, 1e-6)
	if got = three.agreement([]stats.Estimate{nothing, nothing}, weights); got.X2 != 0 || got.P != 1 {
		t.Errorf("both found nothing: %+v", got)
	}
	if got = three.agreement([]stats.Estimate{of(1, 1)}, weights); got != (Test{}) {
		t.Errorf("one method: %+v", got)
	}
}

// TestOneMethod: a survey by one method has the density that package density gives.
func TestOneMethod(t *testing.T) {
	plots := sample(1, 0.01, 0, 2, 5, 1, 0, 4, 7, 1)
	plots.LandHa = 100
	got := Combine([]Stratum{{LandHa: 100, Samples: []Sample{plots}}}, density.Options{}).Densities([][]int{{0}}, density.Options{})
	statstest.Same(t, "one method", got[0], density.Area([]density.NamedSample{plots.NamedSample}, density.Options{}).Area)
}

// TestCombineSpecial: a single unit has no weight beside several; nothing found weighs
// by the design; a share of the stratum that was searched does not narrow the limits.
func TestCombineSpecial(t *testing.T) {
	one := Combine([]Stratum{{LandHa: 9, Samples: []Sample{sample(1, 0.1, 3), sample(1, 0.1, 1, 2, 6)}}}, density.Options{})
	if one.Of[0][0] != 0 || one.Of[0][1] != 1 || one.Test.DF != 0 {
		t.Errorf("a single unit weighs %v", one.Of[0])
	}
	empty := Combine([]Stratum{{LandHa: 9, Samples: []Sample{sample(1, 0.1, 0, 0, 0, 0, 0, 0), sample(1, 0.1, 0, 0, 0, 0, 0, 0)}}}, density.Options{})
	statstest.Near(t, "weight without finds", empty.Of[0][0], 0.5, 1e-12)
	searched := []Stratum{{LandHa: 1, Samples: []Sample{sample(1, 0.1, 1, 0, 3, 2), sample(1, 0.1, 2, 1, 0, 5)}}}
	large := []Stratum{{LandHa: 1e9, Samples: searched[0].Samples}}
	a := Combine(searched, density.Options{}).Densities([][]int{{0}}, density.Options{})[0]
	b := Combine(large, density.Options{}).Densities([][]int{{0}}, density.Options{})[0]
	statstest.Relative(t, "upper limit", a.Upper, b.Upper, 1e-4)
	statstest.Panics(t, map[string]func(){
		"a factor of 0": func() { Combine([]Stratum{{LandHa: 1, Samples: []Sample{sample(0, 1, 1)}}}, density.Options{}) },
	})
}

// TestSimulated is the short form of the tables: some of their worlds, fewer draws.
// With 200, 0.95 comes out over 0.90 ninety-nine times of a hundred.
func TestSimulated(t *testing.T) {
	const draws = 200
	worlds := methodsWorlds()
	if testing.Short() {
		worlds = worlds[4:5]
	} else {
		worlds = worlds[2:5]
	}
	for _, w := range worlds {
		s := w.score(draws)
		if s.all.Covers() < 0.90 || math.Abs(s.bias) > 3*s.se+0.01 || s.width > s.parts || s.told[0] > 0.10 {
			t.Errorf("%s: %+v, covers %.3f", w.name, s, s.all.Covers())
		}
	}
	s := flushWorld{sites: 30, k: 2, finds: 8, chance: 0.7}.score(draws)
	if s.detected.Covers() < 0.90 || s.grown.Covers() < 0.90 {
		t.Errorf("chains of 2 and 3 links cover %.3f and %.3f", s.detected.Covers(), s.grown.Covers())
	}
}
