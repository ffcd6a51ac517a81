package permute

import (
	"math"
	"runtime"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"ashtally/stats"
	"ashtally/stats/statstest"
)

var darwin = []float64{49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48}

// sides splits differences into two counts.
func sides(d []float64) (first, base []float64) {
	for _, v := range d {
		first, base = append(first, math.Max(v, 0)), append(base, math.Max(-v, 0))
	}
	return first, base
}

// total is Fisher's statistic, the sum of the differences alone.
func total(d []float64) Result {
	return Test(Swaps(len(d)), Options{}, func(swap []int) float64 {
		var sum float64
		for i, v := range d {
			sum += float64(1-2*swap[i]) * v
		}
		return math.Abs(sum)
	})
}

// TestDarwin: of the 32,768 arrangements of Darwin's fifteen pairs of maize,
// 863 on each side are as extreme: 5.267 % (Fisher 1935, The Design of
// Experiments, section 21; from memory, and reproduced by R).
func TestDarwin(t *testing.T) {
	r := total(darwin)
	if !r.Exact || r.Tried != 32768 || r.Extreme != 2*863 || r.SE != 0 {
		t.Errorf("%+v", r)
	}
	statstest.Near(t, "p", r.P, 0.05267, 5e-6)
}

// TestTea: eight cups, four of each; all told right by chance once in 70, three
// or four of four 17 times in 70 (Fisher 1935, chapter 2; from memory).
func TestTea(t *testing.T) {
	poured := []int{1, 0, 0, 1, 1, 0, 1, 0}
	for _, tt := range []struct {
		told []int
		want float64
	}{
		{[]int{1, 0, 0, 1, 1, 0, 1, 0}, 1.0 / 70},
		{[]int{1, 0, 0, 1, 1, 0, 0, 1}, 17.0 / 70},
	} {
		r := Test(Labels(make([]int, 8), tt.told), Options{}, func(told []int) float64 {
			right := 0.0
			for i := range told {
				right += float64(told[i] * poured[i])
			}
			return right
		})
		statstest.Near(t, "p", r.P, tt.want, 1e-15)
	}
}

// TestReference holds the tests to R, which writes out every arrangement
// (testdata/reference/permute.R).
func TestReference(t *testing.T) {
	finds := []float64{0, 3, 12, 1, 0, 7, 2, 19, 25, 4, 11}
	area := []float64{3, 3, 3, 2, 3, 3, 3, 3, 2, 3, 3}
	ten := []float64{1, 1, 1, 1, 1, 1, 1, 1, 1, 1}
	got := map[string]Result{
		"darwin": total(darwin),
		"modes":  Modes([]float64{1, 3, 12, 1, 2, 7, 2, 19, 25, 4}, []float64{4, 2, 6, 3, 5, 9, 1, 3, 8, 0}, Options{}),
		"two":    Densities(Classes{Class: []int{0, 0, 0, 0, 0, 0, 1, 1, 1, 1, 1}, Area: area, First: finds}, Options{}),
		"three":  Densities(Classes{Class: []int{0, 0, 0, 1, 1, 1, 1, 2, 2, 2, 2}, Area: area, First: finds}, Options{}),
		"blocks": Densities(Classes{Block: []int{0, 0, 0, 0, 0, 1, 1, 1, 1, 1, 1}, Class: []int{0, 1, 0, 1, 1, 0, 0, 1, 1, 1, 0}, Area: area, First: finds}, Options{}),
		"ratio": Ratios(Classes{Class: []int{0, 0, 0, 0, 0, 1, 1, 1, 1, 1}, Area: ten,
			First: []float64{1, 3, 12, 1, 2, 7, 2, 19, 25, 4}, Base: []float64{4, 2, 6, 3, 5, 9, 1, 3, 8, 0}}, Options{}),
	}
	got["weights"] = Densities(Classes{Class: []int{0, 0, 0, 0, 0, 0, 1, 1, 1, 1, 1}, Weight: []float64{5, 5, 5, 2, 2, 2, 3, 3, 3, 3, 3}, Area: area, First: finds}, Options{})
	got["ratio by weights"] = Ratios(Classes{Class: []int{0, 0, 0, 0, 0, 1, 1, 1, 1, 1}, Weight: []float64{5, 5, 2, 2, 2, 3, 3, 3, 3, 3}, Area: ten,
		First: []float64{1, 3, 12, 1, 2, 7, 2, 19, 25, 4}, Base: []float64{4, 2, 6, 3, 5, 9, 1, 3, 8, 0}}, Options{})
	rows := statstest.Table(t, "../../testdata/reference/permute.csv")
	if len(rows) != len(got) {
		t.Fatalf("%d cases from R, want %d", len(rows), len(got))
	}
	for _, row := range rows {
		r := got[row["case"]]
		if r.Arrangements != row.Number(t, "arrangements") || float64(r.Tried) != r.Arrangements || !r.Exact {
			t.Errorf("%s: %v arrangements, %d tried", row["case"], r.Arrangements, r.Tried)
		}
		statstest.Relative(t, row["case"]+" statistic", r.Statistic, row.Number(t, "statistic"), 1e-12)
		statstest.Near(t, row["case"]+" p", r.P, row.Number(t, "p"), 1e-12)
	}
}

