package regress

import (
	"errors"
	"math"

	"ashtally/stats/regress/terms"
)

// ErrNotConverged is returned where the maximization of the likelihood did not
// converge.
var ErrNotConverged = errors.New("regress: the search for the maximum of the likelihood did not end")

// Sample is the data of a model, a row for each count.
type Sample struct {
	Count    []float64 // whole numbers from 0
	Exposure []float64 // searched area, above 0; what densities are per
	// Cluster numbers the group of correlated rows that each row belongs to: rows
	// of one unit or site. Nil: each row is its own.
	Cluster []int
	Frame   terms.Frame
}

// check panics on what is no sample; field data are checked before.
func (s Sample) check() {
	n := len(s.Count)
	if n == 0 {
		panic("regress: no rows")
	}
	if len(s.Exposure) != n || s.Frame.Rows != n || s.Cluster != nil && len(s.Cluster) != n {
		panic("regress: slice length mismatch")
	}
	for i, y := range s.Count {
		if !(y >= 0) || math.IsInf(y, 1) || y != math.Trunc(y) {
			panic("regress: count is not a whole number from 0")
		}
		if a := s.Exposure[i]; !(a > 0) || math.IsInf(a, 1) {
			panic("regress: exposure is not positive")
		}
	}
	for _, v := range s.Frame.Numbers {
		for _, x := range v.Of {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				panic("regress: " + v.Name + " is not a number in every row")
			}
		}
	}
}

// clusters numbers the clusters of some rows from 0 in order of appearance.
func (s Sample) clusters(rows []int) (of []int, n int) {
	of = make([]int, len(rows))
	if s.Cluster == nil {
		for i := range of {
			of[i] = i
		}
		return of, len(rows)
	}
	number := map[int]int{}
	for i, row := range rows {
		c, ok := number[s.Cluster[row]]
		if !ok {
			c = len(number)
			number[s.Cluster[row]] = c
		}
		of[i] = c
	}
	return of, len(number)
}

// finds is the sum of the counts.
func (s Sample) finds() float64 {
	var sum float64
	for _, y := range s.Count {
		sum += y
	}
	return sum
}
