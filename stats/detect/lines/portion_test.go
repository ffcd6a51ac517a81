package lines

import (
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"ashtally/stats/detect"
)

// everywhere is the places of all transects of a survey.
func everywhere(s Survey) []int {
	from := make([]int, len(s.Transects))
	for i := range from {
		from[i] = i
	}
	return from
}

func replayed(t testing.TB, s Survey, fits []*detect.Fit, o Resampling) *Replay {
	t.Helper()
	r, err := s.Replay(fits, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func portioned(t testing.TB, r *Replay, part Survey, from []int, counted []float64) Counting {
	t.Helper()
	p, err := r.Portion(part, from)
	if err != nil {
		t.Fatal(err)
	}
	c, err := p.Counted(counted)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// TestPortionOfAllIsTheBootstrap: all detections, each of one object, on all
// lines are what Bootstrap estimates.
func TestPortionOfAllIsTheBootstrap(t *testing.T) {
	s, fits := surveyed(t, "half-normal, chosen by AIC", 4)
	for _, o := range []Resampling{{Replicates: 99, Seed: 3}, {Replicates: 99, Seed: 3, Averaged: true}, {Replicates: 99, Seed: 3, Limits: BCa}} {
		b := bootstrapped(t, s, fits, o)
		c := portioned(t, replayed(t, s, fits, o), s, everywhere(s), ones(len(s.On)))
		near(t, "density", c.Density.Value, b.Density.Value, 1e-9)
		near(t, "se", c.Density.SE, b.Density.SE, 1e-9)
		near(t, "lower", c.Density.Lower, b.Density.Lower, 1e-9)
		near(t, "upper", c.Density.Upper, b.Density.Upper, 1e-9)
		if c.Density.Method != b.Density.Method || c.Density.DF != b.Density.DF && o.Limits != BCa {
			t.Errorf("%v and %v", c.Density, b.Density)
		}
	}
}

// TestReplicateByHand: lines drawn are a survey of their own, each as often as
// it was drawn, whose fit and density are those of the replicate.
func TestReplicateByHand(t *testing.T) {
	s, fits := surveyed(t, "covariate", 5)
	r := replayed(t, s, fits[:1], Resampling{Replicates: 9, Seed: 8})
	kind := make([]float64, len(s.On))
	for i := range kind {
		kind[i] = float64(i % 3)
	}
	p, err := r.Portion(s, everywhere(s))
	if err != nil {
		t.Fatal(err)
	}
	w := worldNamed(t, "covariate")
	_, data := w.draw(newRand(5))
	for i, d := range r.draws {
		var again Survey
		again.Strata = s.Strata
		var drawn detect.Data
		drawn.Right, drawn.Covariates = data.Right, []detect.Covariate{{Name: "observer"}}
		var counted []float64
		for at, piece := range r.of {
			for range int(d.times[piece]) {
				for j, on := range s.On {
					if on == at {
						again.On = append(again.On, len(again.Transects))
						drawn.Distance = append(drawn.Distance, data.Distance[j])
						drawn.Covariates[0].Level = append(drawn.Covariates[0].Level, data.Covariates[0].Level[j])
						counted = append(counted, kind[j])
					}
				}
				again.Transects = append(again.Transects, s.Transects[at])
			}
		}
		f := fitted(t, drawn, detect.Model{Key: detect.HalfNormal, Covariates: []string{"observer"}})
		c, err := again.Counted(f, counted, Options{})
		if err != nil {
			t.Fatal(err)
		}
		value, _ := p.density(d, p.effort[i], p.finds(kind), r.reading(r.asIs).inverse)
		near(t, "replicate", value, c.Density.Value, 1e-6*c.Density.Value)
	}
}

// TestPortionsAddUp: kinds that make up a whole, and strata that make up the
// land, do so in every replicate and so in the figures.
func TestPortionsAddUp(t *testing.T) {
	w := worldNamed(t, "half-normal")
	s, d := w.draw(newRand(6))
	s.Strata = []Stratum{{Name: "near", AreaHa: 10}, {Name: "far", AreaHa: 30}}
	for i := range s.Transects {
		s.Transects[i].Stratum = i % 2
	}
	r := replayed(t, s, w.fits(d), Resampling{Replicates: 50, Seed: 2})
	var kinds [2][]float64
	for k := range kinds {
		kinds[k] = make([]float64, len(s.On))
		for i := range s.On {
			if i%2 == k {
				kinds[k][i] = 1
			}
		}
	}
	all := portioned(t, r, s, everywhere(s), ones(len(s.On)))
	a, b := portioned(t, r, s, everywhere(s), kinds[0]), portioned(t, r, s, everywhere(s), kinds[1])
	near(t, "kinds", a.Density.Value+b.Density.Value, all.Density.Value, 1e-9)
	var land float64
	for h, weight := range []float64{0.25, 0.75} {
		part := Survey{Strata: s.Strata[h : h+1], On: make([]int, len(s.On))}
		var from []int
		place := map[int]int{}
		for i, transect := range s.Transects {
			if transect.Stratum == h {
				place[i] = len(from)
				from = append(from, i)
				transect.Stratum = 0
				part.Transects = append(part.Transects, transect)
			}
		}
		counted := make([]float64, len(s.On))
		for i, on := range s.On {
			if at, here := place[on]; here {
				part.On[i], counted[i] = at, 1
			}
		}
		c := portioned(t, r, part, from, counted)
		if !(c.Density.Lower < c.Density.Value && c.Density.Value < c.Density.Upper) {
			t.Errorf("stratum %d: %+v", h, c.Density)
		}
		land += weight * c.Density.Value
	}
	near(t, "strata", land, all.Density.Value, 1e-9)
}

// TestPortionWithoutFinds keeps the exact Poisson limit.
func TestPortionWithoutFinds(t *testing.T) {
	s, fits := surveyed(t, "half-normal", 7)
	r := replayed(t, s, fits, Resampling{Replicates: 19})
	none := make([]float64, len(s.On))
	c := portioned(t, r, s, everywhere(s), none)
	want, err := s.Counted(fits[0], none, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if c.Density.Upper != want.Density.Upper || c.Density.Value != 0 || c.Density.Method != "poisson" {
		t.Errorf("%+v, want %+v", c.Density, want.Density)
	}
}

// TestPortionOnOneCoreOrMany gives the same digits.
func TestPortionOnOneCoreOrMany(t *testing.T) {
	s, fits := surveyed(t, "hazard-rate, chosen by AIC", 3)
	o := Resampling{Replicates: 40, Seed: 9, Averaged: true}
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	one := portioned(t, replayed(t, s, fits, o), s, everywhere(s), ones(len(s.On)))
	runtime.GOMAXPROCS(4)
	many := portioned(t, replayed(t, s, fits, o), s, everywhere(s), ones(len(s.On)))
	if one.Density.Lower != many.Density.Lower || one.Density.SE != many.Density.SE {
		t.Errorf("%v on one core, %v on four", one.Density, many.Density)
	}
}

// TestVarianceOfShortDraws: with everything found, the density is a ratio of
// sums, whose bootstrap variance is that of density.Random when m - 1 of m lines are drawn,
// and (m-1)/m of it when m are.
func TestVarianceOfShortDraws(t *testing.T) {
	s := Survey{Strata: []Stratum{{Name: "all"}}}
	d := detect.Data{Right: 10}
	r := rand.New(rand.NewPCG(1, 2))
	for k, n := range []int{12, 9, 14, 11, 8, 13} {
		s.Transects = append(s.Transects, Transect{Length: 100})
		for range n {
			s.On = append(s.On, k)
			d.Distance = append(d.Distance, 10*r.Float64())
		}
	}
	f := fitted(t, d, detect.Model{Key: detect.Uniform})
	delta, b := estimated(t, s, f, Options{}), bootstrapped(t, s, []*detect.Fit{f}, Resampling{Replicates: 20000, Seed: 1})
	near(t, "se over se", b.Density.SE/delta.Density.SE, 1, 0.02) // 1/6 more variance would be 1.08
	if math.IsNaN(b.Density.Lower) {
		t.Errorf("%+v", b.Density)
	}
}
