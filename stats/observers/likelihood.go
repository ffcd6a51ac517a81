package observers

import (
	"encoding/binary"
	"math"
)

// search is so many finds that are alike, with the design rows of those who
// searched for them.
type search struct {
	rows [][]float64
	saw  []float64
	n    float64
}

// likelihood is Huggins' conditional likelihood of the finds that tell.
type likelihood struct {
	size     int
	searches []search
	chance   []float64 // scratch: of each observer of a find
	weighted []float64 // scratch: sum over observers of p x
	varied   *varied   // nil without a random effect
}

func (g *design) likelihood() *likelihood {
	l := &likelihood{size: len(g.columns), weighted: make([]float64, len(g.columns))}
	if g.varying {
		l.varied = newVaried(g.nodes, l.size)
	}
	most := 0
	at := map[string]int{} // what a search was like to its place
	x := make([]float64, l.size)
	var key []byte
	for i, who := range g.data.Searched {
		if !g.data.tells(i) {
			continue
		}
		key = key[:0] // the same for searches that tell the same
		for k, j := range who {
			g.row(x, i, j, -1)
			key = append(key, byte(oneIf(g.data.Saw[i][k])))
			for _, v := range x {
				key = binary.LittleEndian.AppendUint64(key, math.Float64bits(v))
			}
		}
		most = max(most, len(who))
		first, known := at[string(key)]
		if !known {
			first = len(l.searches)
			at[string(key)] = first
			l.searches = append(l.searches, g.search(i))
		}
		l.searches[first].n += g.data.times(i)
	}
	l.chance = make([]float64, most)
	return l
}

// search is that for a find, which it does not count yet.
func (g *design) search(i int) search {
	var s search
	for k, j := range g.data.Searched[i] {
		x := make([]float64, len(g.columns))
		g.row(x, i, j, -1)
		s.rows, s.saw = append(s.rows, x), append(s.saw, oneIf(g.data.Saw[i][k]))
	}
	return s
}

func oneIf(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// at returns the log-likelihood
//
//	l = sum_i ( sum_j ( y_ij eta_ij - log(1 + e^eta_ij) ) - log p*_i ),  p*_i = 1 - prod_j (1 - p_ij)
//
// with its gradient and Hessian. By eta these are
//
//	y_ij - p_ij / p*_i
//	p_ij p_ik (1 - p*_i) / p*_i^2, less p_ij (1 - p_ij) / p*_i where j = k.
//
// The conditional distribution is an exponential family with the eta as its
// natural parameters, so l is concave.
func (l *likelihood) at(beta, gradient []float64, hessian [][]float64) float64 {
	clear(gradient)
	for k := range hessian {
		clear(hessian[k])
	}
	var value float64
	for _, s := range l.searches {
		if l.varied != nil {
			value += s.n * l.varied.add(s, beta, gradient, hessian)
		} else {
			value += s.n * l.add(s, beta, gradient, hessian)
		}
	}
	for a := range hessian {
		for b := range a {
			hessian[b][a] = hessian[a][b]
		}
	}
	return value
}

// add adds a find to the lower triangle of the Hessian and to the gradient.
func (l *likelihood) add(s search, beta, gradient []float64, hessian [][]float64) float64 {
	var value, missed float64 // missed is the log of the chance that none sees it
	for j, x := range s.rows {
		eta := dot(x, beta)
		unseen := -softplus(eta)
		missed += unseen
		value += s.saw[j]*eta + unseen
		l.chance[j] = logistic(eta)
	}
	seen := -math.Expm1(missed)
	value -= math.Log(seen)
	clear(l.weighted)
	for j, x := range s.rows {
		p := l.chance[j]
		slope, bend := s.n*(s.saw[j]-p/seen), s.n*p*(1-p)/seen
		for a, xa := range x {
			if xa == 0 {
				continue
			}
			gradient[a] += slope * xa
			l.weighted[a] += p * xa
			for b, xb := range x[:a+1] {
				hessian[a][b] -= bend * xa * xb
			}
		}
	}
	shared := s.n * (1 - seen) / (seen * seen)
	for a, wa := range l.weighted {
		for b, wb := range l.weighted[:a+1] {
			hessian[a][b] += shared * wa * wb
		}
	}
	return value
}

func logistic(eta float64) float64 {
	if eta < 0 {
		e := math.Exp(eta)
		return e / (1 + e)
	}
	return 1 / (1 + math.Exp(-eta))
}

// softplus is log(1 + e^eta).
func softplus(eta float64) float64 {
	if eta > 0 {
		return eta + math.Log1p(math.Exp(-eta))
	}
	return math.Log1p(math.Exp(eta))
}

func dot(a, b []float64) float64 {
	var sum float64
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

// form is the quadratic form a' M a.
func form(a []float64, m [][]float64) float64 {
	var sum float64
	for i := range a {
		sum += a[i] * dot(m[i], a)
	}
	return sum
}
