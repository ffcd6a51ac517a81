package allocation

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"ashtally/stats/statstest"
)

// farms is agricultural land of counties in four regions (Lohr, Sampling: Design and
// Analysis; the variances from memory, the standard error as printed).
func farms() ([]Stratum, []int) {
	return []Stratum{
		{LandHa: 220, SD: math.Sqrt(7647472708), Units: 220},
		{LandHa: 1054, SD: math.Sqrt(29618183543), Units: 1054},
		{LandHa: 1382, SD: math.Sqrt(53587487856), Units: 1382},
		{LandHa: 422, SD: math.Sqrt(396185950266), Units: 422},
	}, []int{21, 103, 135, 41}
}

func TestVarianceOfFarms(t *testing.T) {
	strata, n := farms()
	statstest.Near(t, "standard error of the mean", math.Sqrt(Variance(strata, n)), 16379.8727, 1e-3)
}

// Neyman's division of 300 counties, recomputed from the same figures.
func TestNeymanOfFarms(t *testing.T) {
	strata, _ := farms()
	a := Of(strata, Neyman, 300, 2)
	for h, want := range []float64{7.34151643, 69.21878109, 122.07981669, 101.35988579} {
		statstest.Near(t, "exact", a.Exact[h], want, 1e-6)
	}
	if want := []int{7, 69, 122, 102}; !slices.Equal(a.Units, want) {
		// 101.36 is rounded up and none down to 68.7: no other whole numbers do better.
		t.Errorf("units %v", a.Units)
	}
	if sum(a.Units) != 300 {
		t.Errorf("%v do not add up to 300", a.Units)
	}
}

// Ringed-seal holes in strata of pack ice (Lohr): N S and its shares as printed.
func TestNeymanOfSealHoles(t *testing.T) {
	strata := []Stratum{{LandHa: 68, SD: 1.821}, {LandHa: 84, SD: 3.397}, {LandHa: 48, SD: 6.788}}
	for h, want := range []float64{0.168, 0.388, 0.443} {
		statstest.Near(t, "share", Shares(strata, Neyman)[h], want, 6e-4)
	}
	n := []int{17, 12, 11}
	for h := range strata {
		strata[h].Units = []int{68, 84, 48}[h]
	}
	statstest.Near(t, "standard error", math.Sqrt(Variance(strata, n)), 0.5901, 1e-3)
}

// 64 large cities in two strata (Cochran 1977, section 5.7, from memory): variances of
// the total and Neyman's division.
func TestCities(t *testing.T) {
	strata := []Stratum{{LandHa: 16, SD: math.Sqrt(53843), Units: 16}, {LandHa: 48, SD: math.Sqrt(5581), Units: 48}}
	total := func(n ...int) float64 { return 64 * 64 * Variance(strata, n) }
	statstest.Relative(t, "proportional", total(6, 18), 1882293.33, 1e-8)
	statstest.Relative(t, "equal", total(12, 12), 1090826.67, 1e-8)
	a := Of(strata, Neyman, 24, 2)
	statstest.Near(t, "Neyman of the first", a.Exact[0], 12.2084, 1e-4)
	if !slices.Equal(a.Units, []int{12, 12}) {
		t.Errorf("Neyman %v", a.Units)
	}
	if p := Of(strata, Proportional, 24, 2); !slices.Equal(p.Units, []int{6, 18}) {
		t.Errorf("proportional %v", p.Units)
	}
}

func sum(units []int) int {
	n := 0
	for _, u := range units {
		n += u
	}
	return n
}

func made(r *rand.Rand) []Stratum {
	strata := make([]Stratum, 3)
	for h := range strata {
		strata[h] = Stratum{LandHa: 1 + 9*r.Float64(), SD: 10 * r.Float64(), Cost: 1 + 4*r.Float64()}
		if r.IntN(2) == 0 {
			strata[h].Units = 3 + r.IntN(8)
		}
	}
	return strata
}

// every calls f with every division within the bounds of up to 25 units in all.
func every(strata []Stratum, least int, f func(units []int)) {
	most := func(h int) int {
		if strata[h].Units > 0 {
			return strata[h].Units
		}
		return 25
	}
	for a := least; a <= most(0); a++ {
		for b := least; b <= most(1); b++ {
			for c := least; c <= most(2) && a+b+c <= 25; c++ {
				f([]int{a, b, c})
			}
		}
	}
}

