package lines

import (
	"math"
	"testing"

	"ashtally/stats"
	"ashtally/stats/detect"
	"pgregory.net/rapid"
)

// anything is data that a crew might hand in, the odd among them: ties,
// zeros, one far out, few, in steps.
func anything(t *rapid.T) (Survey, detect.Data) {
	n := rapid.IntRange(0, 40).Draw(t, "n")
	lines := rapid.IntRange(1, 5).Draw(t, "lines")
	s := Survey{Strata: []Stratum{{Name: "a", AreaHa: 3}, {Name: "b", AreaHa: rapid.SampledFrom([]float64{0, 7}).Draw(t, "area")}}}
	for k := range lines {
		s.Transects = append(s.Transects, Transect{Stratum: k % 2, Length: rapid.SampledFrom([]float64{1, 100, 3000}).Draw(t, "length"), Sequence: k})
	}
	distance := rapid.OneOf(
		rapid.SampledFrom([]float64{0, 1, 1, 2, 5, 10}), rapid.Float64Range(0, 20), rapid.Float64Range(0, 1e-6), rapid.Float64Range(0, 1e5),
	)
	cover := detect.Covariate{Name: "cover", Value: []float64{}}
	observer := detect.Covariate{Name: "observer", Level: []string{}}
	var d detect.Data
	for range n {
		s.On = append(s.On, rapid.IntRange(0, lines-1).Draw(t, "on"))
		s.Size = append(s.Size, rapid.SampledFrom([]float64{1, 1, 2, 30}).Draw(t, "size"))
		d.Distance = append(d.Distance, distance.Draw(t, "distance"))
		cover.Value = append(cover.Value, rapid.Float64Range(0, 100).Draw(t, "cover"))
		observer.Level = append(observer.Level, rapid.SampledFrom([]string{"x", "y"}).Draw(t, "observer"))
	}
	d.Covariates = []detect.Covariate{cover, observer}
	d.Right = rapid.SampledFrom([]float64{0, 3, 12}).Draw(t, "right")
	if rapid.Bool().Draw(t, "grouped") {
		d.Right, d.Bins = 0, []detect.Bin{{From: 0, To: 1}, {From: 1, To: 4}, {From: 4, To: 12}}
	}
	if rapid.Bool().Draw(t, "single") {
		s.Size = nil
	}
	return s, d
}

// TestFieldDataNeverPanic: whatever the data, the end is an error with a
// reason, or figures whose limits hold them; NaN comes with a warning.
func TestFieldDataNeverPanic(t *testing.T) {
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	models := append(detect.Candidates(2, "cover", "observer"), detect.Model{Key: detect.Uniform, Series: detect.Cosine, Terms: 2, FreeShape: true})
	rapid.Check(t, func(t *rapid.T) {
		s, d := anything(t)
		sample, err := detect.New(d)
		if err != nil {
			return
		}
		f, err := sample.Fit(rapid.SampledFrom(models).Draw(t, "model"), 0.95)
		if err != nil {
			return
		}
		f.Test(detect.TestOptions{Replicates: 2})
		f.Histogram([]float64{sample.Left(), (sample.Left() + sample.Right()) / 2, sample.Right()})
		if _, err := f.Curve([]float64{0, sample.Right()}, 0.95, f.Settings()...); err != nil {
			t.Error(err)
		}
		r, err := s.Density(f, Options{})
		if err != nil {
			t.Fatal(err)
		}
		checkEstimate(t, r.Density)
		for _, h := range r.Strata {
			if h.N > 0 {
				checkEstimate(t, h.Density)
			}
		}
		b, err := s.Bootstrap([]*detect.Fit{f}, Resampling{Replicates: 4})
		if err != nil {
			t.Fatal(err)
		}
		if !f.Converged && len(b.Density.Warnings) == 0 {
			t.Error("no doubt about a fit that did not converge")
		}
	})
}

func checkEstimate(t *rapid.T, e stats.Estimate) {
	if math.IsNaN(e.Value) || math.IsInf(e.Value, 0) || e.Value <= 0 {
		t.Fatalf("density %+v", e)
	}
	if math.IsNaN(e.Lower) {
		if len(e.Warnings) == 0 {
			t.Fatalf("no limits and no reason: %+v", e)
		}
		return
	}
	open := math.IsNaN(e.Upper) && has(e.Warnings, OpenUpperLimit)
	if !(e.Lower <= e.Value && (open || e.Value <= e.Upper && e.Upper <= 100*e.Value)) || e.Lower == e.Upper {
		t.Fatalf("limits %+v", e)
	}
}