// TestDrawnNearsExact: drawn arrangements give the exact p within the error
// they state, and the 1 of Phipson & Smyth keeps p over 0.
func TestDrawnNearsExact(t *testing.T) {
	first, base := sides(darwin)
	r := Modes(first, base, Options{Limit: 1, Replicates: 19999, Seed: 7})
	if r.Exact || r.Tried != 19999 {
		t.Fatalf("%+v", r)
	}
	statstest.Near(t, "p", r.P, Modes(first, base, Options{}).P, 4*r.SE)
	statstest.Near(t, "p by its formula", r.P, float64(r.Extreme+1)/20000, 1e-15)
	statstest.Near(t, "se", r.SE, math.Sqrt(r.P*(1-r.P)/20000), 1e-15)
	// A draw of 40 pairs all one way is never matched: the least p there is.
	one := make([]float64, 40)
	for i := range one {
		one[i] = 1
	}
	if r := Modes(one, make([]float64, 40), Options{Seed: 1}); r.Extreme != 0 || r.P != 1.0/10000 {
		t.Errorf("p %v after %d extreme", r.P, r.Extreme)
	}
}

func TestCoresDoNotMatter(t *testing.T) {
	first, base := sides(slices.Concat(darwin, darwin))
	before := runtime.GOMAXPROCS(1)
	defer runtime.GOMAXPROCS(before)
	one := Modes(first, base, Options{Seed: 3})
	runtime.GOMAXPROCS(2)
	two := Modes(first, base, Options{Seed: 3})
	if one.P != two.P || one.Exact {
		t.Errorf("p %v on one core, %v on two", one.P, two.P)
	}
	if other := Modes(first, base, Options{Seed: 4}); other.P == one.P {
		t.Error("another seed drew the same arrangements")
	}
}

// TestArrangements: every scheme goes through as many arrangements as it says,
// all of them different, and draws each about equally often.
func TestArrangements(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "items")
		var s Scheme = Swaps(n)
		if rapid.Bool().Draw(t, "labels") {
			s = Labels(rapid.SliceOfN(rapid.IntRange(0, 1), n, n).Draw(t, "block"), rapid.SliceOfN(rapid.IntRange(0, 2), n, n).Draw(t, "label"))
		}
		key := func(a []int) (k int) {
			for _, v := range a {
				k = 3*k + v
			}
			return k
		}
		all, exact := Values(s, Options{}, key)
		if !exact || float64(len(all)) != s.Size() {
			t.Fatalf("%d arrangements, want %v", len(all), s.Size())
		}
		slices.Sort(all)
		if len(slices.Compact(slices.Clone(all))) != len(all) {
			t.Fatal("an arrangement comes twice")
		}
		const draws = 4000
		times := map[int]int{}
		some, _ := Values(s, Options{Limit: 0.5, Replicates: draws, Seed: rapid.Uint64().Draw(t, "seed")}, key)
		for _, k := range some {
			if _, in := slices.BinarySearch(all, k); !in {
				t.Fatal("drew what is no arrangement")
			}
			times[k]++
		}
		want := draws / s.Size()
		for _, k := range all {
			if off := math.Abs(float64(times[k]) - want); off > 6*math.Sqrt(want)+1 {
				t.Fatalf("drawn %d times, want about %v", times[k], want)
			}
		}
	})
}

