package negbin

// CountPart is the part of the log-likelihood that holds alpha = 1/k and the
// counts but no mean,
//
//	sum_i sum_{j < y_i} log(1 + alpha j)
//
// with its first and second derivative in alpha. A model that gives every
// unit a mean of its own needs it beside its means; alpha may be 0.
func (d *Data) CountPart(alpha float64) (value, first, second float64) {
	s := d.riseSlope(alpha)
	return d.rise(alpha), s.first, s.second
}

// Bend is [log(1+t) - t/(1+t)] / t^2 and its derivative for t >= 0: the slope
// of the log-likelihood of one count in alpha is mu^2 Bend(alpha mu) -
// y mu/(1 + alpha mu) beside its share of [Data.CountPart].
func Bend(t float64) (value, derivative float64) { return bend(t) }

// Crossing finds how far from the peak at x0 a profile likelihood has fallen
// by drop, on the side of the sign of step. f returns the fall and its
// derivative. It returns an infinity if the fall is less within reach of x0.
func Crossing(x0, step, reach, drop float64, f func(x float64) (fall, derivative float64)) float64 {
	return crossing(x0, step, reach, drop, f)
}
