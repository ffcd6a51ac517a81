package question

import (
	"context"

	"ashtally/pipeline/estimate/mass"
	"ashtally/pipeline/estimate/transect"
	"ashtally/pipeline/fieldwork"
	"ashtally/stats"
)

// Known is what questions have found for others: a field for each look-up, set by the
// question that answers it. A question sees those that it needs.
type Known struct {
	Lines     *transect.Lines // of a survey without lines as well
	Densities Densities
	// Detection is fruit bodies present over fruit bodies counted, over all visits on
	// which they stood; Seasons is those that came up in the whole season over those
	// that came up where and when a visit could see them.
	Detection, Seasons Factors
	Corrected          Corrected
	Chain              Chain
}

// LookUps are some fields of [Known].
type LookUps uint8

// The look-ups.
const (
	Lines LookUps = 1 << iota
	TotalDensities
	Detection
	Seasons
	CorrectedDensities
	ChainEnds
)

// Copy copies some look-ups from others.
func (k *Known) Copy(from *Known, some LookUps) {
	if some&Lines != 0 {
		k.Lines = from.Lines
	}
	if some&TotalDensities != 0 {
		k.Densities = from.Densities
	}
	if some&Detection != 0 {
		k.Detection = from.Detection
	}
	if some&Seasons != 0 {
		k.Seasons = from.Seasons
	}
	if some&CorrectedDensities != 0 {
		k.Corrected = from.Corrected
	}
	if some&ChainEnds != 0 {
		k.Chain = from.Chain
	}
}

// Densities are the densities of all finds of the target taxa together, in fruit
// bodies per hectare.
type Densities interface {
	// Of is the density as results/density has it: by a method, in a stratum (or
	// result.All or result.Reached) and a class of years since fire (or
	// result.All). It is false where the table has no such row.
	Of(method, stratum, years string) (stats.Estimate, bool)
	// Over is the density of some domains of a method together, with limits at a
	// nominal level. There is at least one domain.
	Over(ctx context.Context, domains []fieldwork.Domain, confidence float64) (stats.Estimate, error)
}

// Factors are what a link of the chain from counted to grown multiplies densities by.
type Factors struct {
	// Of has the factors, each over 0, with limits where there are any.
	Of map[Place]Factor
	// None says of a method why it has none.
	None map[string]stats.Warning
}

// NewFactors are none yet.
func NewFactors() Factors {
	return Factors{Of: map[Place]Factor{}, None: map[string]stats.Warning{}}
}

// Corrected are the densities of all finds corrected for imperfect detection.
type Corrected interface {
	// Over is the density as results/corrected has it, of some domains of a method that
	// has factors of detection, with limits at a nominal level, and the factor that leads
	// to it from the density counted.
	Over(domains []fieldwork.Domain, confidence float64) (density, factor stats.Estimate, err error)
}

// Place is a stratum as one method saw it.
type Place struct{ Method, Stratum string }

// Factor is that of a link.
type Factor struct {
	stats.Estimate
	By       string          // what it was estimated from, in a few words
	Missed   float64         // of detection, the probability that a visit misses a fruit body that is there
	Warnings []stats.Warning // of the link
}

// Chain is the density of the survey area by all methods together, at the last link of
// the chain from counted to grown that holds or that the settings ask for.
type Chain interface {
	// Strata are the places in Season.Strata of those that any method reached.
	Strata() []int
	// Over is the density of some of them together, with limits at a nominal level.
	Over(ctx context.Context, strata []int, confidence float64) (End, error)
}

// End is the end of a chain.
type End struct {
	Density stats.Estimate // fruit bodies per hectare
	Link    string         // counted, detected or season
	// Members are the units that it rests on, each domain with the area that it stands for.
	Members []mass.Member
}