// TestPIsUniform: under the hypothesis a p of u or less comes with probability
// u, but for the steps of few arrangements and for chance.
func TestPIsUniform(t *testing.T) {
	w := world{sites: 10, units: 3, mean: 8, ratio: 1}
	const samples = 1500
	p := make([]float64, samples)
	for i := range p {
		p[i] = Densities(w.draw(11, i), Options{}).P
	}
	slices.Sort(p)
	for i, v := range p {
		// Kolmogorov-Smirnov at 0.1 %, plus the step of 252 arrangements.
		if off := math.Abs(v - float64(i+1)/samples); off > 1.95/math.Sqrt(samples)+2.0/252 {
			t.Fatalf("the %d. p is %v", i+1, v)
		}
	}
}

func TestDegenerate(t *testing.T) {
	area := []float64{1, 1, 1, 1}
	for name, tt := range map[string]struct {
		got  Result
		code string
		p    float64
	}{
		"no finds":           {Densities(Classes{Class: []int{0, 0, 1, 1}, Area: area, First: []float64{0, 0, 0, 0}}, Options{}), "no-finds", math.NaN()},
		"one class":          {Densities(Classes{Class: []int{0, 0, 0, 0}, Area: area, First: []float64{1, 2, 0, 3}}, Options{}), nothingToExchange.Code, math.NaN()},
		"a class per block":  {Densities(Classes{Block: []int{0, 0, 1, 1}, Class: []int{0, 0, 1, 1}, Area: area, First: []float64{1, 2, 0, 3}}, Options{}), nothingToExchange.Code, math.NaN()},
		"one site":           {Densities(Classes{Class: []int{0}, Area: []float64{1}, First: []float64{5}}, Options{}), nothingToExchange.Code, math.NaN()},
		"all counts equal":   {Densities(Classes{Class: []int{0, 0, 1, 1}, Area: area, First: []float64{2, 2, 2, 2}}, Options{}), fewArrangements.Code, 1},
		"an empty class":     {Densities(Classes{Class: []int{0, 0, 2, 2}, Area: area, First: []float64{2, 2, 0, 0}}, Options{}), fewArrangements.Code, 1.0 / 3},
		"a class finds none": {Densities(Classes{Class: []int{0, 0, 1, 1}, Area: area, First: []float64{2, 3, 0, 0}}, Options{}), fewArrangements.Code, 1.0 / 3},
		"kinds alike":        {Modes([]float64{1, 2}, []float64{1, 2}, Options{}), nothingToExchange.Code, math.NaN()},
		"nothing of either":  {Modes([]float64{0, 0}, []float64{0, 0}, Options{}), "no-finds", math.NaN()},
		"one unit":           {Modes([]float64{7}, []float64{1}, Options{}), fewArrangements.Code, 1},
		"no units":           {Modes(nil, nil, Options{}), "no-finds", math.NaN()},
	} {
		t.Run(name, func(t *testing.T) {
			if !(tt.got.P == tt.p || math.IsNaN(tt.p) && math.IsNaN(tt.got.P)) {
				t.Errorf("p %v, want %v", tt.got.P, tt.p)
			}
			if len(tt.got.Warnings) != 1 || tt.got.Warnings[0].Code != tt.code {
				t.Errorf("warnings %v, want %s", tt.got.Warnings, tt.code)
			}
		})
	}
}

