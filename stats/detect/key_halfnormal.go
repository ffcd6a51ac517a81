package detect

import "math"

// halfNormal is exp(-z/2) with z = (t/scale)^2.
type halfNormal struct{}

func (halfNormal) parameters() int { return 1 }

func (halfNormal) log(x spot, p *local) keyJet {
	z := x.t / p.scale
	z *= z
	return keyJet{value: -z / 2, s: z, ss: -2 * z}
}

func (h halfNormal) value(x spot, p *local) keyJet {
	k := h.log(x, p)
	k.value = math.Exp(k.value)
	return k
}

func (halfNormal) slope(t float64, p *local) slopeJet {
	v := -t / (p.scale * p.scale)
	return slopeJet{value: v, s: -2 * v}
}

// spread leaves out what is beyond nine scales: exp(-81/2) is under 1e-17.
// With left truncation the same is counted from the value at the near end.
func (halfNormal) spread(from, to float64, p *local, q *nodes) {
	for _, scales := range [...]float64{4.5, 9} {
		end := min(to, math.Hypot(from, scales*p.scale))
		if end > from {
			q.straight(from, end)
			from = end
		}
	}
}

// starts takes the scale of distances without truncation, which is the root
// mean square, and scales on either side. The largest is nearly flat.
func (halfNormal) starts(rms float64) [][2]float64 {
	return [][2]float64{{rms, 1}, {0.5 * rms, 1}, {3 * rms, 1}}
}
