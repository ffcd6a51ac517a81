package detect

import (
	"errors"
	"math"
	"strings"
	"testing"
)

// TestDataThatCannotBeUsed: each ends in an error that names the cause.
func TestDataThatCannotBeUsed(t *testing.T) {
	x := []float64{1, 2, 3, 4, 5}
	nan := math.NaN()
	for _, c := range []struct {
		name  string
		data  Data
		cause error
		says  string
	}{
		{"negative", Data{Distance: []float64{1, -2}}, ErrData, "detection 2 is at -2 m"},
		{"not a number", Data{Distance: []float64{nan}}, ErrData, "detection 1"},
		{"infinite", Data{Distance: []float64{1, math.Inf(1)}}, ErrData, "detection 2"},
		{"truncation of no sense", Data{Distance: x, Left: -1}, ErrData, "truncation"},
		{"truncation upside down", Data{Distance: x, Left: 4, Right: 2}, ErrTooFew, "none of 5"},
		{"truncation not a number", Data{Distance: x, Right: nan}, ErrData, "truncation"},
		{"none", Data{}, ErrTooFew, "none of 0"},
		{"all beyond", Data{Distance: x, Right: 0.5}, ErrTooFew, "none of 5 lies between 0 and 0.5 m"},
		{"all equal", Data{Distance: []float64{5, 5, 5}, Right: 9}, ErrNoSpread, "all 3 are at 5 m"},
		{"all on the line", Data{Distance: []float64{0, 0, 0}}, ErrNoSpread, "between 0 and 0 m"},
		{"gap", Data{Distance: x, Bins: []Bin{{0, 2}, {3, 6}}}, ErrData, "gap from 2 to 3 m"},
		{"overlap", Data{Distance: x, Bins: []Bin{{0, 3}, {2, 6}}}, ErrData, "overlap from 2 to 3 m"},
		{"backward bin", Data{Distance: x, Bins: []Bin{{3, 2}}}, ErrData, "interval 1"},
		{"one bin", Data{Distance: x, Bins: []Bin{{0, 9}}}, ErrNoSpread, "single interval"},
		{"all in one bin", Data{Distance: x, Bins: []Bin{{0, 9}, {9, 20}}}, ErrNoSpread, "in one interval"},
		{"bins against truncation", Data{Distance: x, Right: 7, Bins: []Bin{{0, 3}, {3, 6}}}, ErrData, "truncation from 0 to 7"},
		{"short covariate", Data{Distance: x, Covariates: []Covariate{{Name: "cover", Value: []float64{1}}}}, ErrData, "1 entries for 5"},
		{"empty level", Data{Distance: x[:2], Covariates: []Covariate{{Name: "observer", Level: []string{"a", ""}}}}, ErrData, "detection 2 is empty"},
		{"covariate not a number", Data{Distance: x[:1], Covariates: []Covariate{{Name: "cover", Value: []float64{nan}}}}, ErrData, "not a number"},
		{"covariate of both kinds", Data{Distance: x[:1], Covariates: []Covariate{{Name: "c", Value: []float64{1}, Level: []string{"a"}}}}, ErrData, "either"},
		{"covariate twice", Data{Distance: x[:1], Covariates: []Covariate{{Name: "c", Value: []float64{1}}, {Name: "c", Value: []float64{1}}}}, ErrData, "two covariates"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := New(c.data)
			if !errors.Is(err, c.cause) || !strings.Contains(err.Error(), c.says) {
				t.Errorf("error %v, want %v with %q", err, c.cause, c.says)
			}
		})
	}
}

