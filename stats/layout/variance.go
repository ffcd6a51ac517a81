package layout

import (
	"cmp"
	"math"
	"slices"
)

// LocalMeanVariance estimates the variance of an estimated total from a
// spatially balanced sample. Expanded values are those of the units divided by
// their inclusion probabilities, so that their sum is the estimated total:
//
//	V = sum over i of sum over j in D(i) of w_ij (z_j - m_i)^2 / (1 - sum of w_ij^2)
//	m_i = sum over j in D(i) of w_ij z_j
//
// with z the expanded values. D(i) is unit i with its four nearest units and
// with all units of which it is one of the four nearest. The weights w fall
// linearly with the rank of the distance and are scaled until they sum to 1
// over each neighbourhood and over all neighbourhoods of each unit.
//
// The variance of simple random sampling is conservative for a balanced sample:
// it has in it the differences between regions, of which such samples all hold
// their share. V leaves most of them out.
//
// The divisor is not in the source. Without it V is too low where values vary
// without a pattern in space, 0.8 of the variance with 15 and 50 units; with it
// V is unbiased there, and conservative where they have one.
//
// V is NaN for fewer than two units. LocalMeanVariance panics on slices of
// unlike length.
//
// Source: Stevens & Olsen 2003, Environmetrics 14: 593-610, but for the divisor.
func LocalMeanVariance(points []Point, expanded []float64) float64 {
	if len(points) != len(expanded) {
		panic("layout: unlike numbers of points and values")
	}
	if len(points) < 2 {
		return math.NaN()
	}
	sum := 0.0
	for _, near := range neighbourhoods(points) {
		sum += near.variance(expanded)
	}
	return sum
}

// neighbourhood is a unit and those near it, with weights that sum to 1.
type neighbourhood struct {
	units   []int
	weights []float64
}

// variance is the weighted sum of squares about the weighted mean, divided by
// its expectation for independent values of variance 1.
func (n neighbourhood) variance(values []float64) float64 {
	mean, squares, rest := 0.0, 0.0, 1.0
	for k, i := range n.units {
		mean += n.weights[k] * values[i]
		rest -= n.weights[k] * n.weights[k]
	}
	for k, i := range n.units {
		d := values[i] - mean
		squares += n.weights[k] * d * d
	}
	return squares / rest
}

// nearestUnits is the number of nearest units in a neighbourhood, as in
// Stevens & Olsen 2003.
const nearestUnits = 4

// neighbourhoods returns that of each unit: the unit, its nearest ones, and
// those of which it is one of the nearest, in the order of their distance.
func neighbourhoods(points []Point) []neighbourhood {
	all := make([]neighbourhood, len(points))
	for i := range points {
		for _, j := range byDistance(points, i)[:min(len(points), nearestUnits+1)] {
			all[i].units = append(all[i].units, j)
			if i != j {
				all[j].units = append(all[j].units, i)
			}
		}
	}
	for i := range all {
		all[i].rank(points, i)
	}
	scale(all)
	return all
}

// byDistance returns all units in the order of their distance from one, itself
// first.
func byDistance(points []Point, from int) []int {
	order := make([]int, len(points))
	for j := range order {
		order[j] = j
	}
	nearer(points, from, order)
	return order
}

// nearer sorts units by their distance from one, itself first and equal ones by
// their number.
func nearer(points []Point, from int, units []int) {
	key := func(j int) float64 {
		if j == from {
			return -1
		}
		return distance(points[from], points[j])
	}
	slices.SortFunc(units, func(j, k int) int {
		return cmp.Or(cmp.Compare(key(j), key(k)), cmp.Compare(j, k))
	})
}

// rank orders the neighbourhood of a unit and gives it weights that fall
// linearly with the rank.
func (n *neighbourhood) rank(points []Point, unit int) {
	nearer(points, unit, n.units)
	n.units = slices.Compact(n.units)
	for k := range n.units {
		n.weights = append(n.weights, 1-float64(k)/float64(len(n.units)))
	}
}

// scale multiplies the weights until they sum to 1 over each neighbourhood and,
// to 1e-10, over all neighbourhoods of each unit. Each unit belongs to its own
// neighbourhood and membership is mutual, so that such weights exist and the
// iteration finds them. (Sinkhorn & Knopp 1967, Pacific Journal of Mathematics
// 21: 343-348.)
func scale(all []neighbourhood) {
	for range 10000 {
		sums := make([]float64, len(all))
		for _, n := range all {
			for k, i := range n.units {
				sums[i] += n.weights[k]
			}
		}
		worst := 0.0
		for _, n := range all {
			total := 0.0
			for k, i := range n.units {
				n.weights[k] /= sums[i]
				total += n.weights[k]
			}
			for k := range n.units {
				n.weights[k] /= total
			}
			worst = max(worst, math.Abs(total-1))
		}
		if worst < 1e-10 {
			return
		}
	}
}
