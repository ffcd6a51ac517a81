package selection

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats"
	"ashtally/stats/linear"
)

// Estimated compares use with availability over all the land that the units
// stand for. Both shares are of totals U and A over the land, strata weighed by
// their area,
//
//	w_i = (U_i / U) / (A_i / A)
//
// and log w_i has the linearised variance of the residuals
//
//	z = u_i / U_i - u / U - a_i / A_i + a / A
//
// over clusters (see [linear.Layout.Spread]), so that finds that clump, trees
// that clump and the link of the two are all in it. Limits are
// w_i exp(-+ t s) at the level that Bonferroni gives each of k classes. With
// known shares the last two terms fall away.
//
// The test divides Pearson's chi-square on the finds by the mean effect of the
// design,
//
//	delta = n / (k - 1) sum_i v(o_i - pi_i) / pi_i
//
// which is 1 for independent finds, and at least 1 here; chi-square / (delta
// (k - 1)) is held to F with k - 1 and (k - 1) nu degrees of freedom (Rao &
// Scott 1984). Clumped finds leave most of m clusters nothing to say, so nu is
// Satterthwaite's mean over the terms of delta and not m - H: with m - H the
// test erred in 0.10 to 0.12 of the samples of CALIBRATION.md with 8 or 15
// sites, in place of 0.05.
//
// Special cases, each with a warning:
//
//	no finds, nothing available, a single class   no ratios, with the reason
//	a class not used         w = 0 and its exact binomial upper limit
//	all use in one class     exact binomial limits for it
//	a class not available    no ratio of its own
//	one cluster per stratum  ratios without limits
//	use in one cluster, or clusters too much alike
//	                         exact binomial limits, no p-values
//	under 15 clusters or 20 finds   the limits may not keep their level
//
// It panics on slices of unequal length, negative numbers and a confidence
// outside of (0, 1).
func Estimated(s Sample, confidence float64) Result {
	s.check(confidence)
	return s.compare(confidence)
}

// Within compares the use of each unit with that unit's own availability:
//
//	w_i = sum_s u_is / sum_s pi_is u_s
//
// over units s with u_s finds, of whose availability class i has the share
// pi_is. Where use and availability both differ from unit to unit, this is the
// selection within units, while [Estimated] also counts in what units are
// used. The variance is linearised with z = u_i / U_i - e_i / E_i, e the
// denominator; all else is as in [Estimated]. Units that offer nothing are left
// out, and a warning says how many finds they had.
// (Manly et al. 2002, section 4.6, ratios of use to that expected from each
// unit's own availability; from memory.)
func Within(s Sample, confidence float64) Result {
	s.check(confidence)
	if s.Available == nil {
		panic("selection: selection within units needs the availability of each")
	}
	n := len(s.AreaHa)
	own := s
	own.Used, own.Available = blank(len(s.Used), n), blank(len(s.Used), n)
	var lost float64
	for unit := range n {
		var offered, used float64
		for i := range s.Used {
			offered += s.Available[i][unit]
			used += s.Used[i][unit]
		}
		if offered == 0 {
			lost += used
			continue
		}
		for i := range s.Used {
			own.Used[i][unit] = s.Used[i][unit]
			own.Available[i][unit] = used * s.Available[i][unit] / offered
		}
	}
	r := own.compare(confidence)
	if lost > 0 {
		r.Warnings = append(r.Warnings, leftOut(lost))
	}
	return r
}

func blank(classes, units int) [][]float64 {
	out := make([][]float64, classes)
	for i := range out {
		out[i] = make([]float64, units)
	}
	return out
}

func (s Sample) check(confidence float64) {
	if !(confidence > 0 && confidence < 1) {
		panic("selection: confidence is not between 0 and 1")
	}
	if s.Share == nil && len(s.Available) != len(s.Used) || s.Share != nil && len(s.Share) != len(s.Used) {
		panic("selection: slice length mismatch")
	}
	for _, rows := range [][][]float64{s.Used, s.Available} {
		for _, row := range rows {
			if len(row) != len(s.AreaHa) {
				panic("selection: slice length mismatch")
			}
			for _, v := range row {
				if !(v >= 0) || math.IsInf(v, 1) {
					panic("selection: use or availability is not a number from 0")
				}
			}
		}
	}
}

