package power

import (
	"math"
	"math/rand/v2"
	"testing"

	"ashtally/stats/planning"
	"ashtally/stats/statstest"
)

const unitHa = 0.01

// The number of units per sample for a power of 0.8 is
//
//	n = (z_0.975 sqrt(V0) + z_0.8 sqrt(V1))^2 / (log R)^2
//
// (Zhu & Lakkis 2014, with the mean under the hypothesis common to both). Of means 2
// and 3 and k 1: V0 = 2 (1/2.5 + 1) = 2.8, V1 = 1/2 + 1/3 + 2 = 2.8333, so that
// n = (1.959964 sqrt(2.8) + 0.841621 sqrt(2.8333))^2 / 0.405465^2 = 134.2 (by hand).
func TestTwoSamplesByHand(t *testing.T) {
	power := func(n float64) float64 {
		return TwoSamples(Sample{n, 3, 1}, Sample{n, 2, 1}, 0.05)
	}
	n := math.Pow(1.959963985*math.Sqrt(2.8)+0.8416212336*math.Sqrt(17.0/6), 2) / math.Pow(math.Log(1.5), 2)
	statstest.Near(t, "power", power(n), 0.8, 1e-9)
	if got := UnitsFor(0.8, 1000, power); got != int(math.Ceil(n)) {
		t.Errorf("%d units, want %v", got, math.Ceil(n))
	}
	if got := UnitsFor(0.8, 100, power); got != 0 {
		t.Errorf("%d units where 100 do not suffice", got)
	}
}

// Two Poisson rates of equal exposure, 30 and 60 expected in all: the normal test of
// the log ratio has V1 = 1/30 + 1/60 = 0.05 and V0 = 2/45, and the power is
// Phi((0.693147 - 1.959964 x 0.210819) / 0.223607) = Phi(1.252) = 0.8947 (by hand).
func TestPoissonRates(t *testing.T) {
	inf := math.Inf(1)
	statstest.Near(t, "power", TwoSamples(Sample{10, 6, inf}, Sample{10, 3, inf}, 0.05), 0.8947, 1e-4)
}

// With nothing in common two counts of the same units are two samples of as many
// units, and with all of the clumping in common only Poisson variance is left.
func TestSameUnitsAtItsEnds(t *testing.T) {
	a, b := Sample{40, 3, 0.5}, Sample{40, 2, 0.5}
	statstest.Relative(t, "nothing shared", SameUnits(a, b, 0, 0.05), TwoSamples(a, b, 0.05), 1e-12)
	inf := math.Inf(1)
	poisson := TwoSamples(Sample{40, 3, inf}, Sample{40, 2, inf}, 0.05)
	statstest.Relative(t, "all shared", SameUnits(a, b, 1, 0.05), poisson, 1e-12)
}

func twoSets(k float64, units int) Scenario {
	return Scenario{
		Known: planning.Known{{PerHa: 400, K: k, UnitHa: unitHa}}, LandHa: []float64{1e4},
		Ratio: 2, UnitHa: unitHa, Second: []int{units}, First: []int{units},
	}
}

// With many units the simulated power is that of the formula: within two standard
// errors of the surveys and 0.03 for the formula's approximation.
func TestSimulatedPowerIsThatOfTheFormula(t *testing.T) {
	if testing.Short() {
		t.Skip("thousands of surveys")
	}
	two := twoSets(1, 60)
	two.Ratio = 1.6
	for _, c := range []struct {
		name    string
		s       Scenario
		surveys int
		want    float64
	}{
		{"two sets", two, 2000, TwoSamples(Sample{60, 6.4, 1}, Sample{60, 4, 1}, 0.05)},
		{"same units", sameUnits(4, 60, 0.5), 500, SameUnits(Sample{60, 6, 4}, Sample{60, 4, 4}, 0.5, 0.05)},
	} {
		for _, p := range Simulate(c.s, Options{Seed: 3, Surveys: c.surveys}).Powers {
			statstest.Near(t, c.name+", "+string(p.Test), p.Power, c.want, 2*p.SE+0.03)
		}
	}
}

