package lines

import (
	"math"

	"ashtally/stats"
	"ashtally/stats/density"
	"ashtally/stats/detect"
	"ashtally/stats/strata"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat/distuv"
)

// tally is what each primary sampling unit adds to a density: the sum over its detections of
// c / mu, per metre of half-width, with c the size of the group where sizes are weighted.
type tally struct {
	Survey
	layout
	used    []int     // places of the detections in the survey
	width   []float64 // effective half-width at each detection used
	c       []float64 // per detection used
	found   []float64 // per primary sampling unit
	n       []int     // detections used per stratum
	effort  []float64 // per stratum
	weights []float64 // share of each stratum in the land; 0 without a line
	byArea  bool
	// weighted is true if sizes are in c, because half-widths differ.
	weighted bool
}

func (s Survey) tally(fit *detect.Fit) tally {
	t := tally{Survey: s, layout: s.layout(), used: fit.Sample().Used(), width: fit.Widths()}
	t.weighted = s.Size != nil && len(fit.Model.Covariates) > 0
	t.c = make([]float64, len(t.used))
	for j, i := range t.used {
		t.c[j] = 1
		if t.weighted {
			t.c[j] = s.Size[i]
		}
	}
	t.sum()
	t.weigh()
	return t
}

// sum fills in what was found and searched.
func (t *tally) sum() {
	t.found = make([]float64, len(t.units))
	t.n, t.effort = make([]int, len(t.Strata)), make([]float64, len(t.Strata))
	for j, i := range t.used {
		at := t.of[t.On[i]]
		t.found[at] += t.c[j] / t.width[j]
		t.n[t.units[at].stratum]++
	}
	for _, p := range t.units {
		t.effort[p.stratum] += p.effort
	}
}

// weigh gives each stratum its share by area, or by effort unless all areas
// are known.
func (t *tally) weigh() {
	t.byArea = true
	for _, h := range t.Strata {
		t.byArea = t.byArea && h.AreaHa > 0
	}
	t.weights = make([]float64, len(t.Strata))
	var sum float64
	for h, stratum := range t.Strata {
		switch {
		case t.counts[h] == 0:
		case t.byArea:
			t.weights[h] = stratum.AreaHa
		default:
			t.weights[h] = t.effort[h]
		}
		sum += t.weights[h]
	}
	for h := range t.weights {
		t.weights[h] /= sum
	}
}

// groups is the tally of detections instead of objects.
func (t tally) groups() tally {
	t.c = make([]float64, len(t.used))
	for j := range t.c {
		t.c[j] = 1
	}
	t.sum()
	return t
}

// spread is a rate over weighted strata with its variance between lines and
// the degrees of freedom of that.
type spread struct{ rate, variance, df float64 }

func (s spread) cv() float64 { return math.Sqrt(s.variance) / s.rate }

// track is what one primary sampling unit found on what effort.
type track struct{ effort, found float64 }

// between adds up the rates of the strata: what track gives of each primary sampling unit. Strata
// of a single primary sampling unit are collapsed with another, and their primary sampling units weighted to be
// those of one stratum.
func (t tally) between(systematic string, weights []float64, of func(piece int) track) spread {
	var s spread
	var variances, dfs []float64
	c := t.collapse(weights)
	for g := range c.Clusters {
		var found, effort []float64
		var w float64
		form := func(y, a []float64) (v, df float64) { return density.RateVariance(density.Random, y, a) }
		for h := range t.Strata {
			if c.Group[h] != g {
				continue
			}
			w += weights[h]
			f, e := t.tracks(h, of)
			if c.Joint(h) {
				by := weights[h] / floats.Sum(e)
				floats.Scale(by, f)
				floats.Scale(by, e)
			} else {
				form = func(y, a []float64) (v, df float64) { return t.along[h].Variance(systematic, y, a) }
			}
			found, effort = append(found, f...), append(effort, e...)
		}
		v, df := form(found, effort)
		s.rate += w * floats.Sum(found) / floats.Sum(effort)
		s.variance += w * w * v
		variances, dfs = append(variances, w*w*v), append(dfs, df)
	}
	s.df = detect.Satterthwaite(variances, dfs)
	return s
}

// collapse groups the strata that have a weight.
func (t tally) collapse(weights []float64) strata.Collapsed {
	list, pieces := make([]strata.Stratum, len(t.Strata)), make([]int, len(t.Strata))
	for h, s := range t.Strata {
		list[h] = strata.Stratum{Name: s.Name, Mean: s.Mean, With: s.With}
		if weights[h] > 0 {
			pieces[h] = t.counts[h]
		}
	}
	return strata.Collapse(list, pieces)
}

// tracks are those of the primary sampling units of a stratum.
func (t tally) tracks(stratum int, of func(piece int) track) (found, effort []float64) {
	for at, p := range t.units {
		if p.stratum == stratum {
			track := of(at)
			found, effort = append(found, track.found), append(effort, track.effort)
		}
	}
	return found, effort
}

// track is what a primary sampling unit adds to the density of detections per square metre.
func (t tally) track(at int) track { return track{t.units[at].effort, t.found[at]} }

