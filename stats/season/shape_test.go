package season

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mathext"
	"pgregory.net/rapid"

	"ashtally/stats/statstest"
)

// rates are curves of every shape, some close to the Gaussian and some far from it.
func rates() map[string]rate {
	return map[string]rate{
		"gaussian":             gaussian{0.4, -0.7},
		"skewed, hardly":       skewed{0.2, 0.8, 1e-6},
		"skewed, a little":     skewed{0.2, 0.8, -0.15},
		"skewed, later":        skewed{0.2, 0.8, -1},
		"skewed, earlier":      skewed{0.2, 0.8, 1.7},
		"skewed, exponential":  skewed{0.2, 0.3, -4},
		"bimodal":              bimodal{bell{-1, 0.4}, bell{1.2, 0.5}, -0.3},
		"bimodal, far apart":   bimodal{bell{-9, 0.4}, bell{9, 0.5}, 0.3},
		"bimodal, no trough":   bimodal{bell{-0.3, 0.6}, bell{0.3, 0.5}, 0.4},
		"bimodal, on a spread": bimodal{bell{0, 0.2}, bell{0, 1}, -1},
	}
}

// over is the integral of something over the flush, by panels of a Gauss-Legendre
// rule.
func over(r rate, of func(z float64) float64) float64 {
	peaks, reach := r.peaks(), 45*r.spread()
	var sum float64
	from, to := peaks[0].z-reach, peaks[len(peaks)-1].z+reach
	const panels = 2000
	for i := range panels {
		a, b := from+(to-from)*float64(i)/panels, from+(to-from)*float64(i+1)/panels
		sum += quad.Fixed(func(z float64) float64 { return math.Exp(logRate(r, z)) * of(z) }, a, b, 12, nil, 0)
	}
	return sum
}

// TestRates: what is known of a rate in closed form is what its integral gives.
func TestRates(t *testing.T) {
	for name, r := range rates() {
		one := func(float64) float64 { return 1 }
		all := over(r, one)
		var whole logIntegral
		r.whole(&whole)
		statstest.Relative(t, name+": whole", math.Exp(whole.value), all, 1e-8)
		mean := over(r, func(z float64) float64 { return z }) / all
		variance := over(r, func(z float64) float64 { return (z - mean) * (z - mean) }) / all
		statstest.Relative(t, name+": spread", r.spread(), math.Sqrt(variance), 1e-7)
		for _, share := range []float64{0.025, 0.3, 0.975} {
			z := quantile(r, share)
			statstest.Near(t, name+": share", r.share(z), share, 1e-12)
			window := func(a, b float64) (sum logIntegral) {
				n := window(a, b, 0)
				r.integrate(n, axis{1, 0}, &sum)
				return sum
			}
			const h = 0.01
			statstest.Near(t, name+": share of a window", r.share(z+h)-r.share(z-h), math.Exp(window(z-h, z+h).value-whole.value), 1e-9)
		}
		for _, p := range r.peaks() {
			here := logRate(r, p.z)
			for _, h := range []float64{-1e-3, 1e-3} {
				if logRate(r, p.z+h*r.spread()) >= here {
					t.Errorf("%s: no peak at %v", name, p.z)
				}
			}
		}
	}
}

// TestPeaks: two bells of equal height and spread have two peaks from two standard
// deviations apart (Robertson & Fryer 1969), which then lie between their modes.
func TestPeaks(t *testing.T) {
	if n := len((bimodal{bell{-0.99, 1}, bell{0.99, 1}, 0}).peaks()); n != 1 {
		t.Errorf("%d peaks at 1.98 standard deviations", n)
	}
	p := bimodal{bell{-1.01, 1}, bell{1.01, 1}, 0}.peaks()
	if len(p) != 2 || !(p[0].z > -1.01) || !(p[1].z < 1.01) || math.Abs(p[0].height-1) > 1e-9 || math.Abs(p[0].z+p[1].z) > 1e-9 {
		t.Errorf("peaks at 2.02 standard deviations: %v", p)
	}
	if p := (bimodal{bell{-20, 1}, bell{20, 1}, -1}).peaks(); len(p) != 2 || p[0].height != 1 || math.Abs(p[1].height-math.Exp(-1)) > 1e-12 {
		t.Errorf("far apart: %v", p)
	}
}

