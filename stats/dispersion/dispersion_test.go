package dispersion

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

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

func ones(n int) []float64 { return slices.Repeat([]float64{1}, n) }

// counts draws negative binomial counts; k of +Inf is Poisson.
func counts(rng *rand.Rand, area []float64, mean, k float64) []float64 {
	y := make([]float64, len(area))
	for i, a := range area {
		mu := mean * a
		if !math.IsInf(k, 1) {
			mu *= distuv.Gamma{Alpha: k, Beta: k, Src: rng}.Rand()
		}
		y[i] = distuv.Poisson{Lambda: mu, Src: rng}.Rand()
	}
	return y
}

func TestSpecialCases(t *testing.T) {
	for _, c := range []struct {
		name     string
		count    []float64
		k        bool // whether there is a value
		lower    bool
		upper    bool
		morisita float64 // hand sums
		codes    string
	}{
		{"no unit", nil, false, false, false, nan, "no-units"},
		{"one unit", []float64{7}, false, false, false, nan, "one-unit"},
		{"no find", make([]float64, 20), false, false, false, nan, "no-finds"},
		{"one find", append(make([]float64, 19), 1), false, true, false, nan, "one-find few-finds no-clumping few-classes"},
		{"two finds apart", append(make([]float64, 18), 1, 1), false, true, false, 0, "few-finds no-clumping few-classes"},
		{"all in one unit", append(make([]float64, 19), 30), true, true, true, 20, "finds-in-one-unit few-classes"},
		{"equal counts", slices.Repeat([]float64{3}, 16), false, true, false, 16 * 96. / (48 * 47), "no-clumping under-dispersed"},
		{"few units", []float64{0, 9, 1, 30}, true, true, true, 4 * (72 + 870.) / (40 * 39), "few-units few-classes"},
		{"chance not excluded", tabled(5, 8, 5, 3, 1, 1), true, true, false, 23 * (10 + 18 + 12 + 20.) / (36 * 35), "open-upper-limit"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := Clumping(ones(len(c.count)), c.count, 0.95)
			if has(got.Value) != c.k || has(got.Lower) != c.lower || has(got.Upper) != c.upper {
				t.Errorf("k %v, limits %v to %v", got.Value, got.Lower, got.Upper)
			}
			near(t, "Morisita", got.Morisita, c.morisita, 1e-12)
			if w := codes(got.Warnings); w != c.codes {
				t.Errorf("warnings %q, want %q", w, c.codes)
			}
			checkBounded(t, got)
		})
	}
}

func has(x float64) bool { return !math.IsNaN(x) }

// checkBounded: no figure is infinite, and what is missing has a reason.
func checkBounded(t *testing.T, c Clumps) {
	t.Helper()
	figures := []float64{c.Value, c.SE, c.Lower, c.Upper, c.MeanPerUnit, c.VarianceToMean, c.ChiSquare, c.P, c.Morisita, c.KByMoments, c.KByZeros,
		c.NegBin.AIC, c.NegBin.ChiSquare, c.NegBin.P, c.Poisson.AIC, c.Poisson.ChiSquare, c.Poisson.P}
	for _, x := range figures {
		if math.IsInf(x, 0) {
			t.Errorf("an infinite figure in %+v", c)
		}
	}
	statstest.WellFormed(t, c.Estimate)
}

func TestNoFindExpectsEmptyUnits(t *testing.T) {
	c := Clumping(ones(20), make([]float64, 20), 0.95)
	if !slices.Equal(c.ExpectedNegBin, []float64{20}) || !slices.Equal(c.ExpectedPoisson, []float64{20}) {
		t.Errorf("expected %v and %v, want 20 empty units", c.ExpectedNegBin, c.ExpectedPoisson)
	}
}

