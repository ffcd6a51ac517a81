package season

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// bimodalFamily is the family of the sums of two normal curves,
//
//	rate = exp(-u1^2 / 2) + exp(ratio - u2^2 / 2),   u = (z - mode) / exp(width)
//
// in which the second has exp(ratio) times the height of the first. Modes that lie
// close make one peak with a shoulder.
type bimodalFamily struct{}

// The places of its parameters.
const (
	mode1 = iota
	width1
	mode2
	width2
	ratio
)

// farthestRatio is the logarithm of the ratio of heights beyond which one of the
// two is not there: a thousandth.
const farthestRatio = 7

func (bimodalFamily) parameters() int { return 5 }

func (bimodalFamily) box(lower, upper, stride []float64) {
	for _, i := range []int{mode1, mode2} {
		lower[i], upper[i], stride[i] = -farthestMode, farthestMode, 0.3
		lower[i+1], upper[i+1], stride[i+1] = -widthReach, widthReach, 0.5
	}
	lower[ratio], upper[ratio], stride[ratio] = -farthestRatio, farthestRatio, 1
}

func (bimodalFamily) move(x []float64, to axis) {
	for _, i := range []int{mode1, mode2} {
		x[i] = to.at(x[i])
		x[i+1] += math.Log(to.scale)
	}
}

// bending is the mean of those of the two by their parts of the flush.
func (h bimodalFamily) bending(x, d []float64) float64 {
	first, second := h.at(x).(bimodal).areas()
	return -2 * (first*d[width1] + second*d[width2])
}

func (bimodalFamily) at(x []float64) rate {
	return bimodal{bell{x[mode1], math.Exp(x[width1])}, bell{x[mode2], math.Exp(x[width2])}, x[ratio]}
}

// bimodal is one of them.
type bimodal struct {
	first, second bell
	ratio         float64
}

// bell is a Gaussian curve of height 1.
type bell struct{ mode, sd float64 }

// bellIntegral is the logarithm of its integral over a window, with the
// derivatives by mode and width.
type bellIntegral struct {
	value  float64
	first  [2]float64
	second [2][2]float64
}

func (b bell) integrate(nodes []node, a axis) (to bellIntegral) {
	from, end := a.at(nodes[0].x), a.at(nodes[len(nodes)-1].x)
	nearest := (min(max(b.mode, from), end) - b.mode) / b.sd
	highest := -nearest * nearest / 2
	var m moments
	for _, n := range nodes {
		u := (a.at(n.x) - b.mode) / b.sd
		m.add(u, n.weight*math.Exp(-u*u/2-highest))
	}
	u1, u2, u3, u4 := m[1]/m[0], m[2]/m[0], m[3]/m[0], m[4]/m[0]
	to.value = highest + math.Log(m[0])
	to.first = [2]float64{u1 / b.sd, u2}
	cross := (u3 - 2*u1 - u1*u2) / b.sd
	to.second = [2][2]float64{{(u2 - 1 - u1*u1) / (b.sd * b.sd), cross}, {cross, u4 - 2*u2 - u2*u2}}
	return to
}

func (h bimodal) integrate(nodes []node, a axis, to *logIntegral) {
	h.join(h.first.integrate(nodes, a), h.second.integrate(nodes, a), to)
}

func (h bimodal) whole(to *logIntegral) {
	of := func(b bell) bellIntegral {
		return bellIntegral{value: math.Log(b.sd * math.Sqrt(2*math.Pi)), first: [2]float64{0, 1}}
	}
	h.join(of(h.first), of(h.second), to)
}

// join adds two integrals. With p_j the part of each in the sum and f_j, s_j its
// derivatives, those of the sum are sum_j p_j f_j and
// sum_j p_j (s_j + f_j f_j') less the square of the first.
func (h bimodal) join(one, two bellIntegral, to *logIntegral) {
	by := two.value + h.ratio - one.value
	p := [2]float64{1 / (1 + math.Exp(by)), 1 / (1 + math.Exp(-by))}
	to.value = max(one.value, one.value+by) + math.Log1p(math.Exp(-math.Abs(by)))
	to.first, to.second = [mostForm + 1]float64{}, [mostForm + 1][mostForm + 1]float64{}
	for j, of := range [2]bellIntegral{one, two} {
		for i := range 2 {
			to.first[2*j+i] = p[j] * of.first[i]
			for k := range 2 {
				to.second[2*j+i][2*j+k] = p[j] * (of.second[i][k] + of.first[i]*of.first[k])
			}
		}
	}
	to.first[ratio], to.second[ratio][ratio] = p[1], p[1]
	for i := range 2 {
		to.second[mode2+i][ratio], to.second[ratio][mode2+i] = to.first[mode2+i], to.first[mode2+i]
	}
	for i := range 5 {
		for k := range 5 {
			to.second[i][k] -= to.first[i] * to.first[k]
		}
	}
	to.shifts(5, mode1, mode2)
}

// areas are the parts of the flush that the two have.
func (h bimodal) areas() (first, second float64) {
	second = 1 / (1 + h.first.sd/h.second.sd*math.Exp(-h.ratio))
	return 1 - second, second
}

// leastPart is the part of a flush that each of the two must have: one of less may
// lie before the onset or after the end.
const leastPart = 2 * outside

// lesser is the part of the flush that the lesser of the two has.
func (h bimodal) lesser() float64 { return min(h.areas()) }

func (h bimodal) share(z float64) float64 {
	first, second := h.areas()
	of := func(b bell) float64 { return distuv.UnitNormal.CDF((z - b.mode) / b.sd) }
	return first*of(h.first) + second*of(h.second)
}

func (h bimodal) spread() float64 {
	first, second := h.areas()
	apart := h.first.mode - h.second.mode
	return math.Sqrt(first*h.first.sd*h.first.sd + second*h.second.sd*h.second.sd + first*second*apart*apart)
}

// height is the rate, slope its derivative by z.
func (h bimodal) height(z float64) (height, slope float64) {
	u, v := (z-h.first.mode)/h.first.sd, (z-h.second.mode)/h.second.sd
	one, two := math.Exp(-u*u/2), math.Exp(h.ratio-v*v/2)
	return one + two, -one*u/h.first.sd - two*v/h.second.sd
}

// peaks lie between the two modes, where the slope turns from up to down. The sum
// of two Gaussians has no more than two (Robertson & Fryer 1969, Skandinavisk
// Aktuarietidskrift 52: 137-146, from memory).
func (h bimodal) peaks() []peak {
	const steps = 256
	from, to := min(h.first.mode, h.second.mode), max(h.first.mode, h.second.mode)
	var list []peak
	var highest float64
	last, before := from, math.Inf(1)
	for i := 1; i <= steps; i++ {
		z := from + (to-from)*float64(i)/steps
		_, after := h.height(z)
		if before >= 0 && after < 0 || i == steps && after >= 0 {
			top := h.turn(last, z)
			height, _ := h.height(top)
			list = append(list, peak{top, height})
			highest = max(highest, height)
		}
		last, before = z, after
	}
	for i := range list {
		list[i].height /= highest
	}
	return list
}

// turn is where the slope turns from up to down between two places.
func (h bimodal) turn(from, to float64) float64 {
	for range 60 {
		middle := from + (to-from)/2
		if _, slope := h.height(middle); slope >= 0 {
			from = middle
		} else {
			to = middle
		}
	}
	return from + (to-from)/2
}