// TestSkewedIsGumbel: at q = 1 the log-gamma is the Gumbel distribution of minima,
// whose median is log(log 2) off the mode; the skewness at q = -2 is by the
// derivatives of the digamma function at 1/4.
func TestSkewedIsGumbel(t *testing.T) {
	statstest.Near(t, "median", quantile(skewed{3, 2, 1}, 0.5), 3+2*math.Log(math.Ln2), 1e-10)
	statstest.Near(t, "median of maxima", quantile(skewed{3, 2, -1}, 0.5), 3-2*math.Log(math.Ln2), 1e-10)
	r := skewed{0, 1, -2}
	all := over(r, func(float64) float64 { return 1 })
	mean := over(r, func(z float64) float64 { return z }) / all
	third := over(r, func(z float64) float64 { return math.Pow(z-mean, 3) }) / all
	want := 2 * mathext.Zeta(3, 0.25) / math.Pow(mathext.Zeta(2, 0.25), 1.5) // Hurwitz's zeta function, by which the derivatives are
	statstest.Relative(t, "skewness", third/math.Pow(r.spread(), 3), want, 1e-7)
}

// TestSlopes holds the derivatives of the log-gamma to differences, on either side
// of where series take over from closed forms.
func TestSlopes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := skewed{q: rapid.Float64Range(-3, 3).Draw(t, "q")}
		u := rapid.Float64Range(-3, 3).Draw(t, "u")
		const h = 1e-5
		s, up, down := c.at(u), c.at(u+h), c.at(u-h)
		more, less := skewed{q: c.q + h}.at(u), skewed{q: c.q - h}.at(u)
		scale := 1 + math.Exp(3*math.Abs(c.q))
		statstest.Near(t, "value", c.value(u), s.value, 0)
		statstest.Near(t, "u", s.u, (up.value-down.value)/(2*h), 1e-8*scale)
		statstest.Near(t, "uu", s.uu, (up.u-down.u)/(2*h), 1e-8*scale)
		statstest.Near(t, "q", s.q, (more.value-less.value)/(2*h), 1e-7*scale)
		statstest.Near(t, "uq", s.uq, (more.u-less.u)/(2*h), 1e-7*scale)
		statstest.Near(t, "qq", s.qq, (more.q-less.q)/(2*h), 1e-6*scale)
	})
}

// TestMove: a curve is the same on another scale of time.
func TestMove(t *testing.T) {
	for shape, x := range map[Shape][]float64{Gaussian: {0.3, -0.9}, Skewed: {0.2, -0.3, -0.8}, Bimodal: {-0.7, -0.9, 0.8, -0.6, 0.4}} {
		f, to := shape.family(), axis{1.7, -0.4}
		was := f.at(x)
		moved := append([]float64(nil), x...)
		f.move(moved, to)
		for _, share := range []float64{0.1, 0.5, 0.8} {
			statstest.Near(t, string(shape), quantile(f.at(moved), share), to.at(quantile(was, share)), 1e-10)
		}
	}
}

// TestShares: F is halfway through the visits of one time, wherever they were. Worked out
// by hand.
func TestShares(t *testing.T) {
	places := []fittedPlace{{time: 9}, {time: 3}, {time: 9}, {time: 5}}
	list := []residual{{mean: 1}, {mean: 2}, {mean: 3}, {mean: 2}, {mean: 2}}
	setShares(places, [][]int32{{0}, {1, 4}, {2}, {3}}, list) // 4 of 10 on day 3, 2 on day 5, 4 on day 9
	for i, want := range []float64{0.8, 0.2, 0.8, 0.5} {
		statstest.Close(t, "F", places[i].share, want, 1e-12)
		statstest.Close(t, "the polynomial of degree 3", places[i].p[0], (5*math.Pow(2*want-1, 3)-3*(2*want-1))/2, 1e-12)
	}
}
