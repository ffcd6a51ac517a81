package detect

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// pointsPerPiece is the order of the Gauss-Legendre rule on each piece. The
// keys cut their pieces so that 16 points give 1e-12; see their spread.
const pointsPerPiece = 16

// rule holds the points and weights on [0, 1].
var rule = func() (r struct{ point, weight [pointsPerPiece]float64 }) {
	quad.Legendre{}.FixedLocations(r.point[:], r.weight[:], 0, 1)
	return r
}()

// nodes are quadrature points on an interval: the integral of f is
// sum weight_i f(point_i).
type nodes struct {
	point  []spot
	weight []float64
}

func (q *nodes) reset() { q.point, q.weight = q.point[:0], q.weight[:0] }

// straight adds the points of one piece. They have the log of the line itself:
// the keys that use logs are level there.
func (q *nodes) straight(from, to float64) {
	length := to - from
	for i, p := range rule.point {
		q.point = append(q.point, spot{from + length*p, math.Inf(-1)})
		q.weight = append(q.weight, length*rule.weight[i])
	}
}

// logarithmic adds the points of pieces of equal length in the log.
func (q *nodes) logarithmic(from, to float64, pieces int) {
	length := math.Log(to/from) / float64(pieces)
	for k := range pieces {
		start := math.Log(from) + float64(k)*length
		for i, p := range rule.point {
			log := start + length*p
			t := math.Exp(log)
			q.point = append(q.point, spot{t, log})
			q.weight = append(q.weight, length*rule.weight[i]*t)
		}
	}
}
