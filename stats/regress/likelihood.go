package regress

import (
	"encoding/binary"
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"

	"ashtally/stats/negbin"
)

// likelihood is the log-likelihood over the rows of the finite part, in the
// coordinates g of the base Q and in alpha = 1/k:
//
//	l = sum_i [ sum_{j < y_i} log(1 + alpha j) + y_i eta_i
//	            - (y_i + 1/alpha) log(1 + alpha mu_i) - log y_i! ]
//	eta = log a + Q g,  mu = exp(eta)
//
// For every alpha it is concave in g; alpha may be 0.
//
// Rows of Q that are the same are held once: counts of the same levels, of
// which there are far fewer than counts.
type likelihood struct {
	q             [][]float64 // columns of Q over distinct rows
	of            []int       // the row of q of each count; nil: each has its own
	y, logA       []float64
	counts        *negbin.Data
	logFactorials float64 // sum of log y!
	// ridge is the weight of the penalty -ridge/2 |g - centre|^2; 0 for none.
	ridge  float64
	centre []float64
}

// fromCentre is g - centre, of the ridge penalty.
func (l *likelihood) fromCentre(g []float64) []float64 {
	d := append([]float64{}, g...)
	axpy(-1, l.centre, d)
	return d
}

func newLikelihood(b *basis, s Sample, rows []int) *likelihood {
	l := &likelihood{}
	l.q, l.of = pooled(b.q)
	for _, row := range rows {
		l.y = append(l.y, s.Count[row])
		l.logA = append(l.logA, math.Log(s.Exposure[row]))
		factorial, _ := math.Lgamma(s.Count[row] + 1)
		l.logFactorials += factorial
	}
	l.counts = negbin.New(l.y, nil)
	return l
}

// pooled are the distinct rows, and the place of each row among them.
// Rows of the design that are the same are so in Q to the last bit, as they went
// through the same sums.
func pooled(q [][]float64) (few [][]float64, of []int) {
	if len(q) == 0 {
		return nil, nil
	}
	few = make([][]float64, len(q))
	of = make([]int, len(q[0]))
	at := map[string]int{}
	key := make([]byte, 8*len(q))
	for i := range of {
		for k, column := range q {
			binary.LittleEndian.PutUint64(key[8*k:], math.Float64bits(column[i]))
		}
		row, ok := at[string(key)]
		if !ok {
			row = len(at)
			at[string(key)] = row
			for k, column := range q {
				few[k] = append(few[k], column[i])
			}
		}
		of[i] = row
	}
	return few, of
}

// sums adds up the values of the counts of each distinct row.
func (l *likelihood) sums(v []float64) []float64 {
	if l.of == nil || len(l.q) == 0 {
		return v
	}
	sum := make([]float64, len(l.q[0]))
	for i, row := range l.of {
		sum[row] += v[i]
	}
	return sum
}

// linearPredictor is eta = log a + Q g.
func (l *likelihood) linearPredictor(g []float64) []float64 {
	eta := append([]float64{}, l.logA...)
	if len(l.q) == 0 {
		return eta
	}
	rows := make([]float64, len(l.q[0]))
	for k, q := range l.q {
		axpy(g[k], q, rows)
	}
	for i := range eta {
		row := i
		if l.of != nil {
			row = l.of[i]
		}
		eta[i] += rows[row]
	}
	return eta
}

// point is a parameter value with its means and log-likelihood.
type point struct {
	g      []float64
	alpha  float64
	mu     []float64
	log1p  []float64 // log(1 + alpha mu); nil where alpha is 0
	logLik float64
}

func (l *likelihood) at(g []float64, alpha float64) point {
	eta := l.linearPredictor(g)
	p := point{g: g, alpha: alpha, mu: eta}
	value, _, _ := l.counts.CountPart(alpha)
	p.logLik = value - l.logFactorials
	if alpha > 0 {
		p.log1p = make([]float64, len(eta))
	}
	for i, e := range eta {
		m := math.Exp(e)
		y := l.y[i]
		if t := alpha * m; t > 0 {
			log1p := math.Log1p(t)
			p.log1p[i] = log1p
			p.logLik += y*(e-log1p) - m*(log1p/t)
		} else {
			p.logLik += y*e - m
		}
		p.mu[i] = m
	}
	if l.ridge > 0 {
		d := l.fromCentre(g)
		p.logLik -= l.ridge / 2 * dot(d, d)
	}
	return p
}

