package dispersion

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// sample is the counts with what they add up to.
type sample struct {
	area, count     []float64
	sizes           []size // of the units
	searched, finds float64
	zeros           float64 // units without finds
	highest         int     // count
	full            int     // units with finds
}

func newSample(area, count []float64, confidence float64) sample {
	if len(area) != len(count) {
		panic("dispersion: slice length mismatch")
	}
	if !(confidence > 0 && confidence < 1) {
		panic("dispersion: confidence is not between 0 and 1")
	}
	s := sample{area: area, count: count}
	for i, a := range area {
		y := count[i]
		if !(a > 0) || math.IsInf(a, 1) {
			panic("dispersion: area is not positive")
		}
		if !(y >= 0) || math.IsInf(y, 1) || y != math.Trunc(y) {
			panic("dispersion: count is not a whole number from 0")
		}
		s.searched += a
		s.finds += y
		s.highest = max(s.highest, int(y))
		if y == 0 {
			s.zeros++
		}
	}
	s.full = len(area) - int(s.zeros)
	s.sizes = sizesOf(area)
	return s
}

// size is the units of one area.
type size struct{ area, units float64 }

// sizesOf counts the units of each distinct area, in ascending order.
func sizesOf(area []float64) []size {
	sorted := slices.Clone(area)
	slices.Sort(sorted)
	var list []size
	for i, a := range sorted {
		if i == 0 || a != sorted[i-1] {
			list = append(list, size{area: a})
		}
		list[len(list)-1].units++
	}
	return list
}

func (s sample) units() int { return len(s.count) }

// mean is what unit i holds on average if finds are by chance.
func (s sample) mean(i int) float64 { return s.finds / s.searched * s.area[i] }

// pearson is the X^2 of [Clumping].
func (s sample) pearson() float64 {
	var sum float64
	for i, y := range s.count {
		mu := s.mean(i)
		sum += (y - mu) * (y - mu) / mu
	}
	return sum
}

// morisita is the index of [Clumping]; NaN for a single find.
func (s sample) morisita() float64 {
	var pairs, byChance float64
	for i, y := range s.count {
		pairs += y * (y - 1)
		share := s.area[i] / s.searched
		byChance += share * share
	}
	if s.finds < 2 {
		return nan
	}
	return pairs / (s.finds * (s.finds - 1)) / byChance
}

// momentsK is the k of the moments; +Inf if the variance is not over the mean.
func (s sample) momentsK() float64 {
	n := float64(s.units())
	var squares, means float64
	for i, y := range s.count {
		mu := s.mean(i)
		squares += (y - mu) * (y - mu)
		means += mu * mu
	}
	over := n/(n-1)*squares - s.finds
	if over <= 0 {
		return math.Inf(1)
	}
	return means / over
}

// zerosK is the k that expects as many units without finds as there are;
// +Inf if there are no more of them than by chance, NaN if there is none.
func (s sample) zerosK() float64 {
	if s.zeros == 0 {
		return nan
	}
	if s.expectedZeros(math.Inf(1)) >= s.zeros {
		return math.Inf(1)
	}
	// The zeros expected fall as k grows, from all units at k = 0. On the log
	// scale the bounds are beyond what counts can ask for, and the precision,
	// that of k itself, is well under any digit that is shown.
	const bound, precision = 100, 1e-12
	low, high := -float64(bound), float64(bound)
	for high-low > precision {
		middle := (low + high) / 2
		if s.expectedZeros(math.Exp(middle)) > s.zeros {
			low = middle
		} else {
			high = middle
		}
	}
	return math.Exp((low + high) / 2)
}

func (s sample) expectedZeros(k float64) float64 {
	var sum float64
	rate := s.finds / s.searched
	for _, c := range s.sizes {
		sum += c.units * math.Exp(logZero(rate*c.area, k))
	}
	return sum
}

// logZero is the logarithm of the chance of no find in a unit that holds mu on
// average.
func logZero(mu, k float64) float64 {
	// Beyond 1e15 log1p(mu/k) k has no digits that differ from mu.
	if k > 1e15 {
		return -mu
	}
	return -k * math.Log1p(mu/k)
}

// chiSquareTail is the chance of a chi-square of x or more.
func chiSquareTail(x float64, df int) float64 {
	return distuv.ChiSquared{K: float64(df)}.Survival(x)
}

func chiSquareQuantile(p float64, df int) float64 {
	return distuv.ChiSquared{K: float64(df)}.Quantile(p)
}
