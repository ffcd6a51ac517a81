package chain

import (
	"math"
	"slices"

	"ashtally/pipeline/estimate"
	"ashtally/pipeline/estimate/mass"
	"ashtally/pipeline/estimate/transect"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/chain"
	"ashtally/stats/density"
	"ashtally/stats/detect/lines"
)

// chains are the densities of a survey, by stratum and method, with what puts them
// together.
type chains struct {
	season  *fieldwork.Season
	known   *question.Known
	methods []string
	strata  []stratum
	weights chain.Weights
	lead    int // the method that stands alone where methods may disagree; -1 where they do not
	counts  map[string]stats.Estimate
	widthCV float64 // of the effective width of lines
	lines   []stats.Warning
}

// stratum is one that any method reached, with its parts.
type stratum struct {
	at    int // in Season.Strata
	parts []part
}

// of is the place of a method among the parts; -1 for none.
func (h stratum) of(method int) int {
	return slices.IndexFunc(h.parts, func(p part) bool { return p.method == method })
}

// part is a stratum as one method saw it.
type part struct {
	method            int
	domain            fieldwork.Domain
	density           float64 // counted
	haPerM            float64 // of lines
	detection, season question.Factor
	detects, lasts    bool // whether there are such factors
	sample            chain.Sample
}

// newChains gathers the drawn units of each method by stratum. Adaptive cluster plots
// have their drawn plots in common with the plots, and are not among them.
func newChains(s *fieldwork.Season, known *question.Known) *chains {
	c := &chains{season: s, known: known, lead: -1, counts: map[string]stats.Estimate{}}
	seasons := s.UnitSeasons()
	strata := make([]stratum, len(s.Strata))
	for _, method := range s.DrawnMethods() {
		domains := known.Lines.Domains
		if method != result.Line {
			domains = s.Domains(method, seasons)
		}
		m := len(c.methods)
		c.methods = append(c.methods, method)
		for _, d := range domains {
			if d.Years != result.All {
				continue
			}
			e, ok := known.Densities.Of(method, s.Strata[d.Stratum].Name, result.All)
			if !ok || math.IsNaN(e.Value) {
				continue
			}
			p := part{method: m, domain: d, density: e.Value}
			place := question.Place{Method: method, Stratum: s.Strata[d.Stratum].Name}
			p.detection, p.detects = known.Detection.Of[place]
			p.season, p.lasts = known.Seasons.Of[place]
			strata[d.Stratum].parts = append(strata[d.Stratum].parts, p)
		}
	}
	for at, h := range strata {
		if len(h.parts) > 0 {
			h.at = at
			c.strata = append(c.strata, h)
		}
	}
	c.widths()
	c.combine()
	return c
}

// widths finds the effective area of a metre of line: finds over density and length,
// over all strata.
func (c *chains) widths() {
	line := slices.Index(c.methods, result.Line)
	if line < 0 {
		return
	}
	c.widthCV = widthCV(c.known.Lines)
	var finds, base float64
	for _, h := range c.strata {
		if i := h.of(line); i >= 0 {
			counted := c.known.Lines.Counted(h.parts[i].domain)
			finds += fieldwork.Sum(fieldwork.FindsOf(counted))
			base += h.parts[i].density * lengthM(h.parts[i].domain)
		}
	}
	for i := range c.strata {
		h := &c.strata[i]
		at := h.of(line)
		if at < 0 {
			continue
		}
		p := &h.parts[at]
		length := lengthM(p.domain)
		counted := fieldwork.Sum(fieldwork.FindsOf(c.known.Lines.Counted(p.domain)))
		switch {
		case counted > 0 && p.density > 0:
			p.haPerM = counted / p.density / length
		case finds > 0 && base > 0:
			p.haPerM = finds / base
		case len(h.parts) == 1: // no other method needs the width, but it must be one
			p.haPerM = aMetre
		default: // nothing was found along any line, which has no width then
			h.parts = slices.Delete(h.parts, at, at+1)
			c.lines = []stats.Warning{lineWidth.With("nothing was found along lines, so they have no effective width and are left out of the density of all methods")}
		}
	}
}

// aMetre is the area of a metre of line a metre wide.
const aMetre = 1. / fieldwork.SquareMetresPerHa

// lengthM is the length of the lines of a domain, each season's.
func lengthM(d fieldwork.Domain) float64 {
	var sum float64
	for _, u := range d.Units {
		sum += u.Unit.HorizontalM
	}
	return sum
}

// combine weights the methods of each stratum; where their agreement is in doubt one
// of them stands alone.
func (c *chains) combine() {
	strata := make([]chain.Stratum, len(c.strata))
	for i := range c.strata {
		h := &c.strata[i]
		strata[i].LandHa = c.season.Strata[h.at].AreaHa
		for k := range h.parts {
			h.parts[k].sample = c.sample(h.parts[k])
			strata[i].Samples = append(strata[i].Samples, h.parts[k].sample)
		}
	}
	c.weights = chain.Combine(strata, estimate.Options(c.season))
	if c.weights.Test.DF == 0 || c.weights.Test.P >= leastAgreement {
		return
	}
	c.lead = c.leading()
	for i, h := range c.strata {
		if k := h.of(c.lead); k >= 0 && len(h.parts) > 1 {
			c.weights.Only(i, k)
		}
	}
}

// leastAgreement is the p-value from which methods are combined. Few strips or lines
// seldom show a difference of a third under 0.05, and a pretest at that level protects
// least where it matters (Giles & Giles 1993, Journal of Economic Surveys 7: 145-197):
// stats/chain/COMBINATION.md has how often the headline holds the truth under both.
const leastAgreement = 0.2

