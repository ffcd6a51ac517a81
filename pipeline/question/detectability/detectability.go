// Package detectability is the question of imperfect detection: the probabilities by
// which fruit bodies are detected, estimated from double-observer counts and from
// repeated passes (removal sampling), and the densities corrected by them.
package detectability

import (
	"context"

	"ashtally/pipeline/estimate"
	"ashtally/pipeline/estimate/transect"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
	"ashtally/stats"
	"ashtally/stats/observers"
	"ashtally/stats/removal"
)

// Answer is the detection probabilities and the corrected densities.
type Answer struct {
	observers []ObserverRow
	passes    []PassRow
	corrected []CorrectedRow
}

// Tables are results/observers, results/passes and results/corrected.
func (a Answer) Tables() []result.Table {
	return []result.Table{observersTable.Of(a.observers), passesTable.Of(a.passes), correctedTable.Of(a.corrected)}
}

var own stats.WarningTypes

// The types of warnings that the visits give reason for.
var (
	modelNotUsed     = own.New("model-not-used", stats.Note, "A model of detection that could not be fitted")
	visitsOfOne      = own.New("visits-of-one", stats.Scope, "Visits with a single observer")
	observersUnnamed = own.New("observers-unnamed", stats.Scope, "Visits that name no observer")
	observerUnpaired = own.New("observer-unpaired", stats.Scope, "An observer who never searched beside another")
	sightUnrecorded  = own.New("sight-unrecorded", stats.Scope, "Finds without a detection history")
	addedBySight     = own.New("added-by-sight", stats.Scope, "Plots added by what was detected")
	singlePasses     = own.New("single-passes", stats.Scope, "Searches of a single pass")
	passGap          = own.New("pass-gap", stats.Scope, "Passes without a row")
	passesAlongLines = own.New("passes-along-lines", stats.Unavailable, "Repeated passes along lines")
	passesDiffer     = own.New("passes-differ", stats.Unavailable, "Unequal numbers of passes")
	noInterval       = own.New("no-interval", stats.Note, "An estimate without an interval")
	recordedLater    = own.New("recorded-later", stats.Note, "Finds missed on one visit and recorded on the next")
	notCorrected     = own.New("detection-not-known", stats.Scope, "No correction for imperfect detection")
)

// Warnings are the types of warnings of its rows.
func Warnings() []stats.WarningTypes {
	all := append(estimate.AllWarnings(), transect.AllWarnings()...)
	return append(all, observers.Warnings, removal.Warnings, own)
}

// Ask estimates, for each method whose visits can tell, the detection probability,
// and corrects its densities of all finds.
func Ask(ctx context.Context, s *fieldwork.Season, known *question.Known) (Answer, error) {
	var a Answer
	look := lookUp{map[string]corrector{}, map[question.Place]correctedDensity{}}
	known.Detection, known.Corrected = question.NewFactors(), look
	seasons := s.UnitSeasons()
	for _, method := range s.DensityMethods() {
		if err := ctx.Err(); err != nil {
			return Answer{}, err
		}
		domains, truncation := s.Domains(method, seasons), 0.0
		if method == result.Line {
			domains, truncation = known.Lines.Domains, known.Lines.Range.Right
		}
		var here []fieldwork.UnitSeason
		for _, d := range domains {
			if d.Years == result.All {
				here = append(here, d.Units...)
			}
		}
		double, passes := newDoubleObserver(s, method, here, truncation), newRemoval(s, method, here)
		if double != nil {
			double.pooled = s.PooledStratum(domains)
			a.observers = append(a.observers, double.rows(s)...)
		}
		if passes != nil {
			passes.pooled = s.PooledStratum(domains)
			a.passes = append(a.passes, passes.rows(s)...)
		}
		m, onLine, ok := correctionOf(s, method, domains, known.Lines, double, passes)
		if !ok {
			known.Detection.None[method] = notCorrected.With("the detection probability was not measured on %ss: it takes two observers, or repeated passes",
				fieldwork.UnitNoun(method))
			continue
		}
		c := newCorrector(s, known.Lines, method, domains, m, onLine)
		rows, err := c.rows()
		if err != nil {
			return Answer{}, err
		}
		look.add(&known.Detection, c, rows)
		for _, one := range rows {
			a.corrected = append(a.corrected, one.row)
		}
	}
	fieldwork.InFileOrder(s, a.observers, func(r *ObserverRow) (string, string) { return r.Method, r.Stratum })
	fieldwork.InFileOrder(s, a.passes, func(r *PassRow) (string, string) { return r.Method, r.Stratum })
	fieldwork.InFileOrder(s, a.corrected, func(r *CorrectedRow) (string, string) { return r.Method, r.Stratum })
	return a, nil
}
