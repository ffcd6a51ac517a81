package detect

import (
	"fmt"
	"math"

	"ashtally/stats/detect/optimum"
)

// Bounds of the parameters, in units of the half-width. What lies beyond looks
// the same over the range of the data.
const (
	leastScale = 1e-3 // all detections on the line
	mostScale  = 1e2  // g falls by 5e-5 over the half-width: flat
	// A hazard-rate of shape under 1 has a spike on the line instead of a
	// shoulder, which no searcher produces.
	leastShape = 1
	mostShape  = 30 // falls from 0.97 to 0.03 within 8 % of the scale: a step
	// mostEffect bounds the coefficients of covariates: a hundredfold scale
	// from one level to the next, or over one standard deviation.
	mostEffect = 100
	// mostTerm bounds the coefficients of a series: t^10 at half the
	// half-width is 1e-3, so that 1e6 leaves any curve that data can ask for.
	mostTerm = 1e6
)

// problem states the maximization for the model.
func (l *likelihood) problem(free bool) optimum.Problem {
	shape := l.constraints(free)
	p := optimum.Problem{Objective: l.evaluate, Constraints: shape.evaluate, Count: shape.count()}
	add := func(lower, upper, stride float64) {
		p.Lower = append(p.Lower, lower)
		p.Upper = append(p.Upper, upper)
		p.Stride = append(p.Stride, stride)
	}
	for i := range l.scales() {
		if i == 0 {
			add(math.Log(leastScale), math.Log(mostScale), 1.5)
		} else {
			add(-math.Log(mostEffect), math.Log(mostEffect), 1.5)
		}
	}
	if l.parameters() > 1 {
		add(math.Log(leastShape), math.Log(mostShape), 1)
	}
	for range l.orders {
		add(-mostTerm, mostTerm, math.Inf(1))
	}
	return p
}

// starts lists where maximizations begin: at the starts of the key, without effects of
// covariates and without a series. A series can take over what the key does,
// which makes hills beside that of the key; with one the maximizations begin at wider
// and narrower keys too.
func (l *likelihood) starts() [][]float64 {
	starts := l.startsFrom(1)
	if len(l.orders) > 0 && l.parameters() > 0 {
		const wider = 3
		starts = append(starts, l.startsFrom(wider)...)
		starts = append(starts, l.startsFrom(1./wider)...)
	}
	return starts
}

// startsFrom lists the starts of the key, their scales multiplied by a factor.
func (l *likelihood) startsFrom(factor float64) [][]float64 {
	var starts [][]float64
	for _, s := range l.key.starts(l.rms()) {
		x := make([]float64, l.size())
		if l.parameters() > 0 {
			x[0] = math.Log(min(max(factor*s[0], leastScale), mostScale))
		}
		if l.parameters() > 1 {
			x[l.scales()] = math.Log(s[1])
		}
		starts = append(starts, x)
	}
	return starts
}

// rms is the root mean square distance, of those not truncated on the left.
func (l *likelihood) rms() float64 {
	var sum float64
	for i, t := range l.sample.t {
		sum += l.weightOf(i) * t * t
	}
	return max(math.Sqrt(sum/l.total()), leastScale)
}

// peak is the best of several maximizations.
type peak struct {
	optimum.Optimum
	starts  int
	reached int // starts that arrived within sameValue of the best
}

// sameValue is a difference of log-likelihoods that no selection could feel.
const sameValue = 1e-4

func (l *likelihood) maximize(starts [][]float64, free bool) peak {
	problem := l.problem(free)
	var ends []optimum.Optimum
	best := -1
	for _, start := range starts {
		o := problem.Maximize(start)
		ends = append(ends, o)
		if best < 0 || better(o, ends[best]) {
			best = len(ends) - 1
		}
	}
	p := peak{Optimum: ends[best], starts: len(ends)}
	for _, o := range ends {
		if o.Converged && p.Value-o.Value < sameValue {
			p.reached++
		}
	}
	return p
}

// better prefers an end that has converged, unless the other is clearly higher.
func better(a, b optimum.Optimum) bool {
	switch {
	case math.IsNaN(a.Value) || math.IsInf(a.Value, 0):
		return false
	case math.IsNaN(b.Value) || math.IsInf(b.Value, 0):
		return true
	case a.Converged && !b.Converged:
		return a.Value > b.Value-sameValue
	case b.Converged && !a.Converged:
		return a.Value > b.Value+sameValue
	}
	return a.Value > b.Value
}

// status says in words how the maximizations ended.
func (p peak) status() string {
	if !p.Converged {
		return "not converged: " + p.Doubt
	}
	return fmt.Sprintf("converged in %d rounds; %d of %d starts arrived at this maximum", p.Rounds, p.reached, p.starts)
}