// leading is the method that the settings name, or the one that sampled the largest
// area.
func (c *chains) leading() int {
	if named := slices.Index(c.methods, c.season.Settings.Report.Method); named >= 0 && c.season.Settings.Report.Method != survey.MostArea {
		return named
	}
	area := make([]float64, len(c.methods))
	best := 0
	for _, h := range c.strata {
		for _, p := range h.parts {
			area[p.method] += c.season.Strata[h.at].AreaHa
		}
	}
	for m := range area {
		if area[m] > area[best] {
			best = m
		}
	}
	return best
}

// sample is a part as package chain takes it.
func (c *chains) sample(p part) chain.Sample {
	counted, hectares := p.domain, 1.0
	if c.methods[p.method] == result.Line {
		counted = c.known.Lines.Counted(p.domain)
		for i, u := range counted.Units {
			counted.AreaHa[i] = u.Unit.HorizontalM
		}
		hectares = p.haPerM
	}
	collapsed := c.season.CollapsedWith(p.domain)
	one := estimate.Sample(c.season, p.domain, fieldwork.FindsOf(counted))
	if hectares != 1 {
		one.AreaHa = slices.Clone(counted.AreaHa)
		for i := range one.AreaHa {
			one.AreaHa[i] *= hectares
		}
	}
	s := chain.Sample{
		NamedSample: density.NamedSample{Name: collapsed.Name, Sample: one, Mean: collapsed.Mean, With: collapsed.With, Warnings: p.domain.Warnings},
		Factor:      1,
	}
	var v float64
	for _, f := range []struct {
		factor question.Factor
		ok     bool
	}{{p.detection, p.detects}, {p.season, p.lasts}} {
		if f.ok {
			s.Factor *= f.factor.Value
			if cv := f.factor.CV(); cv > 0 {
				v += cv * cv
			}
		}
	}
	if c.methods[p.method] == result.Line {
		v += c.widthCV * c.widthCV
	}
	s.CV = math.Sqrt(v)
	return s
}

// widthCV is the coefficient of variation of the effective width of lines.
func widthCV(t *transect.Lines) float64 {
	if t.Fit == nil {
		return 0
	}
	r, err := t.Survey(t.AllYears()).Counted(t.Fit, t.Sizes(), t.Options())
	if err != nil {
		return 0
	}
	for _, p := range r.Parts {
		if p.Source == lines.FromDetectability {
			return p.CV
		}
	}
	return 0
}

// Strata are the places in Season.Strata of those that any method reached.
func (c *chains) Strata() []int {
	list := make([]int, len(c.strata))
	for i, h := range c.strata {
		list[i] = h.at
	}
	return list
}

// every are the places of all strata that were reached.
func (c *chains) every() []int { return fieldwork.Indices(len(c.strata)) }

// domainsOf are the domains of a method.
func (c *chains) domainsOf(method int) []fieldwork.Domain {
	var list []fieldwork.Domain
	for _, h := range c.strata {
		if k := h.of(method); k >= 0 {
			list = append(list, h.parts[k].domain)
		}
	}
	return list
}

// areaWarnings say which methods disagree, and what no method reached.
func (c *chains) areaWarnings() []stats.Warning {
	list := slices.Clone(c.lines)
	if c.lead >= 0 {
		list = append(list, methodsDisagree.With("the methods that sampled the same strata may differ (p = %.2g; they are combined from p = %g "+
			"on): where %ss were searched the figure is theirs alone", c.weights.Test.P, leastAgreement, fieldwork.UnitNoun(c.methods[c.lead])))
	}
	var reached []fieldwork.Domain
	for _, h := range c.strata {
		reached = append(reached, h.parts[0].domain)
	}
	if missed := c.season.Unreached(reached); len(missed) > 0 {
		list = append(list, fieldwork.AreaNotReached.With("nothing was searched in %s; the figure is %s",
			fieldwork.NameList(c.season.StrataNames(missed)), c.season.OnlyOf(reached)))
	}
	return list
}

// set is some strata, by one method or by all together.
type set struct {
	strata []int // places among those reached
	method int   // everyMethod for all
}

const everyMethod = -1

// weight is that of a part in the density of its stratum.
func (c *chains) weight(of set, stratum, k int) float64 {
	if of.method == everyMethod {
		return c.weights.Of[stratum][k]
	}
	return float64(stats.Indicator(c.strata[stratum].parts[k].method == of.method))
}

// each calls for the parts of a set that have a weight.
func (c *chains) each(of set, do func(p part, landHa, weight float64)) {
	for _, i := range of.strata {
		for k, p := range c.strata[i].parts {
			if w := c.weight(of, i, k); w > 0 {
				do(p, c.season.Strata[c.strata[i].at].AreaHa, w)
			}
		}
	}
}

func (c *chains) areaOf(of set) float64 {
	var sum float64
	for _, i := range of.strata {
		sum += c.season.Strata[c.strata[i].at].AreaHa
	}
	return sum
}

// members are the parts of a set with the area that each stands for.
func (c *chains) members(of set) []mass.Member {
	var list []mass.Member
	c.each(of, func(p part, landHa, weight float64) {
		list = append(list, mass.Member{Domain: p.domain, LandHa: landHa * weight, HaPerM: p.haPerM})
	})
	return list
}

func linesAlone(members []mass.Member) bool {
	return !slices.ContainsFunc(members, func(m mass.Member) bool { return m.Method != result.Line })
}
