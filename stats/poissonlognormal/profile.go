package poissonlognormal

import "math"

// ProfileSigma is the log-likelihood of a standard deviation s > 0 of the log
// rate, maximized over the mean, with that mean and the observed information of
// its logarithm. If all counts are 0, the first two are 0 and the last NaN.
func (d *Data) ProfileSigma(s float64) (logLik, mean, information float64) {
	if d.total == 0 {
		return 0, 0, math.NaN()
	}
	p := d.Profile(s)
	for !p.Done() {
		p.Step()
	}
	return p.Result()
}

// Profile is the maximization of [Data.ProfileSigma], a step of Newton at a time.
type Profile struct {
	data  *Data
	s, x  float64 // standard deviation of the log rate; log of the mean
	at    derivatives
	steps int
	done  bool
}

// Profile begins at the mean of the counts. It panics where all are 0.
func (d *Data) Profile(s float64) *Profile {
	if d.total == 0 {
		panic("poissonlognormal: no profile of counts that are all 0")
	}
	x := math.Log(d.total / d.exposed)
	return &Profile{data: d, s: s, x: x, at: d.derivatives(x, s)}
}

// Done reports whether the mean is found.
func (p *Profile) Done() bool { return p.done }

// Step makes a step.
func (p *Profile) Step() {
	// The likelihood is unimodal in log m. Newton's step is bounded so as not to
	// leave the region where the second derivative is that of a maximum; the step
	// after the last would be its square.
	const longest, last, most = 1.0, 1e-3, 100
	step := math.Copysign(longest/2, p.at.first)
	if p.at.second < 0 {
		step = min(max(-p.at.first/p.at.second, -longest), longest)
	}
	p.x += step
	if math.Abs(step) < last {
		p.at.logLik += p.at.first * step / 2
		p.done = true
		return
	}
	p.at = p.data.derivatives(p.x, p.s)
	p.steps++
	p.done = p.steps == most
}

// Promised is the gain in log-likelihood that the quadratic about the mean reached
// promises; +Inf where it has no top.
func (p *Profile) Promised() float64 {
	if !(p.at.second < 0) {
		return math.Inf(1)
	}
	return p.at.first * p.at.first / (-2 * p.at.second)
}

// Result is that of [Data.ProfileSigma] at the mean reached.
func (p *Profile) Result() (logLik, mean, information float64) {
	return p.at.logLik, math.Exp(p.x), -p.at.second
}
