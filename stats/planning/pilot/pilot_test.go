package pilot

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"ashtally/stats/planning"
	"ashtally/stats/statstest"
)

const unitHa = 0.01

// made is a pilot of a population: n units with areas in turn.
func made(r *rand.Rand, p planning.Population, n int, areas ...float64) Stratum {
	var s Stratum
	for i := range n {
		a := areas[i%len(areas)]
		s.AreaHa, s.Count = append(s.AreaHa, a), append(s.Count, p.Count(r, a))
	}
	return s
}

// The red mites on 150 apple leaves of Bliss & Fisher (1953, Biometrics 9: 176-200):
// k 1.0246 by maximum likelihood, standard error 0.276, mean 1.1467. So many leaves
// leave the prior little to say, and the limits of 0.8 are 1.28 standard errors of
// log k away.
func TestMites(t *testing.T) {
	var s Stratum
	for count, n := range []int{70, 38, 17, 10, 9, 3, 2, 1} {
		for range n {
			s.AreaHa, s.Count = append(s.AreaHa, 1), append(s.Count, float64(count))
		}
	}
	p := Fit([]Stratum{s}, Prior{})
	got := p.Strata[0]
	statstest.Relative(t, "mean", got.PerHa.Median, 1.1467, 0.02)
	statstest.Relative(t, "k", got.K.Median, 1.0246, 0.06)
	statstest.Relative(t, "k upper over lower", math.Log(got.K.Upper/got.K.Lower), 2*1.2816*0.2759/1.0246, 0.1)
	if len(p.Warnings) != 0 || p.ScalingKnown {
		t.Errorf("%+v", p)
	}
}

// The posterior of a small pilot is that of draws from the prior weighed by a
// likelihood written out here.
func TestPosteriorByImportance(t *testing.T) {
	counts := [][]float64{{0, 0, 3, 1, 0, 9}, {2, 0, 0, 1}}
	strata := make([]Stratum, 2)
	var finds, area float64
	for h, c := range counts {
		strata[h].Count = c
		for _, y := range c {
			strata[h].AreaHa = append(strata[h].AreaHa, unitHa)
			finds, area = finds+y, area+unitHa
		}
	}
	r := rand.New(rand.NewPCG(8, 8))
	var k, density []weighed
	for range 200000 {
		kappa := math.Log(Default.K) + Default.SDLogK*r.NormFloat64()
		logLik, first := 0.0, [2]float64{}
		for h, c := range counts {
			own := math.Exp(kappa + Default.SDStrata*r.NormFloat64())
			d := finds / area * math.Exp(Default.SDLogD*r.NormFloat64())
			if h == 0 {
				first = [2]float64{own, d}
			}
			for _, y := range c {
				logLik += logPMF(y, d*unitHa, own)
			}
		}
		k, density = append(k, weighed{first[0], math.Exp(logLik)}), append(density, weighed{first[1], math.Exp(logLik)})
	}
	p := Fit(strata, Prior{}).Strata[0]
	for _, c := range []struct {
		name   string
		got, w float64
	}{
		{"k lower", p.K.Lower, quantile(k, 0.1)}, {"k", p.K.Median, quantile(k, 0.5)}, {"k upper", p.K.Upper, quantile(k, 0.9)},
		{"density lower", p.PerHa.Lower, quantile(density, 0.1)}, {"density", p.PerHa.Median, quantile(density, 0.5)},
		{"density upper", p.PerHa.Upper, quantile(density, 0.9)},
	} {
		statstest.Relative(t, c.name, c.got, c.w, 0.08)
	}
}

type weighed struct{ value, weight float64 }

func quantile(v []weighed, share float64) float64 {
	slices.SortFunc(v, func(a, b weighed) int {
		if a.value < b.value {
			return -1
		}
		return 1
	})
	var sum, under float64
	for _, w := range v {
		sum += w.weight
	}
	for _, w := range v {
		if under += w.weight; under >= share*sum {
			return w.value
		}
	}
	return math.NaN()
}

func logPMF(y, mean, k float64) float64 {
	a, _ := math.Lgamma(y + k)
	b, _ := math.Lgamma(k)
	c, _ := math.Lgamma(y + 1)
	return a - b - c + y*math.Log(mean/(mean+k)) + k*math.Log(k/(mean+k))
}

// A large pilot with units of three areas estimates the power of the area.
func TestLargePilotsEstimateTheScaling(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	for _, b := range []float64{0, 1} {
		scaled := planning.Population{PerHa: 500, K: 0.5, UnitHa: unitHa, Scaling: b}
		p := Fit([]Stratum{made(r, scaled, 150, unitHa/4, unitHa, 4*unitHa)}, Prior{})
		if s := p.Scaling; !p.ScalingKnown || math.Abs(s.Median-b) > 0.3 {
			t.Errorf("power of the area %+v, true %v", s, b)
		}
	}
}