// TestModelsThatCannotBeFitted: each ends in an error.
func TestModelsThatCannotBeFitted(t *testing.T) {
	d := invented(t)
	n := len(d.Distance)
	same, level, twin := make([]float64, n), make([]string, n), make([]string, n)
	for i := range n {
		same[i], level[i], twin[i] = 3, "only", "x"+d.Covariates[0].Level[i]
	}
	d.Covariates = append(d.Covariates, Covariate{Name: "same", Value: same}, Covariate{Name: "only", Level: level}, Covariate{Name: "twin", Level: twin})
	s := mustNew(t, d)
	open := mustNew(t, Data{Distance: d.Distance, Right: math.Inf(1)})
	for _, c := range []struct {
		sample *Sample
		model  Model
		says   string
	}{
		{s, Model{Key: "exponential"}, "no key"},
		{s, Model{Key: HalfNormal, Terms: 1}, "no series"},
		{s, Model{Key: HalfNormal, Series: Cosine, Terms: 6}, "6 terms"},
		{s, Model{Key: HalfNormal, Series: Cosine, Terms: -1}, "-1 terms"},
		{s, Model{Key: Uniform, Covariates: []string{"cover"}}, "no scale"},
		{s, Model{Key: HalfNormal, Series: Cosine, Terms: 1, Covariates: []string{"cover"}}, "together"},
		{s, Model{Key: HalfNormal, Covariates: []string{"wind"}}, `no covariate "wind"`},
		{s, Model{Key: HalfNormal, Covariates: []string{"same"}}, "3 for every detection"},
		{s, Model{Key: HalfNormal, Covariates: []string{"only"}}, `"only" for every detection`},
		{s, Model{Key: HalfNormal, Covariates: []string{"observer", "twin"}}, "say the same"},
		{open, Model{Key: HazardRate}, "finite half-width"},
		{open, Model{Key: HalfNormal, Series: Hermite, Terms: 1}, "finite half-width"},
	} {
		_, err := c.sample.Fit(c.model, 0.95)
		if !errors.Is(err, ErrModel) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: error %v, want %q", c.model, err, c.says)
		}
	}
	if _, err := mustNew(t, Data{Distance: []float64{1, 2}}).Fit(Model{Key: HazardRate}, 0.95); !errors.Is(err, ErrTooFew) {
		t.Errorf("two detections for two parameters: %v", err)
	}
}

// TestDoubts: data that can be fitted, with the warning that they call for.
func TestDoubts(t *testing.T) {
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	hn, hr := Model{Key: HalfNormal}, Model{Key: HazardRate}
	for _, c := range []struct {
		name    string
		data    Data
		model   Model
		code    string
		without string
	}{
		{"stakes", Data{Distance: stakes(t), Right: 31.31}, hn, "", "few-detections heaping beyond-half-width spike-at-zero"},
		{"three detections", Data{Distance: []float64{1, 2, 5}}, hn, FewDetections.Code, NotConverged.Code},
		{"beyond the half-width", Data{Distance: stakes(t), Right: 20}, hn, BeyondHalfWidth.Code, ""},
		{"left out near the line", Data{Distance: stakes(t), Left: 1, Right: 20}, hn, LeftTruncated.Code, ""},
		{"rounded to 5 m", Data{Distance: heaped(stakes(t), 5)}, hn, Heaping.Code, ""},
		{"all rounded to whole metres of ten", Data{Distance: rounded(stakes(t), 1), Right: 10}, hn, Heaping.Code, ""},
		{"feet", Data{Distance: scaled(heaped(scaled(stakes(t), 1/foot), 5), foot), Right: 20}, hn, Heaping.Code, ""},
		{"a third rounded to 0", Data{Distance: zeroed(stakes(t), 3), Right: 20}, hn, SpikeAtZero.Code, ""},
		{"level", Data{Distance: evenly(60, 10), Right: 10}, hn, ScaleAtLimit.Code, NoVariance.Code},
		{"rising", Data{Distance: rising(60, 10), Right: 10}, Model{Key: Uniform, Series: Cosine, Terms: 2}, ShapeHeld.Code, ShapeRises.Code},
		{"rising and free", Data{Distance: rising(60, 10), Right: 10}, Model{Key: Uniform, Series: Cosine, Terms: 2, FreeShape: true}, ShapeRises.Code, ""},
		{"wide", Data{Distance: rising(60, 10), Right: 10}, Model{Key: Uniform, Series: Cosine, Terms: 1, FreeShape: true}, WideStrip.Code, ""},
		{"spike without shoulder", Data{Distance: spiked(80), Right: 100}, hr, ShapeAtLimit.Code, ""},
		{"step", Data{Distance: evenly(60, 5), Right: 10}, hr, ShapeAtLimit.Code, ""},
		{"a ridge with no end", Data{Distance: stakes(t), Right: 20}, Model{Key: HalfNormal, Series: Hermite, Terms: 4}, NotConverged.Code, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := mustFit(t, mustNew(t, c.data), c.model)
			got := " " + codes(f) + " "
			if c.code != "" && !strings.Contains(got, " "+c.code+" ") {
				t.Errorf("warnings %q lack %s; %s, %+v", got, c.code, f.Status, f.Parameters)
			}
			for _, code := range strings.Fields(c.without) {
				if strings.Contains(got, " "+code+" ") {
					t.Errorf("warnings %q have %s", got, code)
				}
			}
			if c.code == NotConverged.Code && !math.IsNaN(f.HalfWidth.SE) {
				t.Error("a standard error without convergence")
			}
		})
	}
}

