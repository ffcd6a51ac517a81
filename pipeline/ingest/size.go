package ingest

import (
	"fmt"

	"ashtally/pipeline/survey"
)

// size reports a survey that asks for more figures than can be given.
func (a *acrossRows) size() {
	strata := len(a.known.stratumOrder)
	if strata > survey.MostStrata {
		a.block(survey.Fault{
			Place: a.known.stratumOrder[survey.MostStrata].place, Name: "stratum",
			Problem: fmt.Sprintf("is stratum %d of %d, more than %d", survey.MostStrata+1, strata, survey.MostStrata),
			Remedy:  "join strata that are estimated together, or divide the survey",
		})
	}
	taxa, trees := len(a.folder.Settings.Taxa.Target), len(a.names("tree").seen)
	if taxa == 0 {
		taxa = len(a.names("taxon").seen)
	}
	if problem := survey.TooManyGroups(strata, taxa, trees); problem != "" {
		a.block(survey.Fault{
			Place:   survey.Place{File: survey.Finds.Name + ".csv"},
			Problem: problem,
			Remedy:  "check the columns taxon and tree for notes and numbers, or name the taxa that matter under taxa.target in " + settingsName,
		})
	}
}
