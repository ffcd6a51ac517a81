package detect

import (
	"math"
	"testing"

	"ashtally/stats/detect/gof"
)

// TestTestsOfFit: statistics of the half-normal of the stakes at 20 m. D is R's
// ks.test and W2 the formula, both in testdata/reference/detect_gof.csv; the
// chi-square is the sum over the cells shown.
func TestTestsOfFit(t *testing.T) {
	want := map[string]float64{}
	for _, row := range readReference(t, "detect_gof.csv") {
		want[row[0]] = number(t, row[1])
	}
	f := mustFit(t, mustNew(t, Data{Distance: stakes(t), Right: 20}), Model{Key: HalfNormal})
	got := f.Test(TestOptions{})
	near(t, "D", got.KolmogorovSmirnov.Statistic, want["ks statistic"], 1e-6)
	near(t, "p of D", got.KolmogorovSmirnov.P, want["ks p"], 0.02) // Stephens against exact
	near(t, "W2", got.CramerVonMises.Statistic, want["cvm statistic"], 1e-6)
	var x2, expected, observed float64
	for _, c := range got.Cells {
		x2 += (c.Observed - c.Expected) * (c.Observed - c.Expected) / c.Expected
		expected += c.Expected
		observed += c.Observed
		if c.Expected < 5 {
			t.Errorf("cell %+v expects under 5", c)
		}
	}
	near(t, "X2", got.ChiSquare.Statistic, x2, 1e-12)
	near(t, "expected", expected, 67, 1e-9)
	near(t, "observed", observed, 67, 0)
	near(t, "df", got.ChiSquare.DF, float64(len(got.Cells)-2), 0)

	again := f.Test(TestOptions{Replicates: 99, Seed: 7})
	if again.KolmogorovSmirnov.P >= got.KolmogorovSmirnov.P {
		t.Errorf("p %g simulated, %g with the curve taken as known: the latter is too large", again.KolmogorovSmirnov.P, got.KolmogorovSmirnov.P)
	}
	if repeat := f.Test(TestOptions{Replicates: 99, Seed: 7}); repeat.CramerVonMises.P != again.CramerVonMises.P {
		t.Error("the same seed gives another p")
	}
}

// TestABadCurveIsSeen: a level curve through the stakes.
func TestABadCurveIsSeen(t *testing.T) {
	f := mustFit(t, mustNew(t, Data{Distance: stakes(t), Right: 20}), Model{Key: Uniform})
	got := f.Test(TestOptions{Replicates: 99})
	for name, p := range map[string]float64{"chi-square": got.ChiSquare.P, "Kolmogorov-Smirnov": got.KolmogorovSmirnov.P, "Cramer-von Mises": got.CramerVonMises.P} {
		if !(p <= 0.01) {
			t.Errorf("%s has p %g", name, p)
		}
	}
}

// TestGroupedHasOnlyChiSquare, with the recorded intervals; and too few
// intervals give no p.
func TestGroupedHasOnlyChiSquare(t *testing.T) {
	s := mustNew(t, Data{Distance: upTo(stakes(t), 20), Bins: []Bin{{0, 2.5}, {2.5, 5}, {5, 10}, {10, 20}}})
	got := mustFit(t, s, Model{Key: HalfNormal}).Test(TestOptions{Replicates: 9})
	if len(got.Cells) != 4 || got.ChiSquare.DF != 2 || got.KolmogorovSmirnov.Reason == "" || !math.IsNaN(got.CramerVonMises.P) {
		t.Errorf("%+v", got)
	}
	few := mustFit(t, s, Model{Key: HazardRate}).Test(TestOptions{Cuts: []float64{0, 5, 10, 20}})
	if !math.IsNaN(few.ChiSquare.P) || few.ChiSquare.Reason == "" {
		t.Errorf("three intervals, two parameters: %+v", few.ChiSquare)
	}
}

// TestUniformsOfCovariates: with the right model the distribution function at
// each detection is uniform whatever its covariates.
func TestUniformsOfCovariates(t *testing.T) {
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	d := invented(t)
	d.Right = 25
	f := mustFit(t, mustNew(t, d), Model{Key: HalfNormal, Covariates: []string{"observer", "cover"}})
	if r := gof.KolmogorovSmirnov(uniforms(f, f.sample.t)); r.P < 0.05 {
		t.Errorf("%+v", r)
	}
	tests := f.Test(TestOptions{Replicates: 19})
	if tests.KolmogorovSmirnov.P < 0.05 || tests.ChiSquare.P < 0.01 {
		t.Errorf("the true model fails: %+v", tests)
	}
}

// TestSimulatedPIsUniform: the p-values of samples from a half-normal, with
// the scale fitted, lie as they should; the limit distribution's do not.
func TestSimulatedPIsUniform(t *testing.T) {
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	truth := mustFit(t, mustNew(t, Data{Distance: stakes(t), Right: 20}), Model{Key: HalfNormal})
	const worlds = 60
	var simulated, limit []float64
	for i := range worlds {
		r := newRand(uint64(i))
		x := make([]float64, 50)
		for j := range x {
			x[j] = 20 * draw(truth, r, []float64{1})
		}
		f := mustFit(t, mustNew(t, Data{Distance: x, Right: 20}), Model{Key: HalfNormal})
		limit = append(limit, f.Test(TestOptions{}).CramerVonMises.P)
		simulated = append(simulated, f.Test(TestOptions{Replicates: 49, Seed: uint64(i)}).CramerVonMises.P)
	}
	if r := gof.KolmogorovSmirnov(simulated); r.P < 0.01 {
		t.Errorf("simulated p-values are not uniform: %+v", r)
	}
	if r := gof.KolmogorovSmirnov(limit); r.P > 0.01 {
		t.Errorf("limit p-values pass for uniform, so the warning about them is idle: %+v", r)
	}
}

// TestDraw: the mean of a half-normal is scale sqrt(2/pi), by rejection and,
// where nearly all tries would be rejected, by halving.
func TestDraw(t *testing.T) {
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	f := mustFit(t, mustNew(t, Data{Distance: stakes(t), Right: 20}), Model{Key: HalfNormal})
	for _, scale := range []float64{0.1, 1e-5} {
		f.peak.X = []float64{math.Log(scale)}
		r := newRand(4)
		var mean float64
		const n = 2000
		for range n {
			mean += draw(f, r, []float64{1}) / n
		}
		near(t, "mean over scale", mean/scale, math.Sqrt(2/math.Pi), 0.04) // standard error 0.0135
	}
}