// derivatives are the first and second derivatives of the log-likelihood; those in
// log alpha only where alpha > 0.
type derivatives struct {
	score       []float64     // in g
	information *mat.SymDense // minus the second derivatives in g
	logAlpha    float64       // in log alpha
	curvature   float64       // minus the second derivative in log alpha
	cross       []float64     // minus the mixed derivatives
}

func (l *likelihood) derivatives(p point) derivatives {
	n := len(l.y)
	residual, weight := make([]float64, n), make([]float64, n)
	if p.alpha == 0 {
		for i, mu := range p.mu {
			residual[i], weight[i] = l.y[i]-mu, mu
		}
		s := derivatives{score: l.project(residual), information: l.gram(weight), cross: make([]float64, len(l.q))}
		l.penalize(&s, p)
		return s
	}
	var first, second float64
	mixed := make([]float64, n)
	for i, mu := range p.mu {
		y, t := l.y[i], p.alpha*mu
		q := 1 + t
		residual[i] = (y - mu) / q
		weight[i] = mu * (1 + p.alpha*y) / (q * q)
		mixed[i] = p.alpha * mu * residual[i] / q
		score, scoreSlope := negbin.DispersionScoreOf(t, p.log1p[i])
		first += mu*mu*score - y*mu/q
		second += mu*mu*mu*scoreSlope + y*mu*mu/(q*q)
	}
	_, riseFirst, riseSecond := l.counts.CountPart(p.alpha)
	first, second = first+riseFirst, second+riseSecond
	s := derivatives{
		score: l.project(residual), information: l.gram(weight), cross: l.project(mixed),
		logAlpha: p.alpha * first, curvature: -p.alpha * (first + p.alpha*second),
	}
	l.penalize(&s, p)
	return s
}

// penalize takes the derivatives of the ridge penalty off.
func (l *likelihood) penalize(s *derivatives, p point) {
	if l.ridge > 0 {
		axpy(-l.ridge, l.fromCentre(p.g), s.score)
		for k := range s.score {
			s.information.SetSym(k, k, s.information.At(k, k)+l.ridge)
		}
	}
}

// score is the gradient in g alone.
func (l *likelihood) score(p point) []float64 {
	residual := make([]float64, len(l.y))
	for i, mu := range p.mu {
		residual[i] = (l.y[i] - mu) / (1 + p.alpha*mu)
	}
	return l.project(residual)
}

// expected is the expected information in g, with weights mu/(1 + alpha mu).
func (l *likelihood) expected(p point) *mat.SymDense {
	weight := make([]float64, len(p.mu))
	for i, mu := range p.mu {
		weight[i] = mu / (1 + p.alpha*mu)
	}
	return l.gram(weight)
}

// project is Q'v, the coordinates of v in the basis.
func (l *likelihood) project(v []float64) []float64 {
	out := make([]float64, len(l.q))
	v = l.sums(v)
	for k, q := range l.q {
		out[k] = dot(q, v)
	}
	return out
}

// gram is the weighted Gram matrix Q' diag(w) Q, summed over blocks of rows that
// stay in the cache.
func (l *likelihood) gram(w []float64) *mat.SymDense {
	const block = 2048
	w = l.sums(w)
	r, n := len(l.q), len(w)
	sum := mat.NewSymDense(r, nil)
	root := make([]float64, min(block, n))
	scaled := make([]float64, r*len(root))
	for from := 0; from < n; from += block {
		rows := min(block, n-from)
		for i, v := range w[from : from+rows] {
			root[i] = math.Sqrt(v)
		}
		for k, q := range l.q {
			row := scaled[k*rows : (k+1)*rows]
			for i, v := range q[from : from+rows] {
				row[i] = v * root[i]
			}
		}
		part := blas64.General{Rows: r, Cols: rows, Stride: rows, Data: scaled}
		blas64.Syrk(blas.NoTrans, 1, part, 1, sum.RawSymmetric())
	}
	return sum
}

// deviance is twice the difference in log-likelihood from the saturated model, k as
// fitted.
func (l *likelihood) deviance(p point) float64 {
	var sum float64
	for i, mu := range p.mu {
		y := l.y[i]
		if y > 0 {
			sum += y * math.Log(y/mu)
		}
		if p.alpha > 0 {
			sum -= (y + 1/p.alpha) * math.Log1p(p.alpha*(y-mu)/(1+p.alpha*mu))
		} else {
			sum -= y - mu
		}
	}
	return 2 * sum
}
