package lines

import (
	"math"

	"ashtally/stats"
	"ashtally/stats/density"
	"ashtally/stats/detect"
)

const perHa = 1e4 // square metres

// Options choose among the methods. The zero value is the default of each.
type Options struct {
	Confidence float64 // in (0, 1); 0: 0.95
	Systematic string  // variance of the encounter rate, one of density.Systematics; empty: density.Random
	Size       SizeMethod
	// OnLine is the chance that an object on the line is found, with its
	// standard error, as two observers can measure it. Value 0: taken to be 1,
	// with a warning.
	OnLine struct{ Value, SE float64 }
}

func (o Options) settled() Options {
	if o.Confidence == 0 {
		o.Confidence = 0.95
	}
	if o.Systematic == "" {
		o.Systematic = density.Random
	}
	switch {
	case !(o.Confidence > 0 && o.Confidence < 1):
		panic("lines: confidence is not between 0 and 1")
	case !density.KnownSystematic(o.Systematic):
		panic("lines: unknown variance " + o.Systematic)
	case o.Size != SizeByEvidence && o.Size != SizeMean && o.Size != SizeRegression:
		panic("lines: unknown group size " + string(o.Size))
	case !(o.OnLine.Value >= 0 && o.OnLine.Value <= 1 && o.OnLine.SE >= 0):
		panic("lines: chance on the line is not between 0 and 1")
	}
	return o
}

// Result is a density with what it is made of.
type Result struct {
	Density stats.Estimate // objects per hectare of the land as a whole
	Groups  stats.Estimate // detections (groups) per hectare; the same without sizes
	Strata  []StratumResult
	Parts   []Part // of the variance of Density

	Rate      stats.Estimate // detections per km of line, weighted as the strata are
	HalfWidth stats.Estimate // effective, of one side, m
	GroupSize stats.Estimate // objects per group; 1 without sizes
	SizeBy    SizeMethod     // how it was estimated; empty without sizes
}

// StratumResult is the density of one stratum, with the detection function of
// all.
type StratumResult struct {
	Name    string
	N       int     // detections used
	Lines   int     // transects
	Length  float64 // of all transects, m
	Weight  float64 // share of the land
	Density stats.Estimate
	Parts   []Part
}

// Part is one source of the variance of a density.
type Part struct {
	Source string  // FromUnits, FromDetectability, FromGroupSize or FromLine
	CV     float64 // of this part alone
	Share  float64 // of the squared CV of the density
	DF     float64
}

// The sources of the variance of a density.
const (
	FromUnits         = "units"                     // what lines find per length differs from line to line
	FromDetectability = "detectability"             // the detection function is estimated
	FromGroupSize     = "group size"                // so is the mean size of groups
	FromLine          = "detectability on the line" // and what is seen on the line itself
)

