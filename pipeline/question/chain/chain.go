// Package chain is the question of how many fruit bodies grew: one density for the
// survey area from all methods that sampled it, and the way there from what was
// counted, corrected for imperfect detection and for the part of the season that nobody
// saw, in fruit bodies and in mass.
package chain

import (
	"context"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate"
	"ashtally/pipeline/estimate/mass"
	"ashtally/pipeline/estimate/transect"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
	"ashtally/stats"
	"ashtally/stats/chain"
	"ashtally/stats/crop"
)

// Answer is the chains of the survey area and of each stratum.
type Answer struct{ rows []Row }

// Tables are results/chain.
func (a Answer) Tables() []result.Table { return []result.Table{table.Of(a.rows)} }

var own stats.WarningTypes

// The types of warnings that arise here.
var (
	methodsDisagree = own.New("methods-disagree", stats.Scope, "Methods that may disagree")
	linkInPart      = own.New("link-in-part", stats.Scope, "A correction that not all methods have")
	lineWidth       = own.New("line-width", stats.Note, "Lines left out of the density of all methods")
)

// Warnings are the types of warnings of its rows.
func Warnings() []stats.WarningTypes {
	return append(append(estimate.AllWarnings(), transect.AllWarnings()...), crop.Warnings, own)
}

// Ask leads from counted to grown, by each method and by all together. The end of the
// chain of all methods is known to later questions.
func Ask(ctx context.Context, s *fieldwork.Season, known *question.Known) (Answer, error) {
	c := newChains(s, known)
	known.Chain = c
	if len(c.strata) == 0 {
		return Answer{}, nil
	}
	b := builder{chains: c, weighing: mass.Weigh(s, s.UnitSeasons())}
	if err := b.all(ctx); err != nil {
		return Answer{}, err
	}
	for m := range c.methods {
		if err := b.by(ctx, m); err != nil {
			return Answer{}, err
		}
	}
	fieldwork.InFileOrder(s, b.rows, func(r *Row) (string, string) { return r.Method, r.Stratum })
	return Answer{b.rows}, nil
}

// builder makes the rows.
type builder struct {
	*chains
	weighing *mass.Weighing
	rows     []Row
}

// all adds the rows of all methods together.
func (b *builder) all(ctx context.Context) error {
	pooled := b.every()
	if err := b.add(ctx, Row{Method: result.All, Stratum: result.All}, set{pooled, everyMethod}, b.weights.Test, b.areaWarnings()); err != nil {
		return err
	}
	for _, i := range pooled {
		row := Row{Method: result.All, Stratum: b.season.Strata[b.strata[i].at].Name}
		if err := b.add(ctx, row, set{[]int{i}, everyMethod}, b.weights.Tests[i], nil); err != nil {
			return err
		}
	}
	return nil
}

// by adds the rows of one method.
func (b *builder) by(ctx context.Context, method int) error {
	var reached []int
	for i, h := range b.strata {
		if h.of(method) >= 0 {
			reached = append(reached, i)
		}
	}
	if len(reached) == 0 {
		return nil
	}
	row := Row{Method: b.methods[method], Stratum: b.season.PooledStratum(b.domainsOf(method))}
	if err := b.add(ctx, row, set{reached, method}, chain.Test{}, nil); err != nil {
		return err
	}
	for _, i := range reached {
		h := b.strata[i]
		row.Stratum, row.Weight = b.season.Strata[h.at].Name, column.Finite(100*b.weights.Of[i][h.of(method)])
		if err := b.add(ctx, row, set{[]int{i}, method}, chain.Test{}, nil); err != nil {
			return err
		}
	}
	return nil
}

// add adds the rows of a chain, a link each.
func (b *builder) add(ctx context.Context, row Row, of set, test chain.Test, warnings []stats.Warning) error {
	steps, err := b.steps(ctx, of, b.season.Settings.Confidence)
	if err != nil {
		return err
	}
	members := b.members(of)
	var methods []string
	domains := make([]fieldwork.Domain, len(members))
	for i, m := range members {
		domains[i] = m.Domain
		if row.Method == result.All && !strings.Contains("+"+strings.Join(methods, "+")+"+", "+"+m.Method+"+") {
			methods = append(methods, m.Method)
		}
		row.Finds.Value += int64(fieldwork.Sum(fieldwork.FindsOf(m.Domain)))
	}
	row.Finds.Known = true
	row.Units, row.Methods, row.AreaHa = column.Count(fieldwork.UnitsIn(domains)), strings.Join(methods, "+"), column.Finite(b.areaOf(of))
	end := endOf(steps, b.season.Settings.Report.Basis)
	whole := steps[len(steps)-1]
	weighed := b.mass(of, whole.density, b.season.Settings.Confidence)
	factors := make([]stats.Estimate, 0, len(steps))
	for _, s := range steps[1:] {
		factors = append(factors, s.factor)
	}
	if weighed.Kg.Value > 0 {
		factors = append(factors, weighed.Grams)
	}
	shares := chain.Shares(steps[0].density, factors...)
	for i, s := range steps {
		r := row
		r.Link, r.Density, r.Share = s.link, result.Of(s.density), column.Finite(100*shares[i])
		r.Basis = column.Bool{Value: i == end, Known: true}
		r.Warnings = stats.Distinct(warnings, s.density.Warnings, s.warnings)
		if i > 0 {
			r.Factor = result.Of(s.factor)
		} else if test.DF > 0 {
			r.DisagreeX2, r.DisagreeDF, r.DisagreeP = column.Finite(test.X2), column.Finite(test.DF), column.Finite(test.P)
		}
		b.rows = append(b.rows, r)
	}
	if weighed.Kg.Value > 0 {
		r := row
		r.Link, r.Factor, r.Kg = massLink, result.Of(weighed.Grams), result.Of(weighed.Kg).Over(weighed.LandHa)
		r.Share, r.Basis = column.Finite(100*shares[len(steps)]), column.Bool{Known: true}
		r.Warnings = stats.Distinct(warnings, whole.density.Warnings, whole.warnings, weighed.Kg.Warnings)
		b.rows = append(b.rows, r)
	}
	return nil
}

// mass is what a set carries at a density.
func (b *builder) mass(of set, d stats.Estimate, confidence float64) crop.Crop {
	members := b.members(of)
	return b.weighing.Crop(members, crop.Part{Density: d.Value, SE: d.SE, Lower: d.Lower, Upper: d.Upper, Confidence: confidence, Apart: linesAlone(members)})
}