// coefficients are the c_j of [detect.Fit.OverWidths] that make a density.
func (t tally) coefficients(weights []float64) []float64 {
	c := make([]float64, len(t.used))
	for j, i := range t.used {
		h := t.units[t.of[t.On[i]]].stratum
		if weights[h] > 0 {
			c[j] = weights[h] * t.c[j] / t.effort[h]
		}
	}
	return c
}

func (t tally) foundIn(weights []float64) int {
	n := 0
	for h, w := range weights {
		if w > 0 {
			n += t.n[h]
		}
	}
	return n
}

func (t tally) primaryUnitsIn(weights []float64) int {
	n := 0
	for h, w := range weights {
		if w > 0 {
			n += t.counts[h]
		}
	}
	return n
}

// rate is detections per kilometre of line, whatever the sides.
func (t tally) rate(o Options) stats.Estimate {
	count := make([]float64, len(t.units))
	for _, i := range t.used {
		count[t.of[t.On[i]]]++
	}
	s := t.between(o.Systematic, t.weights, func(at int) track { return track{t.units[at].length / 1000, count[at]} })
	e := stats.Estimate{Value: s.rate, SE: math.Sqrt(s.variance), N: t.primaryUnitsIn(t.weights)}
	e.Interval = detect.LogNormal(e.Value, s.cv(), s.df, o.Confidence)
	return e
}

// stratum estimates one stratum.
func (t tally) stratum(h int, fit *detect.Fit, o Options, size sizeFactor) StratumResult {
	r := StratumResult{Name: t.Strata[h].Name, N: t.n[h], Weight: t.weights[h]}
	for _, transect := range t.Transects {
		if transect.Stratum == h {
			r.Lines++
			r.Length += transect.Length
		}
	}
	if r.Lines == 0 {
		r.Density = stats.Missing(o.Confidence, 0, warn(NotSearched, "no line was walked in %s, so there is no density", t.Strata[h].Name))
		return r
	}
	only := make([]float64, len(t.Strata))
	only[h] = 1
	if r.N == 0 {
		r.Density = t.none(h, fit, o, size)
		return r
	}
	r.Density, r.Parts = t.estimate(fit, o, size, only)
	r.Density.Warnings = append(r.Density.Warnings, t.fewLines(h)...)
	return r
}

// none is the density of a stratum where nothing was found: 0, with Garwood's
// exact Poisson limit on the number of detections as the upper limit.
func (t tally) none(h int, fit *detect.Fit, o Options, size sizeFactor) stats.Estimate {
	e := stats.Missing(o.Confidence, t.counts[h], warn(NoFinds,
		"nothing was found in %s; the upper limit is the exact Poisson one under the detection function of all strata, too low for what grows in clumps", t.Strata[h].Name))
	most := distuv.ChiSquared{K: 2}.Quantile((1+o.Confidence)/2) / 2
	e.Value = 0
	e.Lower, e.Upper, e.Method = 0, most/fit.HalfWidth.Value/t.effort[h]*size.perGroup*perHa, "poisson"
	if o.OnLine.Value > 0 {
		e.Upper /= o.OnLine.Value
	}
	return e
}

// doubts are about the lines.
func (t tally) doubts(o Options) []stats.Warning {
	var w []stats.Warning
	if o.OnLine.Value == 0 {
		w = append(w, onLineAssumed)
	}
	if !t.byArea && len(t.Strata) > 1 {
		w = append(w, warn(AreasUnknown, "the areas of the strata are not all known, so the land as a whole weighs them by the lines walked"))
	}
	collapsed := t.collapse(t.weights)
	for h, stratum := range t.Strata {
		switch {
		case t.counts[h] == 0:
			w = append(w, warn(NotSearched, "no line was walked in %s, which the density of the land leaves out", stratum.Name))
			continue
		case t.n[h] == 0:
			w = append(w, warn(NoFinds, "nothing was found in %s, which counts as 0 and adds nothing to the standard error", stratum.Name))
		}
		if t.counts[h] > 1 || !collapsed.Joint(h) {
			w = append(w, t.fewLines(h)...)
		}
		if t.counts[h] > 1 && !collapsed.Joint(h) {
			if doubt := t.along[h].Doubt(o.Systematic, "line", func(i int) string { return t.units[t.first[h]+i].name }); doubt != nil {
				if len(t.Strata) > 1 {
					doubt.Text = "in " + stratum.Name + ", " + doubt.Text
				}
				w = append(w, *doubt)
			}
		}
	}
	return append(w, collapsed.Warnings...)
}

func (t tally) fewLines(h int) []stats.Warning {
	switch n := t.counts[h]; {
	case n == 1:
		return []stats.Warning{warn(OneTransect, "%s has one independent line, so the variance between lines, and the interval, cannot be had", t.Strata[h].Name)}
	case n < fewTransects:
		return []stats.Warning{warn(FewTransects, "%s has %d independent lines; under %d the variance between them is a guess", t.Strata[h].Name, n, fewTransects)}
	}
	return nil
}
