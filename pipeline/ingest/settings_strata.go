package ingest

import (
	"fmt"
	"maps"
	"slices"

	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

// singleUnitStrata takes a key of [single_unit_strata]: a stratum and the one that
// it is estimated with. Whether they are in the strata is checked where these are
// known.
func (s *settings) singleUnitStrata(stratum string, value any) {
	with, ok := value.(string)
	if !ok {
		s.fault(survey.SingleUnitStrata+"."+stratum, s.lines.line(survey.SingleUnitStrata, stratum),
			"is "+kindOf(value)+", not the name of a stratum", "write the name of another stratum in quotes")
		return
	}
	if s.SingleUnitStrata == nil {
		s.SingleUnitStrata = map[string]string{}
	}
	s.SingleUnitStrata[stratum] = with
}

// pairsOfStrata reports names in [single_unit_strata] that are no strata.
func (a *acrossRows) pairsOfStrata() {
	if _, lost := a.known.lost[survey.Strata.Name]; lost {
		return
	}
	pairs := a.folder.Settings.SingleUnitStrata
	for _, stratum := range slices.Sorted(maps.Keys(pairs)) {
		for _, name := range []string{stratum, pairs[stratum]} {
			if pairs[stratum] == stratum {
				continue // said where it was read
			}
			if a.known.strata[name] != nil {
				continue
			}
			a.block(survey.Fault{
				Place: survey.Place{File: settingsName, Line: a.folder.lines.line(survey.SingleUnitStrata, stratum)}, Name: survey.SingleUnitStrata + "." + stratum,
				Problem: "the stratum " + phrase.Quote(name) + " is not known", Remedy: join(a.nearKnown(name, a.known.stratumNames), "write both as in strata.csv"),
			})
		}
	}
}

// strataTemplate is an example of a pair, as comments.
func strataTemplate() string {
	return fmt.Sprintf("%s# [%s]\n# \"wet hollow\" = \"lower slope\"\n", comment(survey.AboutSingleUnitStrata), survey.SingleUnitStrata)
}
