package detect

import "math"

// likelihood is that of one model on one sample:
//
//	exact    l = sum_i w_i [ log g(x_i) - log integral g ]
//	grouped  l = sum_i w_i [ log integral_{bin of i} g - log integral g ]
//
// with g the detection function at the covariates of detection i, integrated
// over the range of the sample. The weights w_i are 1, or how often a
// bootstrap drew the detection.
//
// The parameters are the coefficients of log scale, log shape, the a_j: those
// that the model has. A likelihood has buffers of its own and serves one
// goroutine.
type likelihood struct {
	function
	design
	sample *Sample
	weight []float64 // per detection; nil: all 1
	groups []group   // per row of the design
	nodes  nodes
}

// group is the detections that share a row of covariates.
type group struct {
	members []int
	weight  float64
	at      []float64 // weight at each distance of the row; nil without any
	perBin  []float64 // weight in each bin of a grouped sample, which has no at
}

func (s *Sample) likelihood(m Model, d design, weight []float64) *likelihood {
	l := &likelihood{function: function{keys[m.Key], newBasis(m)}, design: d, sample: s, weight: weight}
	l.groups = make([]group, len(d.rows))
	for i, r := range d.row {
		g := &l.groups[r]
		w := l.weightOf(i)
		if w == 0 {
			continue
		}
		g.members = append(g.members, i)
		g.weight += w
		switch {
		case s.bins == nil && g.at == nil:
			g.at = make([]float64, len(d.distances[r]))
		case s.bins != nil && g.perBin == nil:
			g.perBin = make([]float64, len(s.bins))
		}
		if s.bins == nil {
			g.at[d.place[i]] += w
		} else {
			g.perBin[s.bin[i]] += w
		}
	}
	return l
}

func (l *likelihood) weightOf(i int) float64 {
	if l.weight == nil {
		return 1
	}
	return l.weight[i]
}

// total is the sum of the weights: the detections.
func (l *likelihood) total() float64 {
	var sum float64
	for _, g := range l.groups {
		sum += g.weight
	}
	return sum
}

// scales is the number of coefficients of log scale.
func (l *likelihood) scales() int {
	if l.parameters() == 0 {
		return 0
	}
	return len(l.columns) + 1
}

func (l *likelihood) size() int { return l.scales() + max(0, l.parameters()-1) + len(l.orders) }

// at splits the parameters into those of the key at a row and those of the series.
func (l *likelihood) at(x, row []float64) (p local, a []float64) {
	n := l.scales()
	var logScale, logShape float64
	for i := range n {
		logScale += x[i] * row[i]
	}
	if l.parameters() > 1 {
		logShape = x[n]
		n++
	}
	return newLocal(logScale, logShape), x[n:]
}

// evaluate is the log-likelihood, -Inf outside the domain. It adds its gradient
// and Hessian to what the caller has set to 0.
func (l *likelihood) evaluate(x, gradient []float64, hessian [][]float64) float64 {
	var value float64
	for r, g := range l.groups {
		if g.weight == 0 {
			continue
		}
		p, a := l.at(x, l.rows[r])
		var sum jet
		if !l.addGroup(&sum, r, &p, a) {
			return math.Inf(-1)
		}
		value += sum.value
		l.expand(l.rows[r], &sum, gradient, hessian)
	}
	return value
}

func (l *likelihood) addGroup(sum *jet, row int, p *local, a []float64) bool {
	g := &l.groups[row]
	for j, w := range g.perBin {
		if w == 0 {
			continue
		}
		bin := l.integral(l.sample.bins[j].From, l.sample.bins[j].To, p, a, &l.nodes)
		if !sum.addLogOf(w, &bin, l.locals()) {
			return false
		}
	}
	for j, w := range g.at {
		if w > 0 && !l.addLog(sum, w, l.distances[row][j], p, a) {
			return false
		}
	}
	whole := l.whole(p, a, &l.nodes)
	return sum.addLogOf(-g.weight, &whole, l.locals())
}

// whole is the integral of g over the range of the sample.
func (l *likelihood) whole(p *local, a []float64, q *nodes) jet {
	return l.integral(l.sample.start(), l.sample.end(), p, a, q)
}

// expand carries derivatives in the local parameters to those of the model.
// Log scale is the only local parameter that several of them make up.
func (l *likelihood) expand(row []float64, sum *jet, gradient []float64, hessian [][]float64) {
	for i := range l.locals() {
		fromI, partsI := l.parts(i, row)
		for ci, wi := range partsI {
			gradient[fromI+ci] += wi * sum.gradient[i]
			if hessian == nil {
				continue
			}
			for j := range l.locals() {
				fromJ, partsJ := l.parts(j, row)
				for cj, wj := range partsJ {
					hessian[fromI+ci][fromJ+cj] += wi * wj * sum.hessian[i][j]
				}
			}
		}
	}
}

var alone = []float64{1}

// parts is where the parameters that make up local parameter i begin, and
// with what weights they do.
func (l *likelihood) parts(i int, row []float64) (from int, weights []float64) {
	if l.parameters() == 0 {
		return i, alone
	}
	if i == 0 {
		return 0, row
	}
	return l.scales() + i - 1, alone
}
