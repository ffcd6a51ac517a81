package regress

import (
	"math"
	"slices"

	"ashtally/stats/regress/terms"
)

// nullFit is the restricted maximum of the likelihood under a null hypothesis, that
// some linear combinations of the coefficients are 0.
type nullFit struct {
	rows    []int       // that the hypothesis does not send to 0
	q       [][]float64 // orthonormal columns of the whole model over them
	y       []float64
	maximum point       // means and clumping under the hypothesis
	tested  [][]float64 // combinations of q, which it sets to 0
}

// nestedNull is the hypothesis of a nested model. Where cells
// are empty it keeps their rows as long as less has a density for them, though
// the fit has none.
func (f *Fit) nestedNull(less *Fit) *nullFit {
	n := &nullFit{rows: less.kept, q: f.basisOver(less.kept).q, y: less.likelihood.y, maximum: less.maximum}
	n.testComplement(less.base.q)
	return n
}

// testComplement sets the hypothesis to the orthogonal complement of the columns
// given in those of the model.
func (n *nullFit) testComplement(less [][]float64) {
	whole := likelihood{q: n.q}
	var said [][]float64
	for _, column := range less {
		said = append(said, whole.project(column))
	}
	n.tested = complement(said, len(n.q))
}

// complement is an orthonormal basis of the orthogonal complement of orthonormal
// vectors.
func complement(vectors [][]float64, rank int) [][]float64 {
	var space [][]float64
	for k := range rank {
		v := make([]float64, rank)
		v[k] = 1
		for range 2 {
			for _, w := range vectors {
				axpy(-dot(w, v), w, v)
			}
			for _, w := range space {
				axpy(-dot(w, v), w, v)
			}
		}
		if left := norm(v); left > 1e-6 {
			for i := range v {
				v[i] /= left
			}
			space = append(space, v)
		}
	}
	return space
}

// boundaryNull is the hypothesis c'b = 0 where the estimate of c'b is infinite: under
// it rows of density 0 may have a density again.
func (f *Fit) boundaryNull(c []float64) (*nullFit, error) {
	d := constrainedDesign(f.design, c)
	n := &nullFit{rows: findRecession(d, f.sample.Count).finiteRows()}
	less := newBasis(d, n.rows)
	if less.rank() == 0 {
		return nil, ErrNotConverged
	}
	l := newLikelihood(less, f.sample, n.rows)
	g, alpha := l.startingValues(), 0.0
	if f.Family == NB2 {
		alpha = l.momentAlpha(l.at(g, 0))
	}
	var err error
	if n.maximum, _, err = l.maximize(g, alpha, alpha > 0); err != nil {
		return nil, err
	}
	n.q, n.y = f.basisOver(n.rows).q, l.y
	n.testComplement(less.q)
	return n, nil
}

// ridgeFit is a ridge-penalized fit, to begin from where a hypothesis equates
// densities of 0 with others: what was 0 may rise again. Elsewhere it may still
// fall without end, in a cell that another makes up for, so that a ridge penalty
// shrinks it to the mean density of all. What that takes from the fit is of the
// order of a thousandth of what a count says, and effective scores do not depend on
// it to first order.
func (f *Fit) ridgeFit(mixes ...Mix) *Fit {
	g := *f
	g.recession = recession{zero: make([]bool, f.Rows)}
	for _, d := range f.recession.directions {
		one := recession{directions: [][]float64{d}}
		if slices.ContainsFunc(slices.Concat(mixes...), func(s Share) bool { return one.sign(f.design.Row(s.At)) != 0 }) {
			continue
		}
		g.recession.directions = append(g.recession.directions, d)
		for i := range f.Rows {
			g.recession.zero[i] = g.recession.zero[i] || one.sign(f.design.At(i)) != 0
		}
	}
	g.kept = g.recession.finiteRows()
	g.base = newBasis(f.design, g.kept)
	g.likelihood = newLikelihood(g.base, f.sample, g.kept)
	g.maximum = g.likelihood.at(g.likelihood.startingValues(), 0)
	alpha := 0.0
	if f.Family == NB2 {
		alpha = g.likelihood.momentAlpha(g.maximum)
	}
	g.likelihood.ridge, g.likelihood.centre = ridgePenalty, g.likelihood.project(g.likelihood.logMeanDensity())
	g.maximum = g.likelihood.at(g.maximum.g, alpha)
	return &g
}

// ridgePenalty is the ridge of [Fit.ridgeFit], against an information of about a tenth
// for each row. A cell without finds then stops at some thousandth of a find.
const ridgePenalty = 1e-4

// logMeanDensity is the logarithm of the mean density, for each row.
func (l *likelihood) logMeanDensity() []float64 {
	var finds, area float64
	for i, y := range l.y {
		finds += y
		area += math.Exp(l.logA[i])
	}
	eta := make([]float64, len(l.y))
	for i := range eta {
		eta[i] = math.Log(finds / area)
	}
	return eta
}

// constrainedDesign is the design under the linear constraint c'b = 0.
func constrainedDesign(d *terms.Design, c []float64) *terms.Design {
	turn := householder(c)
	flat := &terms.Design{Rows: d.Rows, Columns: d.Columns - 1, X: make([]float64, 0, d.Rows*(d.Columns-1))}
	row := make([]float64, d.Columns)
	for i := range d.Rows {
		copy(row, d.At(i))
		axpy(-2*dot(turn, row), turn, row)
		flat.X = append(flat.X, row[1:]...)
	}
	return flat
}

// householder is the unit vector v of the Householder reflection I - 2 v v' that
// takes t to the first axis: its other columns are orthogonal to t.
func householder(t []float64) []float64 {
	v := append([]float64{}, t...)
	v[0] += math.Copysign(norm(t), t[0])
	length := norm(v)
	for k := range v {
		v[k] /= length
	}
	return v
}
