package detect

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
)

const (
	mostSpiked  = 0.3 // of the scale of the wider half-normal: more is no spike
	leastLevel  = 0.5 // from here on the two have a shoulder
	leastHazard = 2.5 // shape from which on a hazard-rate has one
	// mostInSpike is the share of the detections in the narrower one, at most: more
	// would be a shoulder with a long tail.
	mostInSpike = 0.95
)

// classBorders are the classes of distance of the test, as shares of the
// effective half-width.
var classBorders = [...]float64{1. / 16, 1. / 8, 3. / 16, 1. / 4, 3. / 8, 1. / 2, 5. / 8, 3. / 4, 1, 5. / 4, 3. / 2, 7. / 4, 2, 5. / 2, 3}

// classes are the distances in classes, without covariates; nil where they do not
// differ. With grouped distances the classes are theirs, with rounded ones borders lie
// halfway between two steps. The last ends at the half-width, or at the
// largest distance where that is infinite.
func (s *Sample) classes(f *Fit) *Sample {
	if s.bins != nil {
		c := *s
		c.covariates = nil
		return &c
	}
	var d Data
	from, right := 0.0, min(s.right, s.scale)
	add := func(to float64) {
		if to > from {
			d.Bins = append(d.Bins, Bin{from, to})
			from = to
		}
	}
	width := f.Widths()[0]
	for _, share := range classBorders {
		add(min(s.border(share*width), right))
	}
	add(right)
	for _, t := range s.t {
		d.Distance = append(d.Distance, t*s.scale)
	}
	c, err := New(d)
	if err != nil {
		return nil
	}
	return c
}

// mixed is the best of some detection functions for distances in classes.
type mixed struct {
	logLik float64
	shares []float64 // of the classes, expected
}

func (m *mixed) take(logLik float64, shares []float64) {
	if logLik > m.logLik {
		m.logLik, m.shares = logLik, shares
	}
}

// proximity is how much better a spike fits than a shoulder, and where.
type proximity struct {
	ratio    float64 // twice the difference of the log-likelihoods
	x        float64 // m
	seen, of int
	expected float64 // within x, with a shoulder
}

func (p proximity) String() string {
	return fmt.Sprintf("%s within %.3g m of the line, where %.1f of all %d are expected", plural(p.seen, "detection"), p.x, p.expected, p.of)
}

// spike fits both to classes of distance. scale is that of the half-normal, of which
// those of two are multiples.
func (s *Sample) spike(scale float64) proximity {
	n := make([]float64, len(s.bins))
	for _, j := range s.bin {
		n[j]++
	}
	spiked, shoulder := mixed{logLik: math.Inf(-1)}, mixed{logLik: math.Inf(-1)}
	for wide := 0.85 * scale; wide < 6*scale; wide *= 1.15 {
		q := s.halfNormalShares(wide)
		for _, narrow := range [...]float64{0.025, 0.05, 0.075, 0.1, 0.125, 0.15, 0.2, 0.25, mostSpiked} {
			spiked.take(mixture(n, s.halfNormalShares(narrow*wide), q))
		}
		for _, narrow := range [...]float64{leastLevel, 0.6, 0.8} {
			shoulder.take(mixture(n, s.halfNormalShares(narrow*wide), q))
		}
	}
	s.shoulder(HalfNormal, &shoulder)
	if 2*(spiked.logLik-shoulder.logLik) > spikeLevel {
		s.shoulder(HazardRate, &shoulder)
	}
	if shoulder.shares == nil {
		return proximity{}
	}
	p := proximity{ratio: 2 * (spiked.logLik - shoulder.logLik)}
	p.locate(s, n, shoulder.shares)
	return p
}

// shoulder takes in a key.
func (s *Sample) shoulder(key Key, best *mixed) {
	m := Model{Key: key}
	d, err := s.design(nil)
	if err != nil {
		return
	}
	l := s.likelihood(m, d, nil)
	problem := l.problem(false)
	if key == HazardRate {
		problem.Lower[1] = math.Log(leastHazard)
	}
	for _, start := range l.starts() {
		o := problem.Maximize(start)
		if !o.Converged || o.Value <= best.logLik {
			continue
		}
		f := &Fit{Model: m, sample: s, likelihood: l}
		f.take(peak{Optimum: o})
		shares := make([]float64, len(s.bins))
		before := 0.0
		for j, b := range s.bins {
			to := f.shareUpTo(b.To * s.scale)
			shares[j], before = to-before, to
		}
		best.take(o.Value, shares)
	}
}

// halfNormalShares are those of the classes by a half-normal.
func (s *Sample) halfNormalShares(scale float64) []float64 {
	beyond := func(t float64) float64 { return math.Erfc(t / scale / math.Sqrt2) }
	shares := make([]float64, len(s.bins))
	all := 1 - beyond(s.bins[len(s.bins)-1].To)
	for j, b := range s.bins {
		shares[j] = (beyond(b.From) - beyond(b.To)) / all
	}
	return shares
}

// mixture finds the share a of p beside q of maximum likelihood for the counts n of
// classes, by Newton's method: the likelihood is concave in a.
func mixture(n, p, q []float64) (logLik float64, shares []float64) {
	shares = make([]float64, len(n))
	a := 0.3
	for range 30 {
		floats.AddScaledTo(shares, q, a, floats.SubTo(make([]float64, len(n)), p, q))
		var slope, curvature float64
		for j, k := range n {
			if k > 0 {
				r := (p[j] - q[j]) / shares[j]
				slope += k * r
				curvature += k * r * r
			}
		}
		if curvature == 0 {
			break
		}
		next := min(max(a+slope/curvature, 0), mostInSpike)
		if math.Abs(next-a) < 1e-6 {
			break
		}
		a = next
	}
	for j, k := range n {
		if k > 0 {
			logLik += k * math.Log(shares[j])
		}
	}
	return logLik, shares
}

// locate is the distance within which most more are seen than expected.
func (p *proximity) locate(s *Sample, n, shares []float64) {
	var seen, expected float64
	p.of = s.N()
	most := math.Inf(-1)
	for j, b := range s.bins {
		seen += n[j]
		expected += shares[j] * float64(p.of)
		if seen-expected > most {
			most = seen - expected
			p.x, p.seen, p.expected = b.To*s.scale, int(seen), expected
		}
	}
}