// TestExpectedCountsAddUp: over all counts to all units, and weighted by the
// count to all finds, for equal and unequal areas (for unequal ones the
// negative binomial's mean is not the pooled one, so only Poisson's finds are).
func TestExpectedCountsAddUp(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 1))
	area := make([]float64, 40)
	for i := range area {
		area[i] = 0.5 + rng.Float64()
	}
	s := newSample(area, counts(rng, area, 4, 0.7), 0.95)
	s.highest = 2000 // far beyond, to have the whole distribution
	for _, k := range []float64{0.3, 2, 1e6, 1e14, math.Inf(1)} {
		var units, finds float64
		for y, e := range s.expected(4, k) {
			units += e
			finds += float64(y) * e
		}
		near(t, "units", units, 40, 1e-9)
		near(t, "finds", finds, 4*s.searched, 1e-9)
	}
}

// TestLargeKIsPoisson: the terms run into those of Poisson without a jump.
func TestLargeKIsPoisson(t *testing.T) {
	s := newSample([]float64{1, 2, 3}, []float64{3, 0, 40}, 0.95)
	poisson := s.expected(5, math.Inf(1))
	for y, e := range s.expected(5, 1e13) {
		near(t, "expected", e, poisson[y], 1e-9)
	}
}

// TestClassesHoldEveryUnit: whatever the counts, the classes are side by side,
// hold all units and expect enough.
func TestClassesHoldEveryUnit(t *testing.T) {
	rng := rand.New(rand.NewPCG(22, 1))
	for range 500 {
		area := make([]float64, 2+rng.IntN(60))
		for i := range area {
			area[i] = 0.2 + rng.Float64()
		}
		c := Clumping(area, counts(rng, area, 8*rng.Float64()*rng.Float64(), 0.05+2*rng.Float64()), 0.95)
		checkBounded(t, c)
		if c.Finds == 0 {
			continue
		}
		for _, f := range []Fit{c.NegBin, c.Poisson} {
			observed, expected, from := 0, 0.0, 0
			for i, class := range f.Classes {
				if class.From != from || (class.To == -1) != (i == len(f.Classes)-1) || class.Expected < leastExpected && len(f.Classes) > 1 {
					t.Errorf("class %+v of %v", class, f.Classes)
				}
				observed += class.Observed
				expected += class.Expected
				from = class.To + 1
			}
			if observed != len(area) || math.Abs(expected-float64(len(area))) > 1e-9 {
				t.Errorf("classes hold %d units and expect %v of %d", observed, expected, len(area))
			}
		}
	}
}

// TestSlipOfThePen: a count that no unit holds must not ask for its length.
func TestSlipOfThePen(t *testing.T) {
	count := tabled(5, 8, 5, 3, 1, 1)
	count[7] = 4e9
	c := Clumping(ones(23), count, 0.95)
	last := c.NegBin.Classes[len(c.NegBin.Classes)-1]
	if len(c.ExpectedNegBin) != longest+1 || last.To != -1 || last.Observed < 1 {
		t.Errorf("%d expected counts, last class %+v", len(c.ExpectedNegBin), last)
	}
	checkBounded(t, c)
}

// TestUnitOfAreaAndOrder: neither matters.
func TestUnitOfAreaAndOrder(t *testing.T) {
	area := []float64{1, 2, 1, 2, 3, 1, 1, 2, 2, 1}
	count := []float64{0, 0, 1, 7, 0, 2, 12, 4, 0, 1}
	one := Clumping(area, count, 0.9)
	other := slices.Clone(area)
	for i := range other {
		other[i] /= 1e4
	}
	slices.Reverse(other)
	back := slices.Clone(count)
	slices.Reverse(back)
	two := Clumping(other, back, 0.9)
	near(t, "k", two.Value, one.Value, 1e-9)
	near(t, "upper", two.Upper, one.Upper, 1e-8)
	near(t, "chi-square", two.ChiSquare, one.ChiSquare, 1e-12)
	near(t, "Morisita", two.Morisita, one.Morisita, 1e-12)
	near(t, "chi-square of fit", two.NegBin.ChiSquare, one.NegBin.ChiSquare, 1e-7)
	if area[0] != 1 || count[3] != 7 {
		t.Error("an argument was changed")
	}
}

