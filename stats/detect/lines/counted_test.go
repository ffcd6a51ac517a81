package lines

import (
	"errors"
	"math"
	"testing"

	"ashtally/stats/detect"
)

func counted(t *testing.T, s Survey, f *detect.Fit, c []float64, o Options) Counting {
	t.Helper()
	r, err := s.Counted(f, c, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func same(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-12*math.Abs(want) {
		t.Errorf("%s: %v, want %v", what, got, want)
	}
}

// Counting every single object is what Density does.
func TestCountedOfAllIsTheDensity(t *testing.T) {
	s, d := small()
	f := fitted(t, d, detect.Model{Key: detect.HalfNormal})
	ones := make([]float64, len(s.On))
	for i := range ones {
		ones[i] = 1
	}
	got, want := counted(t, s, f, ones, Options{}), estimated(t, s, f, Options{})
	same(t, "density", got.Density.Value, want.Density.Value)
	same(t, "standard error", got.Density.SE, want.Density.SE)
	same(t, "lower", got.Density.Lower, want.Density.Lower)
	same(t, "upper", got.Density.Upper, want.Density.Upper)
	if got.N != f.N || len(got.Density.Warnings) != len(want.Density.Warnings) {
		t.Errorf("%d detections with %d warnings, want %d with %d", got.N, len(got.Density.Warnings), f.N, len(want.Density.Warnings))
	}
}

// Kinds add up to the whole, and in one stratum the whole is that of Density,
// whether sizes are regressed or not. Over strata it is not: each has groups of
// its own size here.
func TestCountedKindsAddUp(t *testing.T) {
	s, d := small()
	s.Strata = s.Strata[:1]
	for i := range s.Transects {
		s.Transects[i].Stratum = 0
	}
	f := fitted(t, d, detect.Model{Key: detect.HalfNormal})
	kinds := [2][]float64{make([]float64, len(s.On)), make([]float64, len(s.On))}
	for i, x := range d.Distance {
		size := float64(1 + i%3 + int(x/3))
		s.Size = append(s.Size, size)
		kinds[i%2][i] = size
	}
	for _, o := range []Options{{Size: SizeMean}, {Size: SizeRegression}} {
		whole := counted(t, s, f, s.Size, o)
		sum := counted(t, s, f, kinds[0], o).Density.Value + counted(t, s, f, kinds[1], o).Density.Value
		same(t, "sum of kinds", sum, whole.Density.Value)
		same(t, "whole", whole.Density.Value, estimated(t, s, f, o).Density.Value)
		if !(whole.Density.SE > 0) || has(whole.Density.Warnings, SizeBias) != (o.Size == SizeRegression) {
			t.Errorf("%q: %+v", o.Size, whole.Density)
		}
	}
}

// A stratum by itself, the detections elsewhere counted 0, has the figures
// that it has within the land.
func TestCountedInAPart(t *testing.T) {
	s, d := small()
	f := fitted(t, d, detect.Model{Key: detect.HalfNormal})
	part := Survey{Strata: s.Strata[1:], On: make([]int, len(s.On))}
	c := make([]float64, len(s.On))
	for _, line := range s.Transects[4:] {
		line.Stratum = 0
		part.Transects = append(part.Transects, line)
	}
	for i, on := range s.On {
		if on >= 4 {
			part.On[i], c[i] = on-4, 1
		}
	}
	got, want := counted(t, part, f, c, Options{}).Density, estimated(t, s, f, Options{}).Strata[1].Density
	same(t, "density", got.Value, want.Value)
	same(t, "standard error", got.SE, want.SE)
	same(t, "upper", got.Upper, want.Upper)
}

// Nothing found has Garwood's limit: -log(0.025) = 3.689 detections at 95 %
// (Garwood 1936), all in the stratum that weighs most per metre.
func TestCountedOfNothing(t *testing.T) {
	s, d := small()
	f := fitted(t, d, detect.Model{Key: detect.HalfNormal})
	got := counted(t, s, f, make([]float64, len(s.On)), Options{}).Density
	south := 0.75 / (2 * (140 + 150 + 160 + 170)) // 30 of 40 ha, by hand
	same(t, "upper", got.Upper, -math.Log(0.025)/f.HalfWidth.Value*south*1e4)
	if got.Value != 0 || got.Lower != 0 || !has(got.Warnings, NoFinds) {
		t.Errorf("%+v", got)
	}
}

func TestCountedRefuses(t *testing.T) {
	s, d := small()
	f := fitted(t, d, detect.Model{Key: detect.HalfNormal})
	for _, bad := range []float64{-1, math.NaN(), math.Inf(1)} {
		c := make([]float64, len(s.On))
		c[3] = bad
		if _, err := s.Counted(f, c, Options{}); !errors.Is(err, ErrSurvey) {
			t.Errorf("a count of %v: %v", bad, err)
		}
	}
}
