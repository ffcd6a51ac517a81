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

// DispersionScoreOf is the part of the score in the dispersion alpha that a mean has
// without its count, [log(1+t) - t/(1+t)] / t^2 at t = alpha mu >= 0, and its
// derivative in t, for a log(1+t) that is known: the score of one count y is mu^2 times
// it less y mu/(1 + alpha mu), beside its share of [Data.CountPart].
func DispersionScoreOf(t, log1p float64) (value, derivative float64) {
	if t < closedFrom {
		return dispersionScore(t)
	}
	q := 1 + t
	value = (log1p - t/q) / (t * t)
	return value, (1/(q*q) - 2*value) / t
}
