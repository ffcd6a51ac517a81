package regress

import (
	"math"
	"slices"

	"ashtally/stats/regress/terms"
)

// null is a fit under a hypothesis: the maximum of the likelihood where some
// combinations of the coefficients are 0.
type null struct {
	rows    []int       // that the hypothesis does not send to 0
	q       [][]float64 // orthonormal columns of the whole model over them
	y       []float64
	top     point       // means and clumping under the hypothesis
	against [][]float64 // combinations of q, which it sets to 0
}

// within is the hypothesis that a model within the fit's is enough. Where cells
// are empty it keeps their rows as long as less has a density for them, though
// the fit has none.
func (f *Fit) within(less *Fit) *null {
	n := &null{rows: less.kept, q: newBasis(f.design, less.kept).q, y: less.l.y, top: less.top}
	n.beyond(less.base.q)
	return n
}

// beyond sets the hypothesis to what the columns of the model say more than
// those given.
func (n *null) beyond(less [][]float64) {
	whole := likelihood{q: n.q}
	var said [][]float64
	for _, column := range less {
		said = append(said, whole.onto(column))
	}
	n.against = complement(said, len(n.q))
}

// complement is an orthonormal base of what is at right angles to orthonormal
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

// without is the hypothesis c'b = 0 where the likelihood sends c'b out of all
// bounds: under it the rows that the fit has lost may have a density again.
func (f *Fit) without(c []float64) (*null, error) {
	d := flattened(f.design, c)
	n := &null{rows: recede(d, f.sample.Count).kept()}
	less := newBasis(d, n.rows)
	if less.rank() == 0 {
		return nil, ErrNotConverged
	}
	l := newLikelihood(less, f.sample, n.rows)
	g, alpha := l.start(), 0.0
	if f.Family == NB2 {
		alpha = l.moment(l.at(g, 0))
	}
	var err error
	if n.top, _, err = l.maximize(g, alpha, alpha > 0); err != nil {
		return nil, err
	}
	n.q, n.y = newBasis(f.design, n.rows).q, l.y
	n.beyond(less.q)
	return n, nil
}

// reaching is the fit to begin from where a hypothesis ties places that
// have no density to others that have: what the likelihood had sent to 0 in
// them may rise again. Elsewhere it may still fall without end, in a cell that
// another makes up for, so that it is held by a ridge to the mean density of
// all. What that takes from the fit is of the order of a thousandth of what a
// count says, and effective scores do not depend on it to first order.
func (f *Fit) reaching(mixes ...Mix) *Fit {
	g := *f
	g.away = recession{zero: make([]bool, f.Rows)}
	for _, d := range f.away.directions {
		one := recession{directions: [][]float64{d}}
		if slices.ContainsFunc(slices.Concat(mixes...), func(s Share) bool { return one.sign(f.design.Row(s.At)) != 0 }) {
			continue
		}
		g.away.directions = append(g.away.directions, d)
		for i := range f.Rows {
			g.away.zero[i] = g.away.zero[i] || one.sign(f.design.At(i)) != 0
		}
	}
	g.kept = g.away.kept()
	g.base = newBasis(f.design, g.kept)
	g.l = newLikelihood(g.base, f.sample, g.kept)
	g.top = g.l.at(g.l.start(), 0)
	alpha := 0.0
	if f.Family == NB2 {
		alpha = g.l.moment(g.top)
	}
	g.l.ridge, g.l.centre = gentle, g.l.onto(g.l.level())
	g.top = g.l.at(g.top.g, alpha)
	return &g
}

// gentle is the ridge of [Fit.reaching], against an information of about a tenth
// for each row. A cell without finds then stops at some thousandth of a find.
const gentle = 1e-4

// level is the logarithm of the mean density, for each row.
func (l *likelihood) level() []float64 {
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

// flattened is a design whose columns span what those of d say where c'b = 0.
func flattened(d *terms.Design, c []float64) *terms.Design {
	turn := reflect(c)
	flat := &terms.Design{Rows: d.Rows, Columns: d.Columns - 1, X: make([]float64, 0, d.Rows*(d.Columns-1))}
	row := make([]float64, d.Columns)
	for i := range d.Rows {
		copy(row, d.At(i))
		axpy(-2*dot(turn, row), turn, row)
		flat.X = append(flat.X, row[1:]...)
	}
	return flat
}

// reflect is the unit vector v of Householder's reflection I - 2 v v', which
// takes t to the first axis: its other columns are at right angles to t.
func reflect(t []float64) []float64 {
	v := append([]float64{}, t...)
	v[0] += math.Copysign(norm(t), t[0])
	length := norm(v)
	for k := range v {
		v[k] /= length
	}
	return v
}