// work is a sample with its totals.
type work struct {
	Sample
	layout     linear.Layout
	confidence float64
	each       float64 // confidence of one of the simultaneous intervals
	used       []float64
	available  []float64
	o, pi      []float64
	sumUsed    float64
	sumOffered float64
	unitUsed   []float64 // of all classes
	unitOffer  []float64
	finds      []float64 // as they were counted
	n          float64
}

func (s Sample) compare(confidence float64) Result {
	w := s.sum(confidence)
	r := Result{Classes: make([]Class, len(s.Used)), Finds: w.n, Units: len(s.AreaHa), Clusters: w.layout.Clusters()}
	if reason := r.impossible(w.pi); reason != nil {
		return r.without(*reason, w.finds, confidence)
	}
	for i := range s.Used {
		r.Classes[i] = w.class(i)
	}
	r.standardise()
	r.Test = w.test()
	r.Warnings = w.doubts()
	return r
}

func (s Sample) sum(confidence float64) work {
	w := work{Sample: s, layout: linear.New(s.Design), confidence: confidence, each: simultaneous(confidence, len(s.Used))}
	w.unitUsed, w.unitOffer = make([]float64, len(s.AreaHa)), make([]float64, len(s.AreaHa))
	for i, row := range s.Used {
		var finds float64
		for unit, u := range row {
			finds += u
			w.unitUsed[unit] += u
		}
		w.finds = append(w.finds, finds)
		w.n += finds
		w.used = append(w.used, w.layout.Total(row))
		w.sumUsed += w.used[i]
		if s.Share != nil {
			w.available = append(w.available, s.Share[i])
		} else {
			w.available = append(w.available, w.layout.Total(s.Available[i]))
			for unit, a := range s.Available[i] {
				w.unitOffer[unit] += a
			}
		}
		w.sumOffered += w.available[i]
	}
	w.o, w.pi = shares(w.used), shares(w.available)
	return w
}

// class estimates one class.
func (w work) class(i int) Class {
	c := Class{Finds: w.finds[i], P: math.NaN(), PAdjusted: math.NaN()}
	c.Used = w.share(w.o[i], w.layout.Spread(w.useResiduals(i)))
	c.Available = fixed(w.pi[i], w.confidence)
	if w.Share == nil {
		c.Available = w.share(w.pi[i], w.layout.Spread(w.offerResiduals(i)))
	}
	n := w.layout.Clusters()
	switch {
	case w.pi[i] == 0:
		c.Ratio = stats.Missing(w.confidence, n, notAvailable)
		return c
	case w.finds[i] == 0, w.finds[i] == w.n:
		c.Ratio = w.exact(i)
		return c
	case w.layout.Lone():
		c.Ratio = stats.Estimate{Value: w.o[i] / w.pi[i], SE: math.NaN(), Interval: stats.NoInterval(w.confidence), N: n, Warnings: []stats.Warning{oneCluster}}
		return c
	case w.tooEven(i):
		c.Ratio = w.exact(i)
		c.Ratio.Warnings = append(c.Ratio.Warnings, noSpread)
		return c
	}
	value := w.o[i] / w.pi[i]
	spread := w.layout.Spread(w.logResiduals(i))
	half := spread.Half(w.each)
	c.Ratio = stats.Estimate{Value: value, SE: value * spread.SE(), N: n, Interval: stats.Interval{
		Lower: value * math.Exp(-half), Upper: value * math.Exp(half), Confidence: w.confidence, DF: spread.DF, Method: LogT,
	}}
	c.P = spread.P(math.Log(value))
	c.PAdjusted = min(1, c.P*float64(len(w.finds)))
	if half > math.Log(widest) {
		c.Ratio.Interval = stats.NoInterval(w.confidence)
		c.Ratio.Warnings = []stats.Warning{tooWide}
	}
	return c
}

