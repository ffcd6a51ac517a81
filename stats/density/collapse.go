package density

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"ashtally/stats"
	"ashtally/stats/strata"
)

// Collapse joins each part of a single independent unit or site, whose variance
// cannot be had, with another ([strata.Collapse]), so that [Land] has the variance
// of both. Joint parts are those of [Join], each in the place of its first; the
// others are as they are.
func Collapse(parts []Part, o Options) []Part {
	c := Groups(parts)
	var out []Part
	done := map[int]bool{}
	for i, p := range parts {
		switch g := c.Group[i]; {
		case g < 0 || c.Strata[g] == 1:
			out = append(out, p)
		case !done[g]:
			done[g] = true
			out = append(out, Join(Members(parts, c, g), c.Warnings, o))
		}
	}
	return out
}

// Groups are the parts that [Collapse] joins. A part of one unit that was counted
// whole has its variance, 0, and is not collapsed; nor is one without area.
func Groups(parts []Part) strata.Collapsed {
	list, units := make([]strata.Stratum, len(parts)), make([]int, len(parts))
	for i, p := range parts {
		list[i] = strata.Stratum{Name: p.Name, Mean: p.Mean, With: p.With}
		switch {
		case p.AreaHa == 0:
		case p.N == 1 && !math.IsNaN(p.SE):
			units[i] = 2
		default:
			units[i] = p.N
		}
	}
	return strata.Collapse(list, units)
}

// Members are the parts of a group.
func Members(parts []Part, c strata.Collapsed, group int) []Part {
	var members []Part
	for i, p := range parts {
		if c.Group[i] == group {
			members = append(members, p)
		}
	}
	return members
}

// Join makes one part of several strata of which some have a single independent
// unit or site.
//
//	D_g = sum_h W_h D_h / W_g,  W_g = sum_h W_h
//	v_g = m / (m-1) * sum_h (1 - f_h) sum_{s in h} c_s^2,  c_s = W_h / (W_g a_h) * (y_s - D_g a_s)
//
// over the m sites s of the strata h, with f_h the share of stratum h that was
// searched, as in [Stratum]. A systematic layout does not come into it. The limits
// are those of all sites as one sample, by the method of the options, moved to D_g
// and stretched as v_g asks; without finds the upper limit is the exact Poisson
// one, with all finds where they would count most.
//
// Parts without a Sample have their estimates alone to go by. Then the squared
// distance of a single unit from the mean D_p of the others stands for its
// variance, which it is on average where the strata do not differ,
//
//	v_g = [ W_p^2 v_p + W_1^2 (D_1 - D_p)^2 / (1 + 1/n_p) ] / W_g^2
//
// with n_p the units of the others; k strata of one unit each have
// k/(k-1) sum_h W_h^2 (D_h - D_g)^2 / W_g^2. The limits are Student's on the log
// scale with n_p, or k - 1, degrees of freedom.
//
// The part has the name of all, and their warnings with their names, but not that
// each alone has no variance. It panics where [Stratum] does, and on a single part.
func Join(members []Part, collapsed []stats.Warning, o Options) Part {
	o = o.settled()
	if len(members) < 2 {
		panic("density: fewer than two strata to join")
	}
	members = slices.SortedFunc(slices.Values(members), func(a, b Part) int { return cmp.Compare(a.Name, b.Name) })
	joint := Part{joint: true}
	var names []string
	var own []stats.Warning
	for _, p := range members {
		joint.AreaHa += p.AreaHa
		names = append(names, p.Name)
		alone := p
		if p.N == 1 {
			alone.Warnings = slices.DeleteFunc(slices.Clone(p.Warnings), func(w stats.Warning) bool { return slices.Contains(loneCodes, w.Code) })
		}
		own = carry(own, alone)
	}
	joint.Name = strings.Join(names, " and ")
	if slices.ContainsFunc(members, func(p Part) bool { return len(p.Sample.Count) == 0 }) {
		joint.Estimate = fromEstimates(members, o.Confidence)
	} else {
		joint.Estimate = fromSamples(members, o)
	}
	joint.Warnings = slices.Concat(own, collapsed, joint.Warnings)
	return joint
}

// loneCodes are the warnings of a single unit or site: that it has no variance.
var loneCodes = []string{"one-unit", "one-site"}

// JointSpread is the variance of [Join] with its degrees of freedom, for samples
// of counts that need not be whole.
func JointSpread(members []Part) (variance, df float64) {
	j := poolSites(members)
	return j.variance, float64(len(j.count) - 1)
}

