package ingest

import (
	"fmt"

	"ashtally/pipeline/survey"
)

const (
	// maxStrata keeps figures to a length that can be drawn: each stratum has a
	// panel of its own. Surveys have a few, large ones some dozens.
	maxStrata = 300
	// maxDensities bounds the groups, each mode with each tree and taxon, that
	// are estimated in all strata. A million take minutes and a gigabyte, and so
	// many groups are a column that holds something else.
	maxDensities = 500_000
)

// size reports a survey that asks for more figures than can be given.
func (r *reading) size() {
	strata := len(r.known.stratumOrder)
	if strata > maxStrata {
		r.block(survey.Fault{
			Place: r.known.stratumOrder[maxStrata].place, Name: "stratum",
			Problem: fmt.Sprintf("is stratum %d of %d, more than %d", maxStrata+1, strata, maxStrata),
			Remedy:  "join strata that are estimated together, or divide the survey",
		})
	}
	taxa, trees := len(r.folder.Settings.Taxa.Target), len(r.names("tree").seen)
	if taxa == 0 {
		taxa = len(r.names("taxon").seen)
	}
	// Each is crossed with the others and pooled over; modes are four with that.
	groups := 4 * (taxa + 1) * (trees + 1)
	if groups*(strata+1) > maxDensities {
		r.block(survey.Fault{
			Place: survey.Place{File: survey.Finds.Name + ".csv"},
			Problem: fmt.Sprintf("%d taxa with %d trees in %d strata make %d densities, more than %d",
				taxa, trees, strata, groups*(strata+1), maxDensities),
			Remedy: "check the columns taxon and tree for notes and numbers, or name the taxa that matter under taxa.target in " + settingsName,
		})
	}
}
