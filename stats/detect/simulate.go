package detect

import (
	"math"
	"math/rand/v2"

	"ashtally/stats/detect/gof"
)

// simulate replaces the p-values by those of samples drawn from the curve and
// fitted again. A replicate that cannot be fitted counts as at least as large,
// which can only make p larger.
func simulate(f *Fit, o TestOptions, t *Tests) {
	ks, cvm := 1, 1
	for i := range o.Replicates {
		again := drawnAgain(f, rand.New(rand.NewPCG(o.Seed, uint64(i))))
		if again == nil {
			ks++
			cvm++
			continue
		}
		u := uniforms(again, again.sample.t)
		if gof.KolmogorovSmirnov(u).Statistic >= t.KolmogorovSmirnov.Statistic {
			ks++
		}
		if gof.CramerVonMises(u).Statistic >= t.CramerVonMises.Statistic {
			cvm++
		}
	}
	all := float64(o.Replicates + 1)
	t.KolmogorovSmirnov.P, t.CramerVonMises.P = float64(ks)/all, float64(cvm)/all
	t.KolmogorovSmirnov.Method, t.CramerVonMises.Method = "simulated from the fitted curve", "simulated from the fitted curve"
}

// drawnAgain fits the model to distances drawn from this fit at the same
// covariates; nil if that does not converge.
func drawnAgain(f *Fit, r *rand.Rand) *Fit {
	drawn := *f.sample
	drawn.t = make([]float64, len(f.sample.t))
	for i, row := range f.likelihood.row {
		drawn.t[i] = draw(f, r, f.likelihood.rows[row])
	}
	d := f.likelihood.design
	d.gather(drawn.t)
	l := drawn.likelihood(f.Model, d, nil)
	if !l.varies() {
		return nil
	}
	again := &Fit{Model: f.Model, confidence: f.confidence, sample: &drawn, likelihood: l}
	again.take(l.maximize([][]float64{f.peak.X}, f.Model.FreeShape))
	if !again.Converged {
		return nil
	}
	return again
}

// maxTries ends the rejection where nearly nothing is seen of the range: at a
// chance of 1 in 20 one draw of 30,000 goes on to the slower way.
const maxTries = 200

// draw gives a distance, in units of the scale, at a row of covariates: by
// rejection under the highest g there is, or, where that takes too long, by
// halving the range until the distribution function is met.
func draw(f *Fit, r *rand.Rand, row []float64) float64 {
	start, end := f.sample.start(), f.sample.end()
	if math.IsInf(end, 1) { // only the half-normal goes so far; see its spread
		p, _ := f.likelihood.at(f.peak.X, row)
		end = math.Hypot(start, 9*p.scale)
	}
	top := highest(f, start, end, row)
	for range maxTries {
		t := start + (end-start)*r.Float64()
		if r.Float64()*top <= f.gAt(t*f.sample.scale, row) {
			return t
		}
	}
	u := r.Float64()
	for range 60 {
		middle := (start + end) / 2
		if f.cumulative(middle*f.sample.scale, row) < u {
			start = middle
		} else {
			end = middle
		}
	}
	return (start + end) / 2
}

// highest is the highest g, which only a curve of free shape has elsewhere
// than at the near end.
func highest(f *Fit, start, end float64, row []float64) float64 {
	top := f.gAt(start*f.sample.scale, row)
	if f.Model.FreeShape {
		for k := range 101 {
			top = max(top, 1.01*f.gAt(f.sample.scale*(start+(end-start)*float64(k)/100), row))
		}
	}
	return top
}