// pooledSites are the sites of several strata as one sample.
type pooledSites struct {
	totals
	density  float64 // of the strata by their areas
	variance float64 // of that
	chance   float64 // the same if finds were independent
	heaviest float64 // most that a find adds to the density
}

func poolSites(members []Part) pooledSites {
	var area float64
	for _, p := range members {
		area += p.AreaHa
	}
	var j pooledSites
	of := make([]totals, len(members))
	for h, p := range members {
		of[h] = p.Sample.totals()
		j.density += p.AreaHa / area * of[h].density()
		j.finds += of[h].finds
		j.searched += of[h].searched
	}
	var squares []float64
	for h, p := range members {
		w := p.AreaHa / area / of[h].searched
		left, _ := of[h].populationFactor(p.Sample.LandHa)
		j.heaviest = max(j.heaviest, w)
		j.chance += w * w * of[h].finds * left
		for s, y := range of[h].count {
			c := w * (y - j.density*of[h].area[s])
			squares = append(squares, left*c*c)
		}
		j.count, j.area = append(j.count, of[h].count...), append(j.area, of[h].area...)
	}
	m := float64(len(j.count))
	j.variance = m / (m - 1) * stats.Sum(squares)
	return j
}

// fromSamples estimates the strata together from their sites.
func fromSamples(members []Part, o Options) stats.Estimate {
	j := poolSites(members)
	e := stats.Estimate{Value: j.density, SE: math.NaN(), Interval: stats.NoInterval(o.Confidence), N: len(j.count)}
	switch {
	case j.finds == 0:
		e.Interval = j.garwood(o.Confidence)
		e.Upper *= j.heaviest * j.searched
		return e
	case !(j.variance > noVariance*j.density*j.density):
		e.SE, e.Interval = math.Sqrt(j.chance), scaled(j.garwood(o.Confidence), j.density/j.totals.density())
		e.Warnings = []stats.Warning{noSpread}
		return e
	}
	e.SE = math.Sqrt(j.variance)
	f := figure{totals: j.totals, value: j.totals.density(), options: o}
	f.random, f.df = random(f.totals)
	f.variance = j.variance * (f.value / j.density) * (f.value / j.density)
	e.Interval, e.Warnings = f.interval()
	e.Interval = scaled(e.Interval, j.density/f.value)
	return e
}

func scaled(i stats.Interval, by float64) stats.Interval {
	i.Lower, i.Upper = i.Lower*by, i.Upper*by
	return i
}

// fromEstimates puts estimates together of which some are of a single unit.
func fromEstimates(members []Part, confidence float64) stats.Estimate {
	e := stats.Estimate{SE: math.NaN(), Interval: stats.NoInterval(confidence)}
	var area, highest float64
	var lone, others []Part
	for _, p := range members {
		area += p.AreaHa
		e.N += p.N
		if p.N == 1 {
			lone = append(lone, p)
			continue
		}
		others = append(others, p)
		highest = max(highest, p.Upper)
	}
	e.Value = meanOf(members)
	v, df := loneVariance(lone, others)
	switch {
	case e.Value == 0 && len(others) > 0:
		e.Lower, e.Upper, e.Method = 0, highest, others[0].Method
	case v > noVariance*e.Value*e.Value*area*area:
		e.SE = math.Sqrt(v) / area
		f := figure{value: e.Value, variance: e.SE * e.SE, df: df, options: Options{Confidence: confidence}}
		found := logT{}.limits(f)
		e.Lower, e.Upper, e.DF, e.Method = found.lower, found.upper, df, logT{}.name()
	}
	return e
}

// meanOf is the density of parts together.
func meanOf(parts []Part) float64 {
	var area, sum float64
	for _, p := range parts {
		area += p.AreaHa
		sum += p.AreaHa * p.Value
	}
	return sum / area
}

// loneVariance is the variance of the total of parts of a single unit and others,
// NaN if one of the others lacks its own.
func loneVariance(lone, others []Part) (variance, df float64) {
	if len(others) == 0 { // each against the mean of all
		mean, n := meanOf(lone), float64(len(lone))
		for _, p := range lone {
			d := p.AreaHa * (p.Value - mean)
			variance += n / (n - 1) * d * d
		}
		return variance, n - 1
	}
	mean := meanOf(others)
	for _, p := range others {
		df += float64(p.N)
		if p.Value > 0 {
			variance += p.AreaHa * p.AreaHa * p.SE * p.SE
		}
	}
	for _, p := range lone {
		d := p.AreaHa * (p.Value - mean)
		variance += d * d / (1 + 1/df)
	}
	return variance, df
}
