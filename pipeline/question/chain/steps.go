package chain

import (
	"context"
	"fmt"
	"slices"

	"ashtally/pipeline/estimate"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/chain"
)

// massLink is the link from fruit bodies to mass.
const massLink = "mass"

// step is a link of a chain with the density at its end.
type step struct {
	link            string
	factor, density stats.Estimate
	warnings        []stats.Warning
}

// steps are the links that a set has: counted, and those of the corrections that it
// can be given. A link that it lacks is named in the warnings of the step before.
func (c *chains) steps(ctx context.Context, of set, confidence float64) ([]step, error) {
	d, err := c.counted(ctx, of, confidence)
	if err != nil {
		return nil, err
	}
	steps := []step{{link: survey.Counted, density: d}}
	if !(d.Value >= 0) {
		return steps, nil
	}
	for _, link := range []string{survey.Detected, survey.Whole} {
		factor, warnings, ok := c.factor(of, link, len(steps) > 1, confidence)
		last := &steps[len(steps)-1]
		if !ok {
			last.warnings = append(last.warnings, warnings...)
			continue
		}
		next := step{link, factor, chain.Times(last.density, factor), stats.Distinct(last.warnings, warnings)}
		if domains, ok := c.ofOneMethod(of); ok && link == survey.Detected {
			if next.density, next.factor, err = c.known.Corrected.Over(domains, confidence); err != nil {
				return nil, err
			}
		}
		steps = append(steps, next)
	}
	return steps, nil
}

// ofOneMethod are the domains of a set that rests on a single method: its density
// corrected for detection is that of results/corrected.
func (c *chains) ofOneMethod(of set) ([]fieldwork.Domain, bool) {
	var domains []fieldwork.Domain
	one := true
	c.each(of, func(p part, _, _ float64) {
		domains = append(domains, p.domain)
		one = one && p.domain.Method == domains[0].Method
	})
	return domains, one
}

// leastCorrected is the share of what was counted that must have a factor for the
// whole to have one.
const leastCorrected = 0.5

// factor is that of a link over a set: the mean of the factors of its parts. Lines
// whose detection on the line itself is not known are corrected by their detection
// function already. A part without a season's factor has that of the others.
func (c *chains) factor(of set, link string, detected bool, confidence float64) (stats.Estimate, []stats.Warning, bool) {
	var terms []chain.Term
	var with, grown, all float64
	var warnings, reasons []stats.Warning
	var without []string
	c.each(of, func(p part, landHa, weight float64) {
		d := landHa * weight * p.density
		f, ok, none := p.detection, p.detects, c.known.Detection.None
		if link == survey.Whole {
			f, ok, none = p.season, p.lasts, c.known.Seasons.None
			if detected && p.detects {
				d *= p.detection.Value
			}
		}
		method := c.methods[p.method]
		if !ok {
			if reason, told := none[method]; told {
				reasons = stats.AppendDistinct(reasons, reason)
			}
			if link == survey.Detected && method != result.Line || link == survey.Whole {
				all += d
				without = append(without, method)
			}
			if link == survey.Detected {
				terms = append(terms, chain.Term{Density: d, Factor: one(confidence), Source: p.method})
			}
			return
		}
		with, grown, all = with+d, grown+d*f.Value, all+d
		warnings = stats.AppendNewCodes(warnings, f.Warnings...)
		source := p.method
		if link == survey.Whole {
			source = 0
		}
		terms = append(terms, chain.Term{Density: d, Factor: chain.At(f.Estimate, confidence), Source: source})
	})
	corrected := slices.ContainsFunc(terms, func(t chain.Term) bool { return t.Factor.Value != 1 || t.Factor.SE != 0 })
	if !corrected || with < leastCorrected*all {
		return stats.Estimate{}, reasons, false
	}
	if len(without) > 0 && link == survey.Detected {
		slices.Sort(without)
		more := (all - with) * (grown/with - 1) / (grown + all - with)
		warnings = append(warnings, linkInPart.With("detection was not measured for some methods (%s), which count as if it were certain; with "+
			"the detection probability of the others, the density would be %s higher",
			fieldwork.NameList(slices.Compact(without)), fieldwork.SharePercent(more)).Moving(more))
	}
	return chain.Mean(terms, confidence), warnings, true
}

// one is the factor of what is not corrected.
func one(confidence float64) stats.Estimate {
	return stats.Estimate{Value: 1, Interval: stats.Interval{Lower: 1, Upper: 1, Confidence: confidence, Method: "known"}}
}

// endOf is the place of the step that crop and harvest stand on.
func endOf(steps []step, basis string) int {
	links := []string{survey.Counted, survey.Detected, survey.Whole}
	upTo := slices.Index(links, basis)
	if upTo < 0 {
		upTo = len(links)
	}
	end := 0
	for i, s := range steps {
		if slices.Index(links, s.link) <= upTo {
			end = i
		}
	}
	return end
}

// Over is the end of the chain of some strata, given by their places in Season.Strata.
func (c *chains) Over(ctx context.Context, strata []int, confidence float64) (question.End, error) {
	of := set{method: everyMethod}
	for i, h := range c.strata {
		if slices.Contains(strata, h.at) {
			of.strata = append(of.strata, i)
		}
	}
	if len(of.strata) == 0 {
		return question.End{Density: stats.Missing(confidence, 0, stats.NoUnits.With("nothing was searched here")), Link: survey.Counted}, nil
	}
	steps, err := c.steps(ctx, of, confidence)
	if err != nil {
		return question.End{}, err
	}
	s := steps[endOf(steps, c.season.Settings.Report.Basis)]
	s.density.Warnings = stats.Distinct(s.density.Warnings, s.warnings)
	return question.End{Density: s.density, Link: s.link, Members: c.members(of)}, nil
}

// counted is the density that was counted: of one method as results/density has it, of
// several by their weights.
func (c *chains) counted(ctx context.Context, of set, confidence float64) (stats.Estimate, error) {
	var members []fieldwork.Domain
	methods := map[int]bool{}
	single := 0
	c.each(of, func(p part, _, _ float64) {
		members, methods[p.method], single = append(members, p.domain), true, p.method
	})
	if len(methods) == 1 {
		name := c.season.PooledStratum(c.domainsOf(single))
		switch {
		case len(of.strata) == 1:
			name = c.season.Strata[members[0].Stratum].Name
		case len(members) < len(c.domainsOf(single)):
			return c.known.Densities.Over(ctx, members, confidence)
		}
		if confidence == c.season.Settings.Confidence {
			d, _ := c.known.Densities.Of(c.methods[single], name, result.All)
			return d, nil
		}
		return c.known.Densities.Over(ctx, members, confidence)
	}
	key := keyOf(of.strata, confidence)
	if _, done := c.counts[key]; !done {
		c.countAll(of.strata, confidence)
	}
	return c.counts[key], nil
}

func keyOf(strata []int, confidence float64) string { return fmt.Sprint(strata, confidence) }

// countAll finds the densities of a set of strata and of each stratum, at once, as the
// counts of all tell of the limits of each.
func (c *chains) countAll(strata []int, confidence float64) {
	areas := [][]int{strata, c.every()}
	for i := range c.strata {
		areas = append(areas, []int{i})
	}
	for a, e := range c.weights.Densities(areas, estimate.Options(c.season.WithConfidence(confidence))) {
		c.counts[keyOf(areas[a], confidence)] = e
	}
}