// No whole numbers of the same sum have a smaller variance than Neyman's, and none of
// the same cost or less a smaller one than the cost-optimal.
func TestWholeNumbersAreTheBest(t *testing.T) {
	for i := range uint64(30) {
		strata := made(rand.New(rand.NewPCG(5, i)))
		n := min(20, NewSequence(strata, Neyman, 2).Most())
		neyman, byCost := Of(strata, Neyman, n, 2), Of(strata, CostOptimal, n, 2)
		if sum(neyman.Units) != n || sum(byCost.Units) != n {
			t.Fatalf("%v and %v are not %d units", neyman.Units, byCost.Units, n)
		}
		every(strata, 2, func(units []int) {
			v := Variance(strata, units)
			if sum(units) == n && v < neyman.Variance*(1-1e-12) {
				t.Errorf("%v have a smaller variance than %v", units, neyman.Units)
			}
			if Cost(strata, units) <= byCost.Cost && v < byCost.Variance*(1-1e-12) {
				t.Errorf("%v cost no more and have a smaller variance than %v", units, byCost.Units)
			}
		})
	}
}

// Cost-optimal shares are in proportion to W S / sqrt(c): with W S 1 and 1 and costs 1
// and 4, two to one (Cochran 1977, section 5.5).
func TestCostOptimalShares(t *testing.T) {
	strata := []Stratum{{LandHa: 1, SD: 2, Cost: 1}, {LandHa: 2, SD: 1, Cost: 4}}
	statstest.Near(t, "share", Shares(strata, CostOptimal)[0], 2.0/3, 1e-12)
	if a := Of(strata, CostOptimal, 300, 2); a.Units[0] != 200 {
		t.Errorf("units %v", a.Units)
	}
}

func TestWithinACost(t *testing.T) {
	for i := range uint64(30) {
		strata := made(rand.New(rand.NewPCG(6, i)))
		for _, rule := range Rules() {
			a := Within(strata, rule, 60, 2)
			if a.Cost > 60 {
				t.Errorf("%s costs %v", rule, a.Cost)
			}
			for h, s := range strata {
				if (s.Units == 0 || a.Units[h] < s.Units) && a.Cost+s.Cost <= 60 {
					t.Errorf("%s leaves a unit of %v of %v unspent", rule, s.Cost, 60-a.Cost)
				}
			}
		}
	}
	dear := []Stratum{{LandHa: 1, SD: 1, Cost: 10}, {LandHa: 1, SD: 1, Cost: 10}}
	if a := Within(dear, Neyman, 30, 2); !MoreThanAsked.In(a.Warnings) || sum(a.Units) != 4 {
		t.Errorf("%+v", a)
	}
}

// A larger survey has all units of a smaller one.
func TestSequenceGrows(t *testing.T) {
	for _, rule := range Rules() {
		s := NewSequence(made(rand.New(rand.NewPCG(7, 1))), rule, 2)
		before := s.At(0)
		for n := s.Least(); n < min(40, s.Most()); n++ {
			units := s.At(n)
			for h := range units {
				if units[h] < before[h] {
					t.Errorf("%s: %v after %v", rule, units, before)
				}
			}
			if sum(units) != n {
				t.Errorf("%s: %v is not %d", rule, units, n)
			}
			before = units
		}
	}
}

func TestSpecialCases(t *testing.T) {
	small := []Stratum{{LandHa: 5, SD: 1, Units: 3}, {LandHa: 5, SD: 1, Units: 1}}
	if a := Of(small, Neyman, 10, 2); !FewerThanAsked.In(a.Warnings) || !slices.Equal(a.Units, []int{3, 1}) || a.Variance != 0 {
		t.Errorf("strata searched whole: %+v", a)
	}
	if a := Of([]Stratum{{LandHa: 1, SD: 1}, {LandHa: 1, SD: 1}}, Neyman, 3, 2); !MoreThanAsked.In(a.Warnings) || sum(a.Units) != 4 {
		t.Errorf("fewer than the least: %+v", a)
	}
	flat := []Stratum{{LandHa: 1}, {LandHa: 3}}
	if a := Of(flat, Neyman, 8, 0); !slices.Equal(a.Units, []int{2, 6}) || a.Variance != 0 {
		t.Errorf("without a spread anywhere: %+v", a)
	}
	one := []Stratum{{LandHa: 1, SD: 1}, {LandHa: 3}}
	if a := Of(one, Neyman, 8, 0); !slices.Equal(a.Units, []int{8, 0}) {
		t.Errorf("without a spread in one stratum: %+v", a)
	}
	if v := Variance(one, []int{0, 3}); !math.IsInf(v, 1) {
		t.Errorf("variance without units %v", v)
	}
}

func TestPanics(t *testing.T) {
	good := []Stratum{{LandHa: 1, SD: 1}}
	statstest.Panics(t, map[string]func(){
		"no strata":           func() { Shares(nil, Neyman) },
		"no area":             func() { Shares([]Stratum{{SD: 1}}, Neyman) },
		"negative SD":         func() { Shares([]Stratum{{LandHa: 1, SD: -1}}, Neyman) },
		"one stratum is free": func() { Shares([]Stratum{{LandHa: 1, Cost: 1}, {LandHa: 1}}, Neyman) },
		"unknown rule":        func() { Shares(good, "by feel") },
		"negative least":      func() { NewSequence(good, Neyman, -1) },
		"lengths":             func() { Variance(good, nil) },
	})
}
