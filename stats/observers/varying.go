package observers

import (
	"math"
	"slices"

	"ashtally/stats"
	"ashtally/stats/mixture"
)

// looksToVary is how many observers must have searched for a find that tells of
// sight that varies among finds: what two saw always agrees with some even sight.
const looksToVary = 3

// mostVaried bounds the standard deviation of the random effect. With 4 a find one
// standard deviation below an even chance is seen in 2 of 100 looks, and hardly any
// look tells of it.
const mostVaried = 4

// looks reports whether some find that tells had three observers or more.
func (d Data) looks() bool {
	for i, who := range d.Searched {
		if len(who) >= looksToVary && d.tells(i) {
			return true
		}
	}
	return false
}

// at sets the random effect of a row, its last column, where there is one.
func (g *design) at(x []float64, q mixture.Node) {
	if g.varying {
		x[len(x)-1] = q.Z
	}
}

// varied is what the likelihood of a model with a random effect has beside that
// of one without.
type varied struct {
	nodes        []mixture.Node
	seen, unseen *mixture.Sum
	slope        []float64   // scratch, as the next two
	missed       []float64   //
	bend         [][]float64 //
}

func newVaried(nodes []mixture.Node, size int) *varied {
	return &varied{nodes, mixture.New(size), mixture.New(size), make([]float64, size), make([]float64, size), square(size)}
}

// add adds a find to the log-likelihood of a model with a normal random effect of
// finds on the logit scale (Coull & Agresti 1999, Biometrics 55: 294-301, from memory), to its
// gradient and to the lower triangle of its Hessian:
//
//	l = log sum_q w_q prod_j p_jq^y_j (1 - p_jq)^(1 - y_j) - log(1 - P),  P = sum_q w_q prod_j (1 - p_jq)
func (v *varied) add(s search, beta, gradient []float64, hessian [][]float64) float64 {
	v.seen.Reset()
	v.unseen.Reset()
	for _, q := range v.nodes {
		saw, missed := v.node(s, q, beta)
		v.seen.Add(saw, v.slope, v.bend)
		v.unseen.Add(missed, v.missed, v.bend)
	}
	v.seen.Close()
	v.unseen.Close()
	odds := math.Exp(v.unseen.Log) / -math.Expm1(v.unseen.Log) // P / (1 - P)
	g, u := v.seen.Gradient, v.unseen.Gradient
	for a := range g {
		gradient[a] += s.n * (g[a] + odds*u[a])
		for b := range a + 1 {
			hessian[a][b] += s.n * (v.seen.Hessian[a][b] - g[a]*g[b] + odds*v.unseen.Hessian[a][b] + odds*odds*u[a]*u[b])
		}
	}
	return v.seen.Log - math.Log(-math.Expm1(v.unseen.Log))
}

// node returns the logs of the terms of a node in both sums, and leaves their
// derivatives in the scratch.
func (v *varied) node(s search, q mixture.Node, beta []float64) (saw, missed float64) {
	saw, missed = math.Log(q.Weight), math.Log(q.Weight)
	clear(v.slope)
	clear(v.missed)
	for a := range v.bend {
		clear(v.bend[a])
	}
	for j, x := range s.rows {
		x[len(x)-1] = q.Z
		eta := dot(x, beta)
		p, unseen := logistic(eta), -softplus(eta)
		missed += unseen
		saw += s.saw[j]*eta + unseen
		for a, xa := range x {
			v.slope[a] += (s.saw[j] - p) * xa
			v.missed[a] -= p * xa
			for b, xb := range x[:a+1] {
				v.bend[a][b] -= p * (1 - p) * xa * xb
			}
		}
	}
	return saw, missed
}

// sees is the mean over the random effect of an observer's probability to see a
// find, with its gradient by the parameters.
func (f *Fit) sees(i, observer int) (p float64, gradient []float64) {
	x := make([]float64, len(f.x))
	gradient = make([]float64, len(f.x))
	f.design.row(x, i, observer, -1)
	for _, q := range f.design.nodes {
		f.design.at(x, q)
		here := logistic(dot(x, f.x))
		p += q.Weight * here
		for k := range x {
			gradient[k] += q.Weight * here * (1 - here) * x[k]
		}
	}
	return p, gradient
}

// spared moves the limits of what a model with a random effect makes of some finds
// so that they hold the lower limit of Chao's bound, which asks for no shape of the
// distribution. Where the standard deviation is at its limit there is no upper one:
// half of all finds might be seen by nobody.
func (s *Sight) spared(f *Fit, bound stats.Estimate) {
	if bound.N == 0 {
		return
	}
	factor := bound.Lower / float64(bound.N)
	s.Present.Lower = min(s.Present.Lower, s.FruitBodies*factor)
	s.Together.Upper = max(s.Together.Upper, 1/factor)
	if last := f.Parameters[len(f.Parameters)-1]; last.AtLimit && last.Value > 0 {
		s.Present.Upper = math.NaN()
		s.Present.Warnings = append(slices.Clip(s.Present.Warnings), upperOpen)
	}
}
