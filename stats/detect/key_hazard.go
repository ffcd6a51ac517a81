package detect

import "math"

// hazardRate is 1 - exp(-u) with u = (t/scale)^-shape.
//
// All its derivatives come from two numbers: eta = log u, which is linear in
// log scale and in the shape, and q = u / (exp(u) - 1) = d log key / d eta.
type hazardRate struct{}

func (hazardRate) parameters() int { return 2 }

// certain is the u from which the key is 1 to the last digit: exp(-40) is
// under 1e-17.
const certain = 40

func (h hazardRate) log(x spot, p *local) keyJet {
	k, u, above := h.slopes(x, p)
	if u < certain {
		k.value = math.Log(above) - u
	}
	return k
}

func (h hazardRate) value(x spot, p *local) keyJet {
	k, u, above := h.slopes(x, p)
	k.value = 1
	if u < certain {
		k.value = above / (1 + above)
	}
	return k
}

// slopes are the derivatives of the log of the key, and what its value comes
// from: u, and exp(u) - 1 where u is under certain.
func (hazardRate) slopes(x spot, p *local) (k keyJet, u, above float64) {
	eta := -p.shape * (x.log - p.logScale)
	if u = math.Exp(eta); u >= certain {
		return keyJet{}, u, math.Inf(1)
	}
	q, curve := hazardSlopes(u)
	return keyJet{
		s:  q * p.shape,
		b:  q * eta,
		ss: curve * p.shape * p.shape,
		sb: curve*p.shape*eta + q*p.shape,
		bb: curve*eta*eta + q*eta,
	}, u, u / q
}

// hazardSlopes is q and dq/d eta = q (1 - u - q).
func hazardSlopes(u float64) (q, curve float64) {
	if u < 1e-12 { // q is 1 - u/2 there, and the difference 1 - q has no digits
		return 1, -u / 2
	}
	q = u / math.Expm1(u)
	return q, q * (1 - u - q)
}

func (hazardRate) slope(t float64, p *local) slopeJet {
	eta := -p.shape * (math.Log(t) - p.logScale)
	u := math.Exp(eta)
	if u >= certain {
		return slopeJet{}
	}
	q, curve := hazardSlopes(u)
	return slopeJet{
		value: -q * p.shape / t,
		s:     -curve * p.shape * p.shape / t,
		b:     -(curve*eta + q) * p.shape / t,
	}
}

// spread takes the shoulder as one piece, and the fall in pieces of equal
// length in log t, for there the key has the same width whatever its shape. A
// tail beyond 60 in eta has less than 1e-12 of the integral unless shape times
// the log of the range is far more than the bounds of both allow.
func (hazardRate) spread(from, to float64, p *local, q *nodes) {
	shoulder := p.scale * math.Exp(-math.Log(certain)/p.shape)
	if from < shoulder {
		end := min(to, shoulder)
		q.straight(from, end)
		from = end
	}
	if from >= to {
		return
	}
	span := p.shape * math.Log(to/from)
	if span > 60 {
		span = 60
		to = from * math.Exp(span/p.shape)
	}
	q.logarithmic(from, to, int(math.Ceil(span/3)))
}

func (hazardRate) starts(rms float64) [][2]float64 {
	return [][2]float64{{0.8 * rms, 2.5}, {0.4 * rms, 1.5}, {1.2 * rms, 5}}
}
