package plausible

import (
	"cmp"
	"math"
	"slices"
)

// Spread is the distribution of positive values, in as much memory for a million
// as for ten: their counts on a logarithmic scale, and the farthest of them with
// what is to be said of each. The zero value has none.
type Spread[T any] struct {
	n         int
	bins      []int // counts by class, from the class base on
	base      int
	recent    [64]classOf
	low, high []Tail[T] // ascending; descending
}

// classOf is the class of a value that was counted.
type classOf struct {
	value float64
	class int
}

// Tail is one of the farthest values.
type Tail[T any] struct {
	Value float64
	Of    T
}

const (
	// perE is the number of classes for a factor of e: quantiles are as fine as 3 %.
	perE = 32
	// tails is how many of the farthest are kept at either end.
	tails = 24
	// Fewest is how many values a quantile of 5 % needs, at least.
	Fewest = 20
)

// Tells reports whether a value is among the farthest so far, and Keep is to be
// called with it.
func (s *Spread[T]) Tells(v float64) bool {
	return v > 0 && (len(s.high) < tails || v > s.high[tails-1].Value || v < s.low[tails-1].Value)
}

// Add counts a value; what is not positive is left out.
func (s *Spread[T]) Add(v float64) {
	if !(v > 0) || math.IsInf(v, 0) {
		return
	}
	s.n++
	*s.bin(s.class(v))++
}

// class is that of a value. Crews round, so that most values were met before.
func (s *Spread[T]) class(v float64) int {
	recent := &s.recent[math.Float64bits(v)*0x9e3779b97f4a7c15>>58] // the golden ratio, to spread the bits
	if recent.value != v {
		*recent = classOf{v, int(math.Floor(math.Log(v) * perE))}
	}
	return recent.class
}

// bin is the count of a class.
func (s *Spread[T]) bin(class int) *int {
	switch {
	case len(s.bins) == 0:
		s.base, s.bins = class, make([]int, 1, perE)
	case class < s.base:
		s.bins = append(make([]int, s.base-class, s.base-class+len(s.bins)), s.bins...)
		s.base = class
	case class >= s.base+len(s.bins):
		s.bins = append(s.bins, make([]int, class-s.base-len(s.bins)+1)...)
	}
	return &s.bins[class-s.base]
}

// Keep notes what is to be said of a value.
func (s *Spread[T]) Keep(v float64, of T) {
	put := func(list []Tail[T], less func(a, b Tail[T]) int) []Tail[T] {
		t := Tail[T]{v, of}
		i, _ := slices.BinarySearchFunc(list, t, less)
		for i < len(list) && less(list[i], t) == 0 {
			i++ // the first of equals stays first
		}
		list = slices.Insert(list, i, t)
		return list[:min(len(list), tails)]
	}
	s.high = put(s.high, func(a, b Tail[T]) int { return cmp.Compare(b.Value, a.Value) })
	s.low = put(s.low, func(a, b Tail[T]) int { return cmp.Compare(a.Value, b.Value) })
}

// N is how many values there are.
func (s *Spread[T]) N() int { return s.n }

// Quantile is the value that a share of all lie at or below, to the upper end of
// its class; NaN without values.
func (s *Spread[T]) Quantile(share float64) float64 {
	rank, below := max(1, int(math.Ceil(share*float64(s.n)))), 0
	for i, n := range s.bins {
		if below += n; below >= rank {
			return math.Exp(float64(s.base+i+1) / perE)
		}
	}
	return math.NaN()
}

// Far are the values over times the 95th percentile, and those under the 5th
// divided by it; none where there are fewer than twenty values.
func (s *Spread[T]) Far(times float64) (low, high []Tail[T]) {
	if s.n < Fewest {
		return nil, nil
	}
	top, bottom := s.Quantile(0.95)*times, s.Quantile(0.05)/times
	for _, t := range s.high {
		if t.Value > top {
			high = append(high, t)
		}
	}
	for _, t := range s.low {
		if t.Value < bottom {
			low = append(low, t)
		}
	}
	return low, high
}

// Within reports whether a value lies between the 5th and the 95th percentile, a
// tenth beyond allowed.
func (s *Spread[T]) Within(v float64) bool {
	return s.n > 0 && v <= s.Quantile(0.95)*1.1 && v >= s.Quantile(0.05)/1.1
}
