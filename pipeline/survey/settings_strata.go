package survey

import "fmt"

// SingleUnitStrata is the TOML table that names, for strata in which a single
// independent unit was searched, the stratum that their variance is estimated
// with: stratum = "other stratum".
const SingleUnitStrata = "single_unit_strata"

// AboutSingleUnitStrata says what the table sets.
const AboutSingleUnitStrata = "a stratum in which a single unit, or a single site, was searched has no variance of its own: it is estimated " +
	"together with the stratum that stands here beside it, or else with the one nearest in density. Name the pairs before the season: those " +
	"that the counts pick may have too small a variance"

// strataMisfits hold the names of [single_unit_strata] to what a survey can have;
// which of them are strata is another question.
func (s Settings) strataMisfits() []Misfit {
	if n := len(s.SingleUnitStrata); n > MostStrata {
		return []Misfit{{SingleUnitStrata, -1, fmt.Sprintf("names %d strata, more than %d", n, MostStrata), "name those alone in which a single unit was searched"}}
	}
	var list []Misfit
	for _, stratum := range sortedKeys(s.SingleUnitStrata) {
		add := func(problem, remedy string) {
			list = append(list, Misfit{SingleUnitStrata + "." + stratum, -1, problem, remedy})
		}
		switch with := s.SingleUnitStrata[stratum]; {
		case with == "":
			add("names no stratum", "write the name of another stratum in quotes")
		case with == stratum:
			add("names itself", "name another stratum, or remove the key")
		case len(stratum) > mostText || len(with) > mostText:
			add("has a name that is too long", "shorten it in strata.csv too")
		}
	}
	return list
}
