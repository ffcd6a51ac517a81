package detect

import "math"

// maxLocal is the most parameters that a detection function has at one row of
// covariates: log scale, log shape and the coefficients of the series.
const maxLocal = 2 + MaxTerms

// jet is a value with its gradient and Hessian in the local parameters.
type jet struct {
	value    float64
	gradient [maxLocal]float64
	hessian  [maxLocal][maxLocal]float64
}

// function is g(t) = key(t) s(t). Its local parameters are those of the key,
// then the a_j.
type function struct {
	key
	basis
}

func (f function) locals() int { return f.parameters() + len(f.orders) }

// addLog adds weight times log g at x. It is false where g is not positive.
//
//	(log g)'  = (log key)' + s'/s
//	(log g)'' = (log key)'' + s''/s - (s'/s)(s'/s)
func (f function) addLog(sum *jet, weight float64, x spot, p *local, a []float64) bool {
	k := f.log(x, p)
	sum.value += weight * k.value
	n := f.parameters()
	f.addKey(sum, weight, k)
	if len(f.orders) == 0 {
		return true
	}
	s := f.at(x.t, p, a)
	if !(s.value > 0) {
		return false
	}
	sum.value += weight * math.Log(s.value)
	r, u := weight/s.value, s.s/s.value
	if f.byScale {
		sum.gradient[0] += r * s.s
		sum.hessian[0][0] += r*s.ss - weight*u*u
	}
	for i := range f.orders {
		sum.gradient[n+i] += r * s.term[i]
		if f.byScale {
			cross := r * (s.termS[i] - u*s.term[i])
			sum.hessian[0][n+i] += cross
			sum.hessian[n+i][0] += cross
		}
		for j := range f.orders {
			sum.hessian[n+i][n+j] -= r * s.term[i] * s.term[j] / s.value
		}
	}
	return true
}

func (f function) addKey(sum *jet, weight float64, k keyJet) {
	n := f.parameters()
	if n > 0 {
		sum.gradient[0] += weight * k.s
		sum.hessian[0][0] += weight * k.ss
	}
	if n > 1 {
		sum.gradient[1] += weight * k.b
		sum.hessian[0][1] += weight * k.sb
		sum.hessian[1][0] += weight * k.sb
		sum.hessian[1][1] += weight * k.bb
	}
}

// addValue adds weight times g at x: a term of its integral.
func (f function) addValue(sum *jet, weight float64, x spot, p *local, a []float64) {
	k := f.key.value(x, p)
	v := weight * k.value
	n := f.parameters()
	if len(f.orders) == 0 {
		f.addPlain(sum, v, n, k)
		return
	}
	s := f.at(x.t, p, a)
	sum.value += v * s.value
	if n > 0 {
		sum.gradient[0] += v * (k.s*s.value + s.s)
		sum.hessian[0][0] += v * ((k.ss+k.s*k.s)*s.value + 2*k.s*s.s + s.ss)
	}
	if n > 1 {
		cross := v * ((k.sb+k.s*k.b)*s.value + k.b*s.s)
		sum.gradient[1] += v * k.b * s.value
		sum.hessian[0][1] += cross
		sum.hessian[1][0] += cross
		sum.hessian[1][1] += v * (k.bb + k.b*k.b) * s.value
	}
	for i := range f.orders {
		sum.gradient[n+i] += v * s.term[i]
		if n > 0 {
			sum.cross(0, n+i, v*(k.s*s.term[i]+s.termS[i]))
		}
		if n > 1 {
			sum.cross(1, n+i, v*k.b*s.term[i])
		}
	}
}

// addPlain is addValue of a key without a series.
func (f function) addPlain(sum *jet, v float64, parameters int, k keyJet) {
	sum.value += v
	if parameters > 0 {
		sum.gradient[0] += v * k.s
		sum.hessian[0][0] += v * (k.ss + k.s*k.s)
	}
	if parameters > 1 {
		cross := v * (k.sb + k.s*k.b)
		sum.gradient[1] += v * k.b
		sum.hessian[0][1] += cross
		sum.hessian[1][0] += cross
		sum.hessian[1][1] += v * (k.bb + k.b*k.b)
	}
}

func (j *jet) cross(a, b int, v float64) {
	j.hessian[a][b] += v
	j.hessian[b][a] += v
}

// integral is that of g from one distance to another.
func (f function) integral(from, to float64, p *local, a []float64, q *nodes) jet {
	q.reset()
	f.spread(from, to, p, q)
	var sum jet
	for i, x := range q.point {
		f.addValue(&sum, q.weight[i], x, p, a)
	}
	return sum
}

// addLogOf adds weight times the log of another jet. It is false unless that
// is positive.
func (j *jet) addLogOf(weight float64, of *jet, n int) bool {
	if !(of.value > 0) || math.IsInf(of.value, 1) {
		return false
	}
	j.value += weight * math.Log(of.value)
	for a := range n {
		ga := of.gradient[a] / of.value
		j.gradient[a] += weight * ga
		for b := range n {
			j.hessian[a][b] += weight * (of.hessian[a][b]/of.value - ga*of.gradient[b]/of.value)
		}
	}
	return true
}
