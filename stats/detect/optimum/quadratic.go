package optimum

import "math"

// halfSpace is the set of d with normal.d >= bound.
type halfSpace struct {
	normal []float64
	bound  float64
}

// quadratic minimises 1/2 d'Bd + g'd over the d that lie in every half space,
// with B = L L'. It returns d and a multiplier for every half space, 0 where
// it does not bind; ok is false if no d lies in all of them.
//
// It is the dual method of Goldfarb & Idnani (1983), Mathematical Programming
// 27: 1-33: from the minimum without any half space, those that are violated
// are taken on one by one, the worst first, and those whose multiplier would
// turn negative are let go.
func quadratic(l [][]float64, g []float64, spaces []halfSpace) (d, multipliers []float64, ok bool) {
	q := &dual{l: l, spaces: spaces, d: solve(l, g), multipliers: make([]float64, len(spaces))}
	for i := range q.d {
		q.d[i] = -q.d[i]
	}
	q.measure()
	// Each round ends with one more half space satisfied at a higher value of
	// the dual, so no active set comes back; ten rounds per half space is far
	// more than is ever needed and ends a loop that rounding might cause.
	for range 10 * (len(spaces) + 1) {
		worst := q.worst()
		if worst < 0 {
			return q.d, q.multipliers, true
		}
		if !q.take(worst) {
			return nil, nil, false
		}
	}
	return nil, nil, false
}

// dual is the state of the method: the active half spaces and their multipliers.
type dual struct {
	l           [][]float64
	spaces      []halfSpace
	size        []float64 // of each normal in the metric of B inverse, to compare violations
	d           []float64
	active      []int
	multipliers []float64
}

func (q *dual) measure() {
	q.size = make([]float64, len(q.spaces))
	for i, s := range q.spaces {
		q.size[i] = math.Sqrt(dot(s.normal, solve(q.l, s.normal)))
	}
}

// slackTolerance is a violation, in units of the distance that B measures, that
// counts as none: B is an information matrix here, so that it is a share of a
// standard error.
const slackTolerance = 1e-10

// independent is the share of a normal, squared, that must be at right angles
// to the active ones for a step along it: of less, rounding has made most.
const independent = 1e-10

// worst is the half space violated most, -1 if none is.
func (q *dual) worst() int {
	worst, most := -1, slackTolerance
	for i, s := range q.spaces {
		if q.size[i] == 0 || q.isActive(i) {
			continue
		}
		if violation := (s.bound - dot(s.normal, q.d)) / q.size[i]; violation > most {
			worst, most = i, violation
		}
	}
	return worst
}

func (q *dual) isActive(i int) bool {
	for _, a := range q.active {
		if a == i {
			return true
		}
	}
	return false
}

// take moves d until half space p holds, letting go of active ones on the way.
func (q *dual) take(p int) bool {
	normal := q.spaces[p].normal
	for range len(q.spaces) + 1 {
		z, r := q.directions(normal)
		blocking, dualStep := q.blocking(r)
		primalStep := math.Inf(1)
		if along := dot(z, normal); len(q.active) < len(normal) && along > independent*q.size[p]*q.size[p] {
			primalStep = (q.spaces[p].bound - dot(normal, q.d)) / along
		}
		step := min(dualStep, primalStep)
		if math.IsInf(step, 1) {
			return false
		}
		if !math.IsInf(primalStep, 1) {
			addScaled(q.d, step, z)
		}
		for j, a := range q.active {
			q.multipliers[a] -= step * r[j]
		}
		q.multipliers[p] += step
		if step == primalStep {
			q.active = append(q.active, p)
			return true
		}
		q.drop(blocking)
	}
	return false
}

// directions are the step z of d along which the active half spaces keep
// their values, and the change r of their multipliers.
func (q *dual) directions(normal []float64) (z, r []float64) {
	z = solve(q.l, normal)
	n := len(q.active)
	if n == 0 {
		return z, nil
	}
	columns := make([][]float64, n)
	gram, right := square(n), make([]float64, n)
	for i, a := range q.active {
		columns[i] = solve(q.l, q.spaces[a].normal)
		for j := range i + 1 {
			gram[i][j] = dot(q.spaces[q.active[j]].normal, columns[i])
			gram[j][i] = gram[i][j]
		}
		right[i] = dot(q.spaces[a].normal, z)
	}
	l := square(n)
	if !cholesky(l, gram) { // cannot happen while z is tested for independence
		return make([]float64, len(z)), make([]float64, n)
	}
	r = solve(l, right)
	for i := range columns {
		addScaled(z, -r[i], columns[i])
	}
	return z, r
}

// blocking is the place in the active set whose multiplier first reaches 0,
// and the step at which it does.
func (q *dual) blocking(r []float64) (place int, step float64) {
	place, step = -1, math.Inf(1)
	for j, a := range q.active {
		if r[j] > 0 {
			if t := q.multipliers[a] / r[j]; t < step {
				place, step = j, t
			}
		}
	}
	return place, step
}

func (q *dual) drop(place int) {
	q.multipliers[q.active[place]] = 0
	q.active = append(q.active[:place], q.active[place+1:]...)
}
