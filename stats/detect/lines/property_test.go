package lines

import (
	"math"
	"math/rand/v2"
	"testing"

	"ashtally/stats/density"
	"ashtally/stats/detect"
	"pgregory.net/rapid"
)

// TestUnitAndOrderDoNotMatter: all lengths and distances k times as long make
// the density 1/k^2 times as high and leave its cv; the order of detections
// changes nothing, nor does that of the lines while their sequence goes along.
func TestUnitAndOrderDoNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := rapid.SampledFrom(worlds()[:7]).Draw(t, "world")
		s, d := w.draw(rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 2)))
		o := Options{Systematic: rapid.SampledFrom(density.Systematics()).Draw(t, "variance")}
		unit := math.Exp(rapid.Float64Range(-3, 3).Draw(t, "log unit"))
		before, ok := densityOf(t, w, s, d, o)
		if !ok {
			t.Skip("too few detections")
		}
		moved, data := shuffled(s, d, unit)
		after, _ := densityOf(t, w, moved, data, o)
		if math.Abs(after.Density.Value*unit*unit/before.Density.Value-1) > 1e-5 {
			t.Errorf("density %g, in another unit %g", before.Density.Value, after.Density.Value*unit*unit)
		}
		if math.Abs(after.Density.CV()-before.Density.CV()) > 1e-4 {
			t.Errorf("cv %g, in another unit %g", before.Density.CV(), after.Density.CV())
		}
		if e := before.Density; !(e.Lower < e.Value && e.Value < e.Upper) {
			t.Errorf("%g outside %g to %g", e.Value, e.Lower, e.Upper)
		}
	})
}

func densityOf(t *rapid.T, w world, s Survey, d detect.Data, o Options) (Result, bool) {
	sample, err := detect.New(d)
	if err != nil {
		return Result{}, false
	}
	f, err := sample.Fit(w.models[0], 0.95)
	if err != nil || !f.Converged || f.N < 15 {
		return Result{}, false
	}
	r, err := s.Density(f, o)
	if err != nil {
		t.Fatal(err)
	}
	return r, true
}

// shuffled is the survey in another order of lines and detections, in another
// unit of length.
func shuffled(s Survey, d detect.Data, unit float64) (Survey, detect.Data) {
	r := rand.New(rand.NewPCG(7, 7))
	lines, finds := r.Perm(len(s.Transects)), r.Perm(len(s.On))
	place := make([]int, len(lines))
	moved := Survey{Strata: s.Strata}
	for at, old := range lines {
		place[old] = at
		transect := s.Transects[old]
		transect.Length *= unit
		moved.Transects = append(moved.Transects, transect)
	}
	data := detect.Data{Right: d.Right * unit, Covariates: []detect.Covariate{{Name: "observer"}}}
	for _, i := range finds {
		moved.On = append(moved.On, place[s.On[i]])
		data.Distance = append(data.Distance, d.Distance[i]*unit)
		data.Covariates[0].Level = append(data.Covariates[0].Level, d.Covariates[0].Level[i])
		if s.Size != nil {
			moved.Size = append(moved.Size, s.Size[i])
		}
	}
	return moved, data
}