// share is a share with its standard error, without limits.
func (w work) share(value float64, s linear.Spread) stats.Estimate {
	e := fixed(value, w.confidence)
	e.N = w.layout.Clusters()
	if s.Variance > 0 {
		e.SE = s.SE()
	}
	return e
}

// exact has the binomial limits of the use, over the availability.
func (w work) exact(i int) stats.Estimate {
	e := exactShare(w.finds[i], w.n, w.each, w.confidence)
	e.N = w.layout.Clusters()
	// Strata weigh unequally, so the share of the land need not be that of the finds.
	e.Value = w.o[i]
	e.Lower, e.Upper = min(e.Lower, e.Value), max(e.Upper, e.Value)
	return over(e, w.pi[i])
}

// tooEven reports whether the use in clusters, or its distance from what they
// offer, varies so little beside chance that it is not believed: finds in one
// or two places, mostly. The share is that of package compare, which gives the
// reason for it.
func (w work) tooEven(i int) bool {
	const share = 0.1
	chance := (1 - w.o[i]) / (w.o[i] * w.n) // of log o
	use := w.layout.Spread(w.useResiduals(i)).Variance / (w.o[i] * w.o[i])
	return use < share*chance || w.pi[i] > 0 && w.layout.Spread(w.logResiduals(i)).Variance < share*chance
}

// useResiduals are those of o_i = U_i / U.
func (w work) useResiduals(i int) []float64 {
	z := make([]float64, len(w.unitUsed))
	for unit, u := range w.Used[i] {
		z[unit] = (u - w.o[i]*w.unitUsed[unit]) / w.sumUsed
	}
	return z
}

// offerResiduals are those of pi_i = A_i / A; 0 where it is known.
func (w work) offerResiduals(i int) []float64 {
	z := make([]float64, len(w.unitUsed))
	if w.Share != nil {
		return z
	}
	for unit, a := range w.Available[i] {
		z[unit] = (a - w.pi[i]*w.unitOffer[unit]) / w.sumOffered
	}
	return z
}

func (w work) logResiduals(i int) []float64 {
	z, offer := w.useResiduals(i), w.offerResiduals(i)
	for unit := range z {
		z[unit] = z[unit]/w.o[i] - offer[unit]/w.pi[i]
	}
	return z
}

// test holds all classes together to the availability.
func (w work) test() Test {
	pi := w.pi
	used := make([]float64, len(w.o)) // finds as the land's shares have them
	for i, o := range w.o {
		used[i] = o * w.n
	}
	t := goodness(used, pi)
	if math.IsNaN(t.ChiSquare) || w.layout.Lone() {
		return t
	}
	var delta, df float64
	for i := range pi {
		if pi[i] == 0 {
			continue
		}
		z, offer := w.useResiduals(i), w.offerResiduals(i)
		for unit := range z {
			z[unit] -= offer[unit]
		}
		spread := w.layout.Spread(z)
		part := w.n / t.DF * spread.Variance / pi[i]
		delta += part
		if part > 0 {
			df += part * spread.DF
		}
	}
	t.Overdispersion = max(1, delta)
	if delta > 0 {
		t.DFBetween = t.DF * df / delta
	}
	if !(t.DFBetween > 0) || w.allTooEven() {
		return t
	}
	f := distuv.F{D1: t.DF, D2: t.DFBetween}
	t.F = t.ChiSquare / (t.DF * t.Overdispersion)
	t.P, t.PG = f.Survival(t.F), f.Survival(t.G/(t.DF*t.Overdispersion))
	return t
}

func (w work) allTooEven() bool {
	for i := range w.finds {
		if w.finds[i] > 0 && w.finds[i] < w.n && !w.tooEven(i) {
			return false
		}
	}
	return true
}
