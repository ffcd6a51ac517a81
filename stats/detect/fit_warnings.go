package detect

import (
	"math"

	"ashtally/stats"
)

const (
	flatScale   = 10   // times the half-width: g falls by 0.5 % over it
	fewAtLevel  = 10   // detections under which a level's scale is a guess; common practice, no source
	visibleRise = 1e-3 // of g, less than the line of a figure is wide
)

// fitWarnings are what the fit gives reason for.
func fitWarnings(f *Fit) []stats.Warning {
	var w []stats.Warning
	if !f.Converged {
		w = append(w, warn(NotConverged, "the likelihood of %s was not maximised (%s), so its figures mean nothing", f.Model, f.Status))
	} else if f.covariance == nil {
		w = append(w, warn(NoVariance, "the data do not determine the parameters of %s, so they have no standard errors", f.Model))
	}
	if len(f.peak.Binding) > 0 && f.Model.FreeShape {
		w = append(w, warn(ShapeHeld, "the curve of %s would fall below 0 and was held there; a standard error by the likelihood is off there, "+
			"and a bootstrap's is not", f.Model))
	}
	if len(f.peak.Binding) > 0 && !f.Model.FreeShape {
		w = append(w, warn(ShapeHeld, "the curve of %s would rise with distance and was held level; a standard error by the likelihood is off "+
			"there, as a rule too large but up to a fifth too small, and a bootstrap's is not", f.Model))
	}
	if at, rise := highestRise(f); rise > visibleRise {
		w = append(w, warn(ShapeRises, "the curve of %s rises by %.2g up to %.3g m from the line, though nothing is seen better farther off", f.Model, rise, at))
	}
	w = append(w, limitWarnings(f)...)
	w = append(w, covariateWarnings(f)...)
	if mu, span := f.HalfWidth.Value, f.sample.right-f.sample.left; mu > span*(1+1e-9) {
		w = append(w, warn(WideStrip, "the effective half-width of %.4g m is more than the %.4g m searched", mu, span))
	}
	return w
}

// highestRise is the most that g rises from one distance to a farther one,
// and where it has done so.
func highestRise(f *Fit) (at, rise float64) {
	if len(f.likelihood.orders) == 0 {
		return 0, 0
	}
	const steps = 400
	lowest := math.Inf(1)
	for i := range steps + 1 {
		x := f.sample.right * float64(i) / steps
		g := f.gAt(x, f.likelihood.rows[0])
		lowest = min(lowest, g)
		if g-lowest > rise {
			at, rise = x, g-lowest
		}
	}
	return at, rise
}

// limitWarnings are about scale and shape at the ends of their ranges.
func limitWarnings(f *Fit) []stats.Warning {
	var w []stats.Warning
	l := f.likelihood
	if l.parameters() > 0 && len(l.columns) == 0 {
		scale := math.Exp(f.peak.X[0])
		switch {
		case f.peak.AtBound[0] && scale < 1 && f.sample.left > 0:
			w = append(w, warn(ScaleAtLimit, "the scale of %s ran to 0: it falls off within the %.4g m left out, of which no detection tells, and is "+
				"assumed known, which makes the standard error too small", f.Model, f.sample.left))
		case f.peak.AtBound[0] && scale < 1:
			w = append(w, warn(ScaleAtLimit, "the scale of %s ran to 0: nearly all detections are on the line, as when distances are rounded to 0; "+
				"it is assumed known, which makes the standard error too small", f.Model))
		case scale > flatScale:
			w = append(w, warn(ScaleAtLimit, "detections do not thin out with distance, so the scale of %s has no upper bound in the data; was the "+
				"half-width narrower than the reach of sight? By the likelihood its standard error is far too small, or 0", f.Model))
		}
	}
	if l.parameters() > 1 && f.peak.AtBound[l.scales()] {
		if f.peak.X[l.scales()] > math.Log(leastShape)+1 {
			w = append(w, warn(ShapeAtLimit, "the hazard-rate curve became a step at its scale; its shape is assumed known, which makes the standard error too small"))
		} else {
			w = append(w, warn(ShapeAtLimit, "the hazard-rate curve became a spike on the line (shape %d, the least allowed) and is assumed known, "+
				"which makes the standard error too small: few searchers see so unevenly, so look for rounding to 0", leastShape))
		}
	}
	return w
}

// covariateWarnings are about effects without a bound and levels with few
// detections.
func covariateWarnings(f *Fit) []stats.Warning {
	var w []stats.Warning
	l := f.likelihood
	for k, c := range l.columns {
		if f.peak.AtBound[k+1] {
			w = append(w, warn(Separation, "the effect of %s on the scale has no bound in the data and was stopped at a factor of %d", c.name, mostEffect))
		}
	}
	flat := 0
	for r, row := range l.rows {
		if p, _ := l.at(f.peak.X, row); p.scale > flatScale {
			flat += len(l.groups[r].members)
		}
	}
	if flat > 0 && len(l.columns) > 0 {
		w = append(w, warn(Separation, "at the covariates of %s nothing thins out with distance, so their scale has no upper bound in the data",
			plural(flat, "detection")))
	}
	for _, name := range f.Model.Covariates {
		w = append(w, f.sample.rareLevels(name)...)
	}
	return w
}

func (s *Sample) rareLevels(name string) []stats.Warning {
	var w []stats.Warning
	for _, c := range s.covariates {
		if c.Name != name || c.Level == nil {
			continue
		}
		count := map[string]int{}
		for _, level := range c.Level {
			count[level]++
		}
		for _, level := range c.levels() {
			if count[level] < fewAtLevel {
				w = append(w, warn(FewAtLevel, "%s=%s has %s, too few for a scale of its own", name, level, plural(count[level], "detection")))
			}
		}
	}
	return w
}