// Truths drawn from the prior lie within the ranges of 0.8 four times in five: in 80
// pilots of two strata 0.8 has a standard error of 0.03.
func TestRangesHoldTheTruth(t *testing.T) {
	if testing.Short() {
		t.Skip("many pilots")
	}
	const pilots = 80
	var k, density float64
	for i := range uint64(pilots) {
		r := rand.New(rand.NewPCG(6, i))
		kappa := math.Log(Default.K) + Default.SDLogK*r.NormFloat64()
		var strata []Stratum
		var truth []planning.Population
		for range 2 {
			p := planning.Population{PerHa: 300 * math.Exp(r.NormFloat64()), K: math.Exp(kappa + Default.SDStrata*r.NormFloat64()), UnitHa: unitHa}
			truth, strata = append(truth, p), append(strata, made(r, p, 12, unitHa))
		}
		p := Fit(strata, Prior{})
		if p.None != nil {
			continue
		}
		for h, s := range p.Strata {
			k += in(s.K, truth[h].K) / (2 * pilots)
			density += in(s.PerHa, truth[h].PerHa) / (2 * pilots)
		}
	}
	statstest.Near(t, "k within its range", k, 0.8, 0.1)
	statstest.Near(t, "density within its range", density, 0.8, 0.1)
}

func in(r Range, v float64) float64 {
	if r.Lower <= v && v <= r.Upper {
		return 1
	}
	return 0
}

func TestRefusals(t *testing.T) {
	if p := Fit([]Stratum{{}, {}}, Prior{}); p.Reason() == nil || p.Reason().Type != planning.PilotWithoutUnits {
		t.Errorf("without units: %v", p.Reason())
	}
	p := Fit([]Stratum{{AreaHa: []float64{0.1, 0.1}, Count: []float64{0, 0}}}, Prior{})
	if p.Reason() == nil || p.Reason().Type != planning.PilotWithoutFinds {
		t.Fatalf("without finds: %v", p.Reason())
	}
	// -log(0.1) / 0.2 ha
	if want := "2 units of 0.2 ha were searched and nothing was found, which gives no information on aggregation; if finds came singly, there are fewer than 12 per ha (chance 0.9)"; p.Reason().Text != want {
		t.Errorf("%s", p.Reason().Text)
	}
}

func TestStratumWithoutPilotIsWide(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	p := Fit([]Stratum{made(r, planning.Population{PerHa: 400, K: 0.6, UnitHa: unitHa}, 30, unitHa), {Name: "far"}}, Prior{})
	known, far := p.Strata[0], p.Strata[1]
	if far.PerHa.Upper/far.PerHa.Lower < 50 || far.K.Upper/far.K.Lower < 1.3*known.K.Upper/known.K.Lower {
		t.Errorf("known %+v, far %+v", known, far)
	}
	statstest.Relative(t, "density in the middle", math.Log(far.PerHa.Median), math.Log(known.PerHa.Median), 0.1)
	if !planning.StratumWithoutPilot.In(far.Warnings) || len(known.Warnings) != 0 {
		t.Errorf("%v %v", known.Warnings, far.Warnings)
	}
}

func TestLimitations(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 3))
	p := Fit([]Stratum{made(r, planning.Population{PerHa: 400, K: 0.6, UnitHa: unitHa}, 30, unitHa),
		{AreaHa: []float64{unitHa}, Count: []float64{3}}, {AreaHa: []float64{unitHa, unitHa}, Count: []float64{0, 0}}}, Prior{})
	if at := p.Limitations(unitHa); len(at) != 2 || planning.ScalingAssumed.In(at) {
		t.Errorf("same units: %v", at)
	}
	if at := p.Limitations(4 * unitHa); !planning.ScalingAssumed.In(at) {
		t.Errorf("larger units: %v", at)
	}
	small := Fit([]Stratum{{AreaHa: []float64{unitHa, unitHa}, Count: []float64{3, 1}}}, Prior{})
	if !planning.SmallPilot.In(small.Warnings) {
		t.Errorf("small: %v", small.Warnings)
	}
}

// The order of units does not matter.
func TestOrderDoesNotMatter(t *testing.T) {
	s := made(rand.New(rand.NewPCG(2, 5)), planning.Population{PerHa: 400, K: 0.6, UnitHa: unitHa}, 18, unitHa, 2*unitHa)
	other := Stratum{AreaHa: slices.Clone(s.AreaHa), Count: slices.Clone(s.Count)}
	slices.Reverse(other.AreaHa)
	slices.Reverse(other.Count)
	a, b := Fit([]Stratum{s}, Prior{}), Fit([]Stratum{other}, Prior{})
	statstest.Relative(t, "k", a.Strata[0].K.Median, b.Strata[0].K.Median, 1e-9)
	statstest.Relative(t, "density", a.Strata[0].PerHa.Upper, b.Strata[0].PerHa.Upper, 1e-9)
}

func TestPanics(t *testing.T) {
	one := []float64{1}
	statstest.Panics(t, map[string]func(){
		"lengths":         func() { Fit([]Stratum{{AreaHa: one}}, Prior{}) },
		"no area":         func() { Fit([]Stratum{{AreaHa: []float64{0}, Count: one}}, Prior{}) },
		"count not whole": func() { Fit([]Stratum{{AreaHa: one, Count: []float64{1.5}}}, Prior{}) },
		"negative prior":  func() { Fit(nil, Prior{K: -1}) },
		"drawn from none": func() { Fit(nil, Prior{}).Draw(rand.New(rand.NewPCG(1, 1))) },
	})
}
