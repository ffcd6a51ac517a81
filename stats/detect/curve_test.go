package detect

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
)

// TestHalfNormalBand against the delta method by hand: with s = log sigma,
// dg/ds = g x^2/sigma^2.
func TestHalfNormalBand(t *testing.T) {
	f := mustFit(t, mustNew(t, Data{Distance: stakes(t), Right: 20}), Model{Key: HalfNormal})
	sigma, se := f.Parameters[0].Value, f.Parameters[0].SE/f.Parameters[0].Value
	points, err := f.Curve([]float64{0, 5, 20}, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	if p := points[0]; p.G != 1 || p.Lower != 1 || p.Upper != 1 {
		t.Errorf("on the line %+v", p)
	}
	for _, p := range points[1:] {
		z := p.Distance / sigma
		g := math.Exp(-z * z / 2)
		spread := 1.959963985 * g * z * z * se / (g * (1 - g))
		odds := math.Log(g / (1 - g))
		near(t, "g", p.G, g, 1e-12)
		near(t, "lower", p.Lower, 1/(1+math.Exp(-(odds-spread))), 1e-8)
		near(t, "upper", p.Upper, 1/(1+math.Exp(-(odds+spread))), 1e-8)
	}
}

// TestCurvesOfCovariates: at a setting the curve is the half-normal of that
// scale; the mean curve is their mean weighted by 1/mu, and integrates to the
// harmonic mean half-width.
func TestCurvesOfCovariates(t *testing.T) {
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	d := invented(t)
	d.Right = 18
	f := mustFit(t, mustNew(t, d), Model{Key: HalfNormal, Covariates: []string{"observer", "cover"}})
	value := map[string]float64{}
	for _, p := range f.Parameters {
		value[p.Name] = p.Value
	}
	sigma := math.Exp(value["log scale"] + value["log scale: observer=birch"] + 0.3*value["log scale: cover"])
	points, err := f.Curve([]float64{7}, 0.95, Setting{Name: "observer", Level: "birch"}, Setting{Name: "cover", Value: 0.3})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "g at a setting", points[0].G, math.Exp(-49/(2*sigma*sigma)), 1e-9)
	var integral float64
	for i := range 1000 {
		integral += f.G(18*(float64(i)+0.5)/1000) * 18 / 1000
	}
	near(t, "integral of the mean curve", integral, f.HalfWidth.Value, 1e-4)

	if got := len(f.Settings()); got != 6 { // three observers, three quartiles
		t.Errorf("%d settings: %v", got, f.Settings())
	}
	for _, s := range f.Settings() {
		if _, err := f.Curve([]float64{1}, 0.95, s); err != nil {
			t.Error(err)
		}
	}
	for _, s := range []Setting{{Name: "wind"}, {Name: "observer", Level: "dogwood"}, {Name: "cover", Level: "birch"}} {
		if _, err := f.Curve([]float64{1}, 0.95, s); !errors.Is(err, ErrModel) {
			t.Errorf("%+v: %v", s, err)
		}
	}
}

// TestHistogram: areas add up to the half-width, so that the columns lie on
// the curve; a detection on a cut is in the farther column.
func TestHistogram(t *testing.T) {
	f := mustFit(t, mustNew(t, Data{Distance: stakes(t), Right: 20}), Model{Key: HalfNormal})
	bars := f.Histogram([]float64{0, 4.96, 4.97, 12, 20})
	var area float64
	count := 0
	for _, b := range bars {
		area += b.Height * (b.To - b.From)
		count += b.Count
	}
	near(t, "area", area, f.HalfWidth.Value, 1e-12)
	if count != 67 || bars[1].Count != 0 { // a stake stands at 4.97 m
		t.Errorf("%d in all, bars %+v", count, bars)
	}
	grouped := mustFit(t, mustNew(t, Data{Distance: upTo(stakes(t), 20), Bins: []Bin{{0, 5}, {5, 20}}}), Model{Key: HalfNormal})
	if bars := grouped.Histogram(nil); len(bars) != 2 || bars[0].Count != 38 || bars[1].To != 20 {
		t.Errorf("bars of the recorded intervals %+v", bars)
	}
}

// TestSelection: the ranking of the stakes at 20 m by the AIC of detect_fits
// and of the table of the stakes.
func TestSelection(t *testing.T) {
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	s := mustNew(t, Data{Distance: stakes(t), Right: 20})
	models := []Model{{Key: Uniform}, {Key: HalfNormal}, {Key: HazardRate}, {Key: HalfNormal, Series: Cosine, Terms: 1}, {Key: "none"}, {Key: HalfNormal, Series: Hermite, Terms: 4}}
	got := s.Select(models, AIC, 0.95)
	want := []string{"hazard-rate", "half-normal", "half-normal + cosine(2)", "uniform", "half-normal + hermite(2,3,4,5)", "none"}
	for i, r := range got.Ranking {
		if r.Model.String() != want[i] {
			t.Errorf("rank %d is %s, want %s", i+1, r.Model, want[i])
		}
	}
	best := got.Best()
	near(t, "AIC of the best", best.AIC, 364.324824, 2e-6)
	near(t, "delta", got.Ranking[1].Delta, 364.714480-364.324824, 3e-6)
	a, b, c, d := 1.0, math.Exp(-0.389656/2), math.Exp(-(365.663527-364.324824)/2), math.Exp(-got.Ranking[3].Delta/2)
	near(t, "weight", got.Ranking[0].Weight, a/(a+b+c+d), 1e-5)
	if last := got.Ranking[5]; last.Fit != nil || !errors.Is(last.Err, ErrModel) || last.Weight != 0 {
		t.Errorf("a model that does not exist: %+v", last)
	}
	if ridge := got.Ranking[4]; ridge.Weight != 0 {
		t.Errorf("weight %g of a fit that did not converge", ridge.Weight)
	}
	if !strings.Contains(codes(best), ModelChosen.Code) {
		t.Errorf("rivals of %.2f, warnings %q", got.Ranking[1].Weight, codes(best))
	}
	if alone := s.Select(models[2:3], "", 0.95).Best(); strings.Contains(codes(alone), ModelChosen.Code) {
		t.Error("a model chosen from one")
	}
	small := s.Select(models, AICc, 0.95)
	near(t, "AICc", small.Best().AICc, 364.324824+2*2*3.0/(67-2-1), 2e-6)
	if none := s.Select(nil, AIC, 0.95); none.Best() != nil || none.Contenders() != nil {
		t.Error("a best model of none")
	}
	// The uniform lies 37 behind, and the last two have no place.
	var names []string
	for _, f := range got.Contenders() {
		names = append(names, f.Model.String())
	}
	if !slices.Equal(names, want[:3]) {
		t.Errorf("contenders are %q, want %q", names, want[:3])
	}
}

func TestCandidates(t *testing.T) {
	var names []string
	for _, m := range Candidates(1, "observer", "cover") {
		if err := m.check(); err != nil {
			t.Error(err)
		}
		names = append(names, m.String())
	}
	want := []string{
		"half-normal", "half-normal + cosine(2)", "half-normal + hermite(2)", "hazard-rate", "hazard-rate + polynomial(2)",
		"uniform", "uniform + cosine(1)", "half-normal, scale ~ observer", "hazard-rate, scale ~ observer",
		"half-normal, scale ~ cover", "hazard-rate, scale ~ cover", "half-normal, scale ~ observer + cover", "hazard-rate, scale ~ observer + cover",
	}
	for i := range max(len(want), len(names)) {
		if i >= len(want) || i >= len(names) || names[i] != want[i] {
			t.Fatalf("candidates %q, want %q", names, want)
		}
	}
}
