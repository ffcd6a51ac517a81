package lines

import (
	"math"
	"math/rand/v2"
	"testing"

	"ashtally/stats/compare"
	"ashtally/stats/detect"
	"ashtally/stats/strata"
	"gonum.org/v1/gonum/floats"
)

// twoKinds is a survey with the number of each of two kinds in each detection.
func twoKinds(t testing.TB, name string, seed uint64) (s Survey, f *detect.Fit, a, b []float64) {
	t.Helper()
	s, fits := surveyed(t, name, seed)
	a, b = make([]float64, len(s.On)), make([]float64, len(s.On))
	r := rand.New(rand.NewPCG(seed, 77))
	for i := range s.On {
		if r.Float64() < 0.4 {
			a[i] = 1
		} else {
			b[i] = 1
		}
	}
	return s, fits[0], a, b
}

// TestRatioIsThatOfCounts: with one half-width for all, the ratio is that of
// counts on the same units, as package compare estimates it; with a stratum of one
// line as well, which both collapse with the nearest.
func TestRatioIsThatOfCounts(t *testing.T) {
	s, f, a, b := twoKinds(t, "half-normal, clumped", 3)
	for i := range s.Transects {
		s.Transects[i].Stratum = i % 2
	}
	s.Strata = []Stratum{{Name: "near", AreaHa: 10, Mean: 2}, {Name: "far", AreaHa: 30, Mean: 7}}
	wantRatioOfCounts(t, s, f, a, b)
	s.Strata = append(s.Strata, Stratum{Name: "alone", AreaHa: 5, Mean: 6})
	s.Transects[5].Stratum = 2
	if q := wantRatioOfCounts(t, s, f, a, b); !has(q.Warnings, strata.CollapsedStrata) {
		t.Errorf("%+v", q.Warnings)
	}
}

func wantRatioOfCounts(t *testing.T, s Survey, f *detect.Fit, a, b []float64) compare.Comparison {
	t.Helper()
	var parts []compare.Part
	for _, h := range s.Strata {
		parts = append(parts, compare.Part{Stratum: strata.Stratum{Name: h.Name, Mean: h.Mean}, LandHa: h.AreaHa})
	}
	place := map[int]int{}
	for i, transect := range s.Transects {
		p := &parts[transect.Stratum]
		place[i] = len(p.AreaHa)
		p.AreaHa, p.A, p.B = append(p.AreaHa, 2*transect.Length), append(p.A, 0), append(p.B, 0)
	}
	for i, on := range s.On {
		p := &parts[s.Transects[on].Stratum]
		p.A[place[on]] += a[i]
		p.B[place[on]] += b[i]
	}
	want := compare.Ratio(parts, 0.95)
	got, err := s.Ratio(f, a, b, Options{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "ratio", got.Value, want.Value, 1e-12)
	near(t, "se", got.SE, want.SE, 1e-9)
	near(t, "lower", got.Lower, want.Lower, 1e-9)
	near(t, "upper", got.Upper, want.Upper, 1e-9)
	near(t, "p", got.P, want.P, 1e-9)
	return want
}

// TestRatioWithCovariates: the ratio is that of the densities, and the swapped
// kinds give its inverse.
func TestRatioWithCovariates(t *testing.T) {
	s, f, a, b := twoKinds(t, "covariate", 3)
	got, err := s.Ratio(f, a, b, Options{})
	if err != nil {
		t.Fatal(err)
	}
	first, _ := s.Counted(f, a, Options{})
	second, _ := s.Counted(f, b, Options{})
	near(t, "ratio", got.Value, first.Density.Value/second.Density.Value, 1e-12)
	inverse, _ := s.Ratio(f, b, a, Options{})
	near(t, "inverse", inverse.Lower*got.Upper, 1, 1e-9)
	near(t, "p", inverse.P, got.P, 1e-12)
}

// seenApart is a survey of two kinds, 0.4 and 0.6 of all, of which the first is
// seen with a scale of 9 m and the second of 5 m.
func seenApart(r *rand.Rand) (s Survey, d detect.Data, a, b []float64) {
	s.Strata = []Stratum{{Name: "all"}}
	d = detect.Data{Right: 20, Covariates: []detect.Covariate{{Name: "mode"}}}
	for k := range 14 {
		s.Transects = append(s.Transects, Transect{Length: 300})
		for range 12 + r.IntN(10) {
			kind, scale, one := "b", 5.0, [2]float64{0, 1}
			if r.Float64() < 0.4 {
				kind, scale, one = "a", 9, [2]float64{1, 0}
			}
			x := 20 * r.Float64()
			if r.Float64() > halfNormal(scale)(x, 0, "") {
				continue
			}
			s.On = append(s.On, k)
			d.Distance = append(d.Distance, x)
			d.Covariates[0].Level = append(d.Covariates[0].Level, kind)
			a, b = append(a, one[0]), append(b, one[1])
		}
	}
	return s, d, a, b
}

// TestRatioHoldsTheTruth: with the kind as covariate the interval holds the true
// ratio, where that of the counts is far too high.
func TestRatioHoldsTheTruth(t *testing.T) {
	const surveys, truth = 300, 0.4 / 0.6
	held, crude := 0, 0.0
	for i := range surveys {
		s, d, a, b := seenApart(rand.New(rand.NewPCG(5, uint64(i))))
		f := fitted(t, d, detect.Model{Key: detect.HalfNormal, Covariates: []string{"mode"}})
		q, err := s.Ratio(f, a, b, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if q.Lower <= truth && truth <= q.Upper {
			held++
		}
		crude += floats.Sum(a) / floats.Sum(b) / surveys
	}
	t.Logf("%d of %d held", held, surveys)
	if share := float64(held) / surveys; share < 0.92 || share > 0.98 {
		t.Errorf("%.3f of intervals at 0.95 hold the truth", share)
	}
	if !(crude > 1.5*truth) {
		t.Errorf("counts give %.2f on the average; expected them to mislead", crude)
	}
}

func TestRatioWithoutAnInterval(t *testing.T) {
	s, f, a, b := twoKinds(t, "half-normal", 3)
	none := make([]float64, len(a))
	if q, err := s.Ratio(f, none, b, Options{}); err != nil || q.Value != 0 || !math.IsNaN(q.Upper) || !has(q.Warnings, NoFinds) {
		t.Errorf("%+v %v", q, err)
	}
	if q, err := s.Ratio(f, a, none, Options{}); err != nil || !math.IsNaN(q.Value) || !has(q.Warnings, NoFinds) {
		t.Errorf("%+v %v", q, err)
	}
	for i := range s.On {
		s.On[i] = 0
	}
	s.Transects = s.Transects[:1]
	if q, err := s.Ratio(f, a, b, Options{}); err != nil || !math.IsNaN(q.Lower) || !has(q.Warnings, OneTransect) {
		t.Errorf("%+v %v", q, err)
	}
}