func mapped(x []float64, f func(i int, v float64) float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = f(i, v)
	}
	return out
}

func heaped(x []float64, step float64) []float64 {
	return mapped(x, func(i int, v float64) float64 {
		if i%3 > 0 {
			return v
		}
		return math.Ceil(v/step) * step
	})
}

func rounded(x []float64, step float64) []float64 {
	return mapped(x, func(_ int, v float64) float64 { return math.Round(v/step) * step })
}

func scaled(x []float64, by float64) []float64 {
	return mapped(x, func(_ int, v float64) float64 { return v * by })
}

func zeroed(x []float64, every int) []float64 {
	return mapped(x, func(i int, v float64) float64 {
		if i%every == 0 {
			return 0
		}
		return v
	})
}

func evenly(n int, w float64) []float64 {
	return mapped(make([]float64, n), func(i int, _ float64) float64 { return w * (float64(i) + 0.5) / float64(n) })
}

// rising are distances whose density grows with distance.
func rising(n int, w float64) []float64 {
	return mapped(evenly(n, 1), func(_ int, v float64) float64 { return w * math.Sqrt(v) })
}

// spiked are distances whose density falls like x^-3/4.
func spiked(n int) []float64 {
	return mapped(evenly(n, 1), func(_ int, v float64) float64 { return 100 * math.Pow(v, 4) })
}

// TestCovariateDoubts: a level whose detections say nothing of its scale, and a
// level with too few.
func TestCovariateDoubts(t *testing.T) {
	near40, level40 := scaled(evenly(40, 1), 3), make([]string, 40)
	for i := range level40 {
		level40[i] = "a"
	}
	with := func(more []float64) Data {
		d := Data{Distance: append(append([]float64(nil), near40...), more...), Right: 10, Covariates: []Covariate{{Name: "observer", Level: append([]string(nil), level40...)}}}
		for range more {
			d.Covariates[0].Level = append(d.Covariates[0].Level, "b")
		}
		return d
	}
	m := Model{Key: HalfNormal, Covariates: []string{"observer"}}
	flat := mustFit(t, mustNew(t, with(rising(30, 10))), m)
	if got := codes(flat); !strings.Contains(got, Separation.Code) {
		t.Errorf("a level that does not thin out: warnings %q, %+v", got, flat.Parameters)
	}
	few := mustFit(t, mustNew(t, with([]float64{1, 2, 4})), m)
	if got := codes(few); !strings.Contains(got, FewAtLevel.Code) {
		t.Errorf("a level with three: warnings %q", got)
	}
}

// TestMisusePanics: what only a programmer can have got wrong.
func TestMisusePanics(t *testing.T) {
	f := mustFit(t, mustNew(t, Data{Distance: stakes(t), Right: 20}), Model{Key: HalfNormal})
	for name, misuse := range map[string]func(){
		"confidence": func() { f.sample.Fit(Model{Key: HalfNormal}, 95) },
		"weights":    func() { f.Refit([]float64{1}) },
		"negative weight": func() {
			f.Refit(mapped(make([]float64, 67), func(i int, _ float64) float64 { return float64(2*(i%2)) - 0.5 }))
		},
		"coefficients": func() { f.OverWidths([]float64{1}) },
		"distance":     func() { f.Curve([]float64{21}, 0.95) },
		"cuts":         func() { f.Histogram([]float64{0, 5, 5}) },
		"one cut":      func() { f.Histogram([]float64{0}) },
		"criterion":    func() { f.sample.Select(nil, "BIC", 0.95) },
	} {
		t.Run(name, func(t *testing.T) {
			defer func() {
				if text, _ := recover().(string); !strings.HasPrefix(text, "detect: ") {
					t.Errorf("panic %q", text)
				}
			}()
			misuse()
		})
	}
}
