package poissonlognormal

import "math"

// fractions are the powers of 2 by 256ths from 0 on, 2^(j/256).
var fractions = func() (list [256]float64) {
	for j := range list {
		list[j] = math.Exp2(float64(j) / 256)
	}
	return list
}()

// decay is e^x within 1e-15 of itself, for negative x faster than math.Exp: with n the
// whole number nearest to x 256/ln 2,
//
//	e^x = 2^(n/256) e^r,  r = x - n ln 2/256
//
// and e^r its Taylor polynomial of degree 4, as |r| is at most 0.0014 (Tang 1989, ACM
// Transactions on Mathematical Software 15: 144-157).
func decay(x float64) float64 {
	const (
		least = -700 // under which the power of 2 may not be a normal number
		high  = 0x1.62e42fep-9
		low   = math.Ln2/256 - high // n times high is exact
	)
	if !(x > least && x < 0) {
		return math.Exp(x)
	}
	n := int(x*(256/math.Ln2) - 0.5)
	r := x - float64(n)*high - float64(n)*low
	whole := math.Float64frombits(uint64(n>>8+1023) << 52)
	return whole * fractions[n&255] * (1 + r*(1+r*(1.0/2+r*(1.0/6+r/24))))
}
