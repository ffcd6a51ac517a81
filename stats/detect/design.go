package detect

import (
	"fmt"
	"math"
	"slices"

	"ashtally/stats/detect/optimum"
)

// design is what the scale depends on: log scale = row . coefficients, where
// every row begins with the 1 of the intercept. Equal rows are kept once.
type design struct {
	columns []column
	rows    [][]float64
	row     []int // of each detection

	// Detections at one distance and row have one likelihood. In a survey
	// whose distances were read to a centimetre these are far fewer.
	distances [][]spot // of each row, ascending, each once
	place     []int    // of each detection among those of its row
}

// column is one coefficient of the scale beyond the intercept. Measured
// covariates are centred and scaled, so that the bounds of a coefficient and
// the first step of the maximization do not depend on their unit.
type column struct {
	name           string
	covariate      int
	level          string // empty for a measured covariate
	centre, spread float64
}

func (c column) at(covariate Covariate, i int) float64 {
	if covariate.Level == nil {
		return c.of(covariate.Value[i], "")
	}
	return c.of(0, covariate.Level[i])
}

func (c column) of(value float64, level string) float64 {
	if c.level == "" {
		return (value - c.centre) / c.spread
	}
	if level == c.level {
		return 1
	}
	return 0
}

// design lays out the covariates named; without names it is the intercept.
func (s *Sample) design(names []string) (design, error) {
	var d design
	for _, name := range names {
		k := slices.IndexFunc(s.covariates, func(c Covariate) bool { return c.Name == name })
		if k < 0 {
			return d, fmt.Errorf("%w: there is no covariate %q", ErrModel, name)
		}
		columns, err := s.covariates[k].columns(k)
		if err != nil {
			return d, err
		}
		d.columns = append(d.columns, columns...)
	}
	seen := map[string]int{}
	for i := range s.t {
		row := []float64{1}
		for _, c := range d.columns {
			row = append(row, c.at(s.covariates[c.covariate], i))
		}
		key := fmt.Sprint(row)
		if _, known := seen[key]; !known {
			seen[key] = len(d.rows)
			d.rows = append(d.rows, row)
		}
		d.row = append(d.row, seen[key])
	}
	d.gather(s.t)
	if !d.fullRank() {
		return d, fmt.Errorf("%w: among these detections the covariates %v say the same, so their effects cannot be told apart", ErrModel, names)
	}
	return d, nil
}

// gather lists the distances of every row, each once.
func (d *design) gather(t []float64) {
	distances := make([][]float64, len(d.rows))
	for i, r := range d.row {
		distances[r] = append(distances[r], t[i])
	}
	d.distances = make([][]spot, len(d.rows))
	for r, list := range distances {
		slices.Sort(list)
		distances[r] = slices.Compact(list)
		for _, t := range distances[r] {
			d.distances[r] = append(d.distances[r], spotAt(t))
		}
	}
	d.place = make([]int, len(t))
	for i, r := range d.row {
		d.place[i], _ = slices.BinarySearch(distances[r], t[i])
	}
}

// columns is one for a measured covariate, and one for each level but the
// first of the others.
func (c Covariate) columns(k int) ([]column, error) {
	if c.Level == nil {
		if slices.Max(c.Value) == slices.Min(c.Value) {
			return nil, fmt.Errorf("%w: covariate %q is %g for every detection", ErrModel, c.Name, c.Value[0])
		}
		mean, sd := moments(c.Value)
		return []column{{name: c.Name, covariate: k, centre: mean, spread: sd}}, nil
	}
	levels := c.levels()
	if len(levels) == 1 {
		return nil, fmt.Errorf("%w: covariate %q is %q for every detection", ErrModel, c.Name, levels[0])
	}
	var columns []column
	for _, level := range levels[1:] {
		columns = append(columns, column{name: c.Name + "=" + level, covariate: k, level: level, spread: 1})
	}
	return columns, nil
}

// levels lists the levels that occur, sorted.
func (c Covariate) levels() []string {
	levels := slices.Clone(c.Level)
	slices.Sort(levels)
	return slices.Compact(levels)
}

func moments(values []float64) (mean, sd float64) {
	n := float64(len(values))
	for _, v := range values {
		mean += v / n
	}
	for _, v := range values {
		sd += (v - mean) * (v - mean) / n
	}
	return mean, math.Sqrt(sd)
}

func (d design) fullRank() bool {
	n := len(d.columns) + 1
	gram := squareMatrix(n)
	for _, row := range d.rows {
		for i := range n {
			for j := range n {
				gram[i][j] += row[i] * row[j]
			}
		}
	}
	return optimum.Inverse(gram) != nil
}

func squareMatrix(n int) [][]float64 {
	a := make([][]float64, n)
	for i := range a {
		a[i] = make([]float64, n)
	}
	return a
}