func sameUnits(k float64, units int, shared float64) Scenario {
	s := twoSets(k, units)
	s.First, s.Ratio, s.Shared = nil, 1.5, shared
	return s
}

// The power stated from 400 surveys is that of 2,000 others, within two standard
// errors of their difference, where no formula holds: few units and strong clumping.
func TestStatedPowerIsThatOfOtherSurveys(t *testing.T) {
	if testing.Short() {
		t.Skip("thousands of surveys")
	}
	for _, s := range []Scenario{twoSets(0.3, 12), sameUnits(0.3, 15, 0.7)} {
		stated, other := Simulate(s, Options{Seed: 1}), Simulate(s, Options{Seed: 1 << 40, Surveys: 2000})
		for i, p := range stated.Powers {
			q := other.Powers[i]
			statstest.Near(t, string(p.Test), p.Power, q.Power, 2*math.Hypot(p.SE, q.SE))
		}
	}
}

// Of equal densities a test rejects with its level.
func TestLevel(t *testing.T) {
	s := twoSets(0.8, 12)
	s.Ratio = 1
	for _, p := range Simulate(s, Options{Seed: 5, Surveys: 600}).Powers {
		if p.Power > 0.05+3*math.Sqrt(0.05*0.95/600) {
			t.Errorf("%s rejects equal densities with %v", p.Test, p.Power)
		}
	}
}

// Two counts of a unit have the variance of the model and the covariance
// mu_1 mu_2 s/k: 4 x 4 x 0.5/0.8 = 10.
func TestSharedClumping(t *testing.T) {
	s := sameUnits(0.8, 40000, 0.5)
	s.Ratio = 1
	c := s.survey(rand.New(rand.NewPCG(2, 2)))[0]
	var product, square float64
	for i := range c.first {
		product += (c.first[i] - 4) * (c.second[i] - 4)
		square += (c.first[i] - 4) * (c.first[i] - 4)
	}
	n := float64(len(c.first))
	statstest.Relative(t, "variance", square/n, 4+16/0.8, 0.08)
	statstest.Relative(t, "covariance", product/n, 10, 0.15)
}

func TestDetectable(t *testing.T) {
	table := Table{Ratios: []float64{1, 2, 4}, Results: [][]Result{{
		{Powers: []Power{{Test: Labels, Power: 0.05}}},
		{Powers: []Power{{Test: Labels, Power: 0.6}}},
		{Powers: []Power{{Test: Labels, Power: 1}}},
	}}}
	statstest.Near(t, "ratio", table.Detectable(0, Labels, 0.8), math.Pow(2, 1.5), 1e-12)
	if r := table.Detectable(0, Ratio, 0.8); !math.IsNaN(r) {
		t.Errorf("ratio %v of a test that was not made", r)
	}
}

// More units, and a larger ratio, have more power.
func TestSimulatedTableGrows(t *testing.T) {
	table := Simulated(twoSets(0.8, 10), []float64{1, 3}, []float64{1.5, 3}, Options{Seed: 1, Surveys: 150})
	p := func(row, col int) float64 { return table.Results[row][col].of(Labels) }
	if !(p(0, 0) < p(0, 1) && p(0, 0) < p(1, 0) && p(1, 0) < p(1, 1)) {
		t.Errorf("powers %v %v %v %v", p(0, 0), p(0, 1), p(1, 0), p(1, 1))
	}
	if r := table.Results[1][0]; r.Units != 60 || r.Finds != 30*4*2.5 {
		t.Errorf("%d units with %v finds", r.Units, r.Finds)
	}
}

func TestPanics(t *testing.T) {
	statstest.Panics(t, map[string]func(){
		"no ratio":   func() { Simulate(Scenario{UnitHa: 1}, Options{}) },
		"bad level":  func() { Simulate(twoSets(1, 5), Options{Level: 2}) },
		"no strata":  func() { s := twoSets(1, 5); s.LandHa = nil; Simulate(s, Options{}) },
		"other test": func() { twoSets(1, 5).p(nil, "by eye", 1) },
	})
}