func TestMisuse(t *testing.T) {
	statstest.Panics(t, map[string]func(){
		"labels":       func() { Labels([]int{0}, []int{0, 1}) },
		"length":       func() { Densities(Classes{Class: []int{0, 1}, Area: []float64{1}}, Options{}) },
		"area":         func() { Densities(Classes{Class: []int{0}, Area: []float64{0}, First: []float64{1}}, Options{}) },
		"count":        func() { Densities(Classes{Class: []int{0}, Area: []float64{1}, First: []float64{-1}}, Options{}) },
		"base missing": func() { Ratios(Classes{Class: []int{0}, Area: []float64{1}, First: []float64{1}}, Options{}) },
		"sides":        func() { Modes([]float64{1}, nil, Options{}) },
		"side":         func() { Modes([]float64{-1}, []float64{1}, Options{}) },
	})
}

// TestNoStatistic: what cannot be computed is no p of 0 or 1.
func TestNoStatistic(t *testing.T) {
	r := Test(Swaps(3), Options{}, func([]int) float64 { return math.NaN() })
	if !math.IsNaN(r.P) || len(r.Warnings) != 1 || r.Warnings[0].Code != noStatistic.Code {
		t.Errorf("%+v", r)
	}
	some := Test(Swaps(3), Options{}, func(swap []int) float64 {
		if swap[0] == 1 {
			return math.NaN()
		}
		return 1
	})
	if some.P != 1 {
		t.Errorf("p %v: an arrangement without a figure must count as extreme", some.P)
	}
}

// TestMidP: over all arrangements, each of which may be the one seen, mid-p is
// one half on the whole, as a p without ties is; the exact p is more (Lancaster
// 1961).
func TestMidP(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 7).Draw(t, "items")
		first, base := make([]float64, n), make([]float64, n)
		for i := range n {
			first[i], base[i] = float64(rapid.IntRange(0, 3).Draw(t, "first")), float64(rapid.IntRange(4, 6).Draw(t, "base"))
		}
		var mid, exact float64
		to := make([]int, n)
		Swaps(n).each(to, func() {
			a, b := slices.Clone(first), slices.Clone(base)
			for i, swapped := range to {
				if swapped == 1 {
					a[i], b[i] = b[i], a[i]
				}
			}
			r := Modes(a, b, Options{})
			if r.MidP <= 0 || r.MidP >= r.P {
				t.Errorf("mid-p %v of p %v", r.MidP, r.P)
			}
			mid, exact = mid+r.MidP/Swaps(n).Size(), exact+r.P/Swaps(n).Size()
		})
		statstest.Close(t, "mean of mid-p", mid, 0.5, 1e-9)
		if exact <= 0.5 {
			t.Errorf("the exact p is %v on the whole", exact)
		}
	})
}

// TestMidPDrawn: drawn arrangements give what all of them do.
func TestMidPDrawn(t *testing.T) {
	first, base := []float64{0, 1, 1, 2, 0, 3, 1, 0}, []float64{1, 0, 2, 1, 1, 1, 2, 1}
	all, some := Modes(first, base, Options{}), Modes(first, base, Options{Limit: 1, Replicates: 20000, Seed: 3})
	statstest.Near(t, "mid-p", some.MidP, all.MidP, 4*some.SE)
	if all.MidP >= all.P || some.Exact {
		t.Errorf("%+v, %+v", all, some)
	}
}

// TestRatiosOfUnlikeArea: few sites of larger or smaller units than the others
// have a warning, and many, or sites of like area, have none.
func TestRatiosOfUnlikeArea(t *testing.T) {
	for _, c := range []struct {
		world world
		warns bool
	}{
		{world{sites: 44, few: 4, areas: 3}, true},
		{world{sites: 44, few: 4, areas: 1. / 3}, true},
		{world{sites: 44, few: 4, areas: 1.2}, false},
		{world{sites: 60, few: 30, areas: 3}, false},
	} {
		c.world.units, c.world.mean, c.world.ratio = 1, 20, 1
		r := Ratios(c.world.draw(0, 1), Options{Replicates: 99})
		warned := slices.ContainsFunc(r.Warnings, func(w stats.Warning) bool { return w.Type == areasUnlike })
		if warned != c.warns {
			t.Errorf("%s: %v", c.world.what(), r.Warnings)
		}
	}
}