// TestMorisitasTestIsPearsons: for equal areas, the identity of the doc.
func TestMorisitasTestIsPearsons(t *testing.T) {
	c := Clumping(ones(23), tabled(5, 8, 5, 3, 1, 1), 0.95)
	n, finds := float64(c.Units), float64(c.Finds)
	near(t, "Morisita's chi-square", c.Morisita*(finds-1)+n-finds, c.ChiSquare, 1e-12)
}

// TestQuickEstimatesSolveTheirEquations for unequal areas.
func TestQuickEstimatesSolveTheirEquations(t *testing.T) {
	rng := rand.New(rand.NewPCG(23, 1))
	area := make([]float64, 50)
	for i := range area {
		area[i] = 0.5 + rng.Float64()
	}
	s := newSample(area, counts(rng, area, 3, 0.5), 0.95)
	near(t, "units expected empty", s.expectedZeros(s.zerosK()), s.zeros, 1e-10)
	if k := newSample(ones(3), []float64{1, 2, 3}, 0.95).zerosK(); !math.IsNaN(k) {
		t.Errorf("k by zeros %v without a zero", k)
	}
}

// TestLevels: at a fixed seed, P rejects chance where there is nothing else in
// about 5 of 100 samples, the limits of k hold it in about 95, and the fit is
// rejected in about 5, for unequal areas as well.
func TestLevels(t *testing.T) {
	statstest.Long(t)
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	const samples = 1000
	for _, w := range []struct {
		units   int
		mean, k float64
		unequal bool
	}{
		{40, 2, 0.5, false}, {40, 5, 1, true}, {100, 1, 0.3, true},
	} {
		var rejected, held, unfit, fits int
		for i := range samples {
			rng := rand.New(rand.NewPCG(20313, uint64(i)))
			area := ones(w.units)
			for j := range area {
				if w.unequal {
					area[j] = 0.5 + rng.Float64()
				}
			}
			if Clumping(area, counts(rng, area, w.mean, math.Inf(1)), 0.95).P < 0.05 {
				rejected++
			}
			c := Clumping(area, counts(rng, area, w.mean, w.k), 0.95)
			if !(c.Lower > w.k || c.Upper < w.k) { // an open limit holds
				held++
			}
			if has(c.NegBin.P) {
				fits++
			}
			if c.NegBin.P < 0.05 {
				unfit++
			}
		}
		t.Logf("%+v: chance rejected %.3f, k held %.3f, fit rejected %.3f of %d", w, share(rejected, samples), share(held, samples), share(unfit, fits), fits)
		within(t, "chance rejected", share(rejected, samples), 0.03, 0.07)
		within(t, "k held", share(held, samples), 0.93, 0.97)
		within(t, "fit rejected", share(unfit, fits), 0.03, 0.08)
	}
}

func share(some, all int) float64 { return float64(some) / float64(all) }

func within(t *testing.T, what string, x, low, high float64) {
	t.Helper()
	if x < low || x > high {
		t.Errorf("%s: %.3f, want %v to %v", what, x, low, high)
	}
}

func TestMisusePanics(t *testing.T) {
	statstest.Panics(t, map[string]func(){
		"length":     func() { Clumping(ones(2), ones(3), 0.95) },
		"area":       func() { Clumping([]float64{1, 0}, ones(2), 0.95) },
		"count":      func() { Clumping(ones(2), []float64{1, 0.5}, 0.95) },
		"confidence": func() { Clumping(ones(2), ones(2), 95) },
	})
}

func BenchmarkClumping200(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 1))
	for name, spread := range map[string]float64{"equal": 0, "unequal": 1} {
		area := make([]float64, 200)
		for i := range area {
			area[i] = 1 + spread*rng.Float64()
		}
		y := counts(rng, area, 3, 0.4)
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Clumping(area, y, 0.95)
			}
		})
	}
}