// Density estimates objects per hectare from a fitted detection function.
//
//	D = sum_h W_h D_h,  D_h = n_h E(s) / ( mu sum_i sides_i l_i )
//
// with W_h the share of stratum h in the land, E(s) the mean size of a group
// and mu the effective half-width. With covariates each detection counts for
// itself, its size s_j over the half-width at its covariates,
//
//	D_h = sum_{j in h} s_j / mu(z_j) / sum_i sides_i l_i
//
// The variance adds up independent parts: between lines (Options.Systematic, on
// what each line adds to D; sites count as lines), of the detection function and of
// group size,
//
//	cv^2 = cv_rate^2 + cv_mu^2 + cv_size^2
//
// with a log-normal interval and Satterthwaite's degrees of freedom. N is
// the number of lines or sites.
//
// The fit is taken for the only model that was thought of. Where it was chosen
// from several the interval is too narrow, and [Survey.Bootstrap] over all
// of them the one to report.
//
// It assumes that lines lie independently of the objects, that strata were
// sampled apart, that one detection function serves all strata, and that
// everything on the line is found unless Options.OnLine says otherwise.
//
// Special cases, each with a warning:
//
//	one line in a stratum        no variance, so no interval; in the density of all it is
//	                             collapsed with another ([strata.Collapse])
//	under 10 lines               the interval rests on a guess of their spread
//	a stratum without a line     left out of the land
//	a stratum without finds      D_h = 0, no standard error, the upper limit that of 3.7 detections
//	                             (Garwood's exact Poisson limit at 95 %) under this detection function
//	areas not all known          strata weighted by effort
//	a fit that has not converged no variance
//	the same rate on every line  the encounter rate has the variance of Poisson counts
//	a half-width known to worse than 1.3 of itself: no standard error or limits
//	an upper limit over a hundred times the density: not given
//
// Errors are [ErrSurvey] for a length, a number of sides, a size or an area
// that cannot be. It panics on places out of range and slices of unequal
// length.
//
// References: Buckland et al. (2001), sections 3.6 and 3.7; Fewster et al.
// (2009), Biometrics 65: 225-236; Marques & Buckland (2003), Biometrics 59:
// 924-935; from memory.
func (s Survey) Density(fit *detect.Fit, o Options) (Result, error) {
	o = o.settled()
	if err := s.check(fit.Sample()); err != nil {
		return Result{}, err
	}
	t := s.tally(fit)
	size := t.sizeFactor(fit, o)
	r := Result{HalfWidth: fit.HalfWidth, SizeBy: size.method}
	doubts := append([]stats.Warning(nil), fit.Warnings...)
	doubts = append(doubts, t.doubts(o)...)
	doubts = append(doubts, size.doubts...)

	r.Density, r.Parts = t.estimate(fit, o, size, t.weights)
	r.Groups, _ = t.groups().estimate(fit, o, noSize, t.weights)
	doubts = append(doubts, r.Density.Warnings...)
	r.Density.Warnings, r.Groups.Warnings = doubts, doubts
	r.GroupSize = t.groupSize(size, r, o)
	r.Rate = t.rate(o)
	for h := range s.Strata {
		r.Strata = append(r.Strata, t.stratum(h, fit, o, size))
	}
	return r, nil
}

// estimate puts a density and its variance together, over strata with the
// weights given.
func (t tally) estimate(fit *detect.Fit, o Options, size sizeFactor, weights []float64) (stats.Estimate, []Part) {
	between := t.between(o.Systematic, weights, t.track)
	_, detection := fit.OverWidths(t.coefficients(weights))
	e := stats.Estimate{Value: between.rate * size.value * perHa, N: t.primaryUnitsIn(weights)}
	parts := []Part{
		{Source: FromUnits, CV: between.cv(), DF: between.df},
		{Source: FromDetectability, CV: math.Sqrt(detection) / between.rate, DF: fit.DF()},
	}
	if between.variance == 0 {
		parts[0].CV = 1 / math.Sqrt(float64(t.foundIn(weights)))
		e.Warnings = append(e.Warnings, noSpread)
	}
	if size.separate {
		parts = append(parts, Part{Source: FromGroupSize, CV: size.cv, DF: size.df})
	}
	if o.OnLine.Value > 0 {
		e.Value /= o.OnLine.Value
		parts = append(parts, Part{Source: FromLine, CV: o.OnLine.SE / o.OnLine.Value, DF: math.Inf(1)})
	}
	cv, df := combine(parts)
	if cv := parts[1].CV; math.Log1p(cv*cv) > mostLogSpread*mostLogSpread {
		e.SE, e.Interval = math.NaN(), stats.NoInterval(o.Confidence)
		e.Warnings = append(e.Warnings, warn(Unstable, "the standard error of the detection function is %.2g times the effective half-width, so "+
			"the figure is not to be trusted and has no standard error or limits", cv))
		return e, parts
	}
	e.SE = e.Value * cv
	e.Interval = detect.LogNormal(e.Value, cv, df, o.Confidence)
	return bounded(e), parts
}

// combine adds up the parts, and fills in their shares.
func combine(parts []Part) (cv, df float64) {
	var variances, dfs []float64
	var sum float64
	for _, p := range parts {
		variances, dfs = append(variances, p.CV*p.CV), append(dfs, p.DF)
		sum += p.CV * p.CV
	}
	for i := range parts {
		parts[i].Share = variances[i] / sum
	}
	return math.Sqrt(sum), detect.Satterthwaite(variances, dfs)
}
