package lines

import (
	"fmt"
	"math"
	"slices"

	"ashtally/stats"
	"ashtally/stats/detect"
	"gonum.org/v1/gonum/stat/distuv"
)

// Counting is the density of one kind of object.
type Counting struct {
	N       int            // detections used that held any
	Density stats.Estimate // objects per hectare of the strata together
	Parts   []Part         // of its variance; none where nothing was found
}

// Counted estimates objects of one kind per hectare of the strata together,
// with the detection function of all kinds.
//
//	D = sum_h W_h D_h,  D_h = b sum_{j in h} c_j / mu(z_j) / sum_i sides_i l_i
//
// with counted c_j the objects of the kind in detection j, 0 where it is of
// another, and the other letters as in [Survey.Density]. Densities of kinds
// that make up a whole add up to that of the whole. The detections may include
// such as lie on no transect of the survey, with c_j = 0 and any place in On:
// so a part of the land is estimated with the detection function of all. Unlike
// in Density each stratum has groups of its own mean size.
//
// b corrects for larger groups being seen farther off: the mean size of all
// groups by Options.Size over the mean of those seen; 1 without Survey.Size,
// with covariates, or where the mean is taken as it is.
//
// The variance between lines is that of their totals of c, and so holds the
// spread of the sizes. Where b is not 1 the variance of the regression is added,
// which counts some of that spread twice and errs on the wide side. Interval,
// assumptions, special cases, errors and panics are those of [Survey.Density];
// where nothing of the kind was found the upper limit is that of Garwood's exact
// Poisson limit, all in the stratum where it weighs most:
//
//	chi2_{2, (1+confidence)/2} / 2 * mean size / mu * max_h( W_h / sum_i sides_i l_i )
//
// It also panics unless there is a count for each detection.
func (s Survey) Counted(fit *detect.Fit, counted []float64, o Options) (Counting, error) {
	o = o.settled()
	if err := s.check(fit.Sample()); err != nil {
		return Counting{}, err
	}
	if len(counted) != len(s.On) {
		panic("lines: slice length mismatch")
	}
	for i, c := range counted {
		if !(c >= 0) || math.IsInf(c, 1) {
			return Counting{}, fmt.Errorf("%w: detection %d counts %g", ErrSurvey, i+1, c)
		}
	}
	t := s.tally(fit)
	size := t.sizeBias(fit, o)
	t.count(counted)
	r := Counting{N: t.foundIn(t.weights)}
	doubts := slices.Clone(fit.Warnings)
	if r.N == 0 {
		r.Density = t.nothing(fit, o, size)
		r.Density.Warnings = append(r.Density.Warnings, doubts...)
		return r, nil
	}
	doubts = append(append(doubts, t.doubts(o)...), size.doubts...)
	r.Density, r.Parts = t.estimate(fit, o, size, t.weights)
	r.Density.Warnings = append(doubts, r.Density.Warnings...)
	return r, nil
}

// count makes the tally one of counted objects; detections without any are
// not among its detections.
func (t *tally) count(counted []float64) {
	for j, i := range t.used {
		t.c[j] = counted[i]
	}
	t.sum()
	clear(t.n)
	for j, i := range t.used {
		if t.c[j] > 0 {
			t.n[t.units[t.of[t.On[i]]].stratum]++
		}
	}
}

// sizeBias is the factor that takes the mean size of the groups seen to that
// of the groups there are.
func (t tally) sizeBias(fit *detect.Fit, o Options) sizeFactor {
	f := t.sizeFactor(fit, o)
	if f.method != SizeRegression {
		return sizeFactor{value: 1, perGroup: f.perGroup, doubts: f.doubts}
	}
	f.value /= meanSize(t.sizes(), nil).value
	return f
}

// nothing is the density of what was not found.
func (t tally) nothing(fit *detect.Fit, o Options, size sizeFactor) stats.Estimate {
	e := stats.Missing(o.Confidence, t.primaryUnitsIn(t.weights),
		warn(NoFinds, "nothing was found; the upper limit is the exact Poisson one under the detection function of all finds, too low for what grows in clumps"))
	var most float64
	for h, w := range t.weights {
		if w > 0 {
			most = max(most, w/t.effort[h])
		}
	}
	finds := distuv.ChiSquared{K: 2}.Quantile((1+o.Confidence)/2) / 2
	e.Value, e.Lower = 0, 0
	e.Upper, e.Method = finds/fit.HalfWidth.Value*most*size.perGroup*perHa, "poisson"
	if o.OnLine.Value > 0 {
		e.Upper /= o.OnLine.Value
	}
	return e
}
