package plausible

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

var feet = Factor{Ratio: 1 / 0.3048, Means: "feet"}

func TestOddSizes(t *testing.T) {
	whole := Factor{Ratio: 2, Means: "the whole width", Many: true}
	ten := Factor{Ratio: 10, Means: "a place"}
	factors := []Factor{feet, whole, ten}
	many := slices.Repeat([]float64{5.64}, 9)
	for _, c := range []struct {
		name  string
		sizes []float64
		want  []Odd
	}{
		{"18.5 ft are 5.64 m", append([]float64{18.5}, 5.64, 5.64, 5.64), []Odd{{0, 1, 3, feet}}},
		{"two usual sizes a foot's ratio apart", []float64{5.64, 5.64, 5.64, 18.5, 18.5, 18.5}, nil},
		{"twice where nearly all are equal", append([]float64{11.28}, many...), []Odd{{0, 1, 9, whole}}},
		{"twice where few are", []float64{11.28, 5.64, 5.64, 5.64}, nil},
		{"a place, of the more usual size", append([]float64{80, 56.4, 8, 8, 8}, many...), []Odd{{0, 2, 3, ten}, {1, 5, 9, ten}}},
		{"three times is no slip", []float64{15, 5, 5, 5, 5}, nil},
		{"none", nil, nil},
	} {
		if got := OddSizes(c.sizes, factors); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

func TestSeries(t *testing.T) {
	for _, c := range []struct {
		values  []float64
		from, n int
		ok      bool
	}{
		{[]float64{8, 5.64, 5.65, 5.66, 5.67, 5.64}, 1, 4, true},
		{[]float64{10, 11, 12, 13}, 0, 4, true},
		{[]float64{10, 9, 8, 7, 7}, 0, 4, true},
		{[]float64{10, 11, 12}, 0, 0, false},
		{[]float64{5, 5, 5, 5, 5}, 0, 0, false},
		{[]float64{100, 150, 200, 250}, 0, 0, false},
		{nil, 0, 0, false},
	} {
		if from, n, ok := Series(c.values); from != c.from || n != c.n || ok != c.ok {
			t.Errorf("%v: %d, %d, %t", c.values, from, n, ok)
		}
	}
}

// TestUnlike holds what is found by sorting to what the words say, size by size.
func TestUnlike(t *testing.T) {
	rng := rand.New(rand.NewPCG(23, 0))
	for range 300 {
		sizes := make([]float64, 1+rng.IntN(60))
		for i := range sizes {
			sizes[i] = 5.64
			if rng.IntN(20) == 0 {
				sizes[i] = math.Round(100*(0.5+6*rng.Float64())) / 100
			}
		}
		alike := func(v float64) (n int) {
			for _, s := range sizes {
				if math.Abs(s/v-1) <= sameSize {
					n++
				}
			}
			return n
		}
		most := 0
		for _, v := range sizes {
			most = max(most, alike(v))
		}
		var want []int
		for i, v := range sizes {
			if most >= 8 && float64(most) >= 0.9*float64(len(sizes)) && alike(v) == 1 {
				want = append(want, i)
			}
		}
		var got []int
		for _, odd := range Unlike(sizes) {
			got = append(got, odd.Index)
			if odd.Others != most || alike(sizes[odd.Usual]) != most || odd.Usual > slices.Index(sizes, sizes[odd.Usual]) {
				t.Fatalf("%+v of %v", odd, sizes)
			}
		}
		if !slices.Equal(got, want) {
			t.Fatalf("unlike are %v of %v, want %v", got, sizes, want)
		}
	}
}
