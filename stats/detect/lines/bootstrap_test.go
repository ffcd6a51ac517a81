package lines

import (
	"math"
	"runtime"
	"slices"
	"testing"

	"ashtally/stats/detect"
)

// surveyed is one draw of the named world with its fits.
func surveyed(t testing.TB, name string, seed uint64) (Survey, []*detect.Fit) {
	t.Helper()
	for _, w := range worlds() {
		if w.name == name {
			s, d := w.draw(newRand(seed))
			return s, w.fits(d)
		}
	}
	t.Fatalf("no world %q", name)
	return Survey{}, nil
}

func bootstrapped(t testing.TB, s Survey, fits []*detect.Fit, o Resampling) Bootstrapped {
	t.Helper()
	b, err := s.Bootstrap(fits, o)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// TestSameDigitsOnOneCoreOrMany, and another seed gives others.
func TestSameDigitsOnOneCoreOrMany(t *testing.T) {
	s, fits := surveyed(t, "hazard-rate, chosen by AIC", 3)
	fits = fits[:3]
	o := Resampling{Replicates: 40, Seed: 9}
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	one := bootstrapped(t, s, fits, o)
	runtime.GOMAXPROCS(4)
	many := bootstrapped(t, s, fits, o)
	if !slices.Equal(one.Replicates, many.Replicates) || one.Density.Lower != many.Density.Lower {
		t.Error("replicates differ with the number of cores")
	}
	o.Seed = 10
	if other := bootstrapped(t, s, fits, o); slices.Equal(one.Replicates, other.Replicates) {
		t.Error("another seed gives the same replicates")
	}
}

// TestBootstrapAgreesWithDelta on a quiet survey: the same figure, and a
// spread within a fifth.
func TestBootstrapAgreesWithDelta(t *testing.T) {
	s, fits := surveyed(t, "half-normal", 1)
	r := estimated(t, s, fits[0], Options{})
	b := bootstrapped(t, s, fits, Resampling{Replicates: 999, Seed: 2})
	near(t, "density", b.Density.Value, r.Density.Value, 1e-9)
	near(t, "averaged over one", b.Averaged, r.Density.Value, 1e-9)
	near(t, "se", b.Density.SE/r.Density.SE, 1, 0.2)
	if !(b.Density.Lower < b.Density.Value && b.Density.Value < b.Density.Upper) || b.Selected[0] != 999 || b.Failed != 0 {
		t.Errorf("%+v, selected %v, failed %d", b.Density, b.Selected, b.Failed)
	}
	bca := bootstrapped(t, s, fits, Resampling{Replicates: 999, Seed: 2, Limits: BCa})
	if bca.Density.Method != "bootstrap-bca" || !(bca.Density.Lower < r.Density.Value && r.Density.Value < bca.Density.Upper) || bca.Density.Lower == b.Density.Lower {
		t.Errorf("%+v", bca.Density)
	}
}

// TestBootstrapOfALayout: the encounter rate has the variance that is asked for,
// and the replicates add what the delta method does for a single function.
func TestBootstrapOfALayout(t *testing.T) {
	s, fits := surveyed(t, "half-normal", 1)
	cvs := map[string]float64{}
	for _, form := range []string{"random", "successive-differences", "neighbour-pairs"} {
		o := Options{Systematic: form}
		r := estimated(t, s, fits[0], o)
		b := bootstrapped(t, s, fits, Resampling{Options: o, Replicates: 999, Seed: 2})
		near(t, form+" beside the delta method", b.Density.SE/r.Density.SE, 1, 0.05)
		cvs[form] = b.Density.CV()
	}
	if cvs["random"] == cvs["successive-differences"] || cvs["successive-differences"] == cvs["neighbour-pairs"] {
		t.Errorf("the variance asked for changes nothing: %v", cvs)
	}
}

// TestReadings: one replay read both ways is what two would be.
func TestReadings(t *testing.T) {
	s, fits := surveyed(t, "half-normal, chosen by AIC", 4)
	o := Resampling{Replicates: 60, Seed: 1}
	replay := replayed(t, s, fits, o)
	o.Averaged, o.Limits = true, Percentile
	want := bootstrapped(t, s, fits, o)
	got, err := replay.Read(true, Percentile).Density()
	if err != nil || !slices.Equal(got.Replicates, want.Replicates) || got.Density.Interval != want.Density.Interval && got.Density.Lower != want.Density.Lower {
		t.Errorf("read as averaged %+v, averaged %+v, %v", got.Density, want.Density, err)
	}
	if best, err := replay.Density(); err != nil || slices.Equal(best.Replicates, got.Replicates) {
		t.Errorf("the best and the mean are the same (%v)", err)
	}
	defer func() {
		if recover() == nil {
			t.Error("limits that need other draws: no panic")
		}
	}()
	replay.Read(false, BCa)
}

// TestReselection: models are chosen anew, the counts add up, and the average
// lies among the densities of the models.
func TestReselection(t *testing.T) {
	s, fits := surveyed(t, "half-normal, chosen by AIC", 4)
	b := bootstrapped(t, s, fits, Resampling{Replicates: 60, Seed: 1})
	if delta := estimated(t, s, fits[0], Options{}); has(b.Density.Warnings, detect.ModelChosen) || !has(delta.Density.Warnings, detect.ModelChosen) {
		t.Errorf("the choice is carried, but warnings are %+v; without, %+v", b.Density.Warnings, delta.Density.Warnings)
	}
	sum, models := b.Failed, 0
	for _, n := range b.Selected {
		sum += n
		if n > 0 {
			models++
		}
	}
	if sum != 60 || models < 2 {
		t.Errorf("selected %v, failed %d", b.Selected, b.Failed)
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, f := range fits {
		v := estimated(t, s, f, Options{}).Density.Value
		low, high = min(low, v), max(high, v)
	}
	if !(b.Averaged > low && b.Averaged < high) {
		t.Errorf("average %g of densities from %g to %g", b.Averaged, low, high)
	}
}

// TestStrataAndSizesInTheBootstrap: the land is the weighted sum of its strata
// in every replicate, and sizes and g(0) multiply.
func TestStrataAndSizesInTheBootstrap(t *testing.T) {
	s, d := small()
	s.Strata = append(s.Strata, Stratum{Name: "ravine", AreaHa: 20}) // not walked
	f := fitted(t, d, hn)
	plain := bootstrapped(t, s, []*detect.Fit{f}, Resampling{Replicates: 50})
	near(t, "land", plain.Density.Value, 0.25*plain.Strata[0].Value+0.75*plain.Strata[1].Value, 1e-9)
	if !math.IsNaN(plain.Strata[2].Value) || !has(plain.Density.Warnings, NotSearched) {
		t.Errorf("not walked: %+v", plain.Strata[2])
	}
	s.Size = make([]float64, len(s.On))
	for i := range s.Size {
		s.Size[i] = 3
	}
	o := Resampling{Replicates: 50}
	o.OnLine.Value = 0.5
	triple := bootstrapped(t, s, []*detect.Fit{f}, o)
	for i, v := range triple.Replicates {
		if math.IsNaN(v) && math.IsNaN(plain.Replicates[i]) {
			continue
		}
		near(t, "replicate", v, 6*plain.Replicates[i], 1e-9*v)
	}
}

// TestProgress counts every replicate, ascending.
func TestProgress(t *testing.T) {
	s, d := small()
	last := 0
	bootstrapped(t, s, []*detect.Fit{fitted(t, d, hn)}, Resampling{Replicates: 30, Progress: func(done int) {
		if done != last+1 {
			t.Errorf("%d after %d", done, last)
		}
		last = done
	}})
	if last != 30 {
		t.Errorf("%d of 30", last)
	}
}

// TestRefitsThatFail: with all finds on two of many lines, some replicates
// draw too few to fit.
func TestRefitsThatFail(t *testing.T) {
	s := Survey{Strata: []Stratum{{Name: "all"}}, On: []int{0, 0, 1, 1}}
	for range 12 {
		s.Transects = append(s.Transects, Transect{Length: 100})
	}
	f := fitted(t, detect.Data{Distance: []float64{1, 2, 3, 5}}, hn)
	b := bootstrapped(t, s, []*detect.Fit{f}, Resampling{Replicates: 200})
	if b.Failed == 0 || !has(b.Density.Warnings, FailedRefits) || !has(b.Density.Warnings, OnLineAssumed) {
		t.Errorf("%d failed, %+v", b.Failed, b.Density.Warnings)
	}
	few := bootstrapped(t, s, []*detect.Fit{f}, Resampling{Replicates: 9, Limits: Percentile})
	if !has(few.Density.Warnings, FewReplicates) {
		t.Errorf("%+v", few.Density.Warnings)
	}
}

func TestBootstrapMisusePanics(t *testing.T) {
	s, d := small()
	f, other := fitted(t, d, hn), fitted(t, d, hn)
	for name, fits := range map[string][]*detect.Fit{"no fit": nil, "two samples": {f, other}} {
		t.Run(name, func(t *testing.T) {
			defer func() {
				if recover() == nil {
					t.Error("no panic")
				}
			}()
			s.Bootstrap(fits, Resampling{Replicates: 1})
		})
	}
}

// BenchmarkBootstrap is 2000 refits of about 500 detections on 40 lines.
func BenchmarkBootstrap(b *testing.B) {
	for _, m := range []detect.Model{hn, hr, {Key: detect.HalfNormal, Series: detect.Cosine, Terms: 1}, {Key: detect.HalfNormal, Covariates: []string{"observer"}}} {
		b.Run(m.String(), func(b *testing.B) {
			w := world{lines: 40, width: 20, density: 19.5, seen: halfNormal(7)}
			s, d := w.draw(newRand(1))
			sample, err := detect.New(d)
			if err != nil {
				b.Fatal(err)
			}
			f, err := sample.Fit(m, 0.95)
			if err != nil {
				b.Fatal(err)
			}
			for b.Loop() {
				bootstrapped(b, s, []*detect.Fit{f}, Resampling{Replicates: 2000})
			}
			b.ReportMetric(float64(f.N), "detections")
		})
	}
}

func worldNamed(t testing.TB, name string) world {
	t.Helper()
	for _, w := range worlds() {
		if w.name == name {
			return w
		}
	}
	t.Fatalf("no world %q", name)
	return world{}
}
