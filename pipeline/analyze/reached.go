package analyze

import (
	"fmt"
	"slices"
	"strings"

	"ashtally/stats"
)

// Reached stands in the grouping column stratum for the strata that a method
// reached, pooled, where it did not reach all of them.
const Reached = "reached"

// OverStrata reports whether a row's stratum stands for several pooled: all of the
// survey area, or those that a method reached.
func OverStrata(stratum string) bool { return stratum == All || stratum == Reached }

// HeadlineIn finds the figure of a method for all finds over the strata, whether
// it reached all of them or some.
func HeadlineIn(rows []DensityRow, method string) (DensityRow, bool) {
	i := slices.IndexFunc(rows, func(r DensityRow) bool {
		return OverStrata(r.Stratum) && r.Key == Pooled(method, r.Stratum)
	})
	if i < 0 {
		return DensityRow{}, false
	}
	return rows[i], true
}

// pooledStratum is what stands in the column stratum for the strata of a method's frames
// pooled: All where it has units in every stratum, else Reached. Of a method
// without units nothing is pooled, and its empty row is of All.
func (s *Season) pooledStratum(frames []frame) string {
	if len(frames) == 0 || len(s.unreached(frames)) == 0 {
		return All
	}
	return Reached
}

// unreached are the strata without a frame.
func (s *Season) unreached(frames []frame) []int {
	var list []int
	for at := range s.strata {
		if !slices.ContainsFunc(frames, func(f frame) bool { return f.stratum == at }) {
			list = append(list, at)
		}
	}
	return list
}

// missedWarning names the strata that a method did not reach, and the share of the
// survey area that a figure over the others is of, in a class of years since fire
// or in all.
func (s *Season) missedWarning(method string, frames []frame, years string) []stats.Warning {
	missed := s.unreached(frames)
	if len(missed) == 0 || len(frames) == 0 {
		return nil
	}
	here := slices.DeleteFunc(slices.Clone(frames), func(f frame) bool { return f.years != years })
	return []stats.Warning{{Code: "land-not-reached", Text: fmt.Sprintf(
		"no %s was searched in %s; the figure is %s", noun(method), nameList(s.strataNames(missed)), s.onlyOf(here))}}
}

// onlyOf says which strata a figure is of, and what share of the survey area they
// are: "that of ostrey-bottoms only, 0.46 % of the survey area".
func (s *Season) onlyOf(frames []frame) string {
	var landHa, hereHa float64
	for _, h := range s.strata {
		landHa += h.landHa
	}
	var at []int
	for _, f := range frames {
		if !slices.Contains(at, f.stratum) {
			at = append(at, f.stratum)
			hereHa += s.strata[f.stratum].landHa
		}
	}
	slices.Sort(at)
	return fmt.Sprintf("that of %s only, %s of the survey area", nameList(s.strataNames(at)), sharePercent(hereHa/landHa))
}

func (s *Season) strataNames(at []int) []string {
	names := make([]string, len(at))
	for i, h := range at {
		names[i] = s.strata[h].name
	}
	return names
}

// sharePercent writes a share that is neither 0 nor 1 with two digits.
func sharePercent(share float64) string {
	switch percent := 100 * share; {
	case percent >= 99.5:
		return "over 99 %"
	case percent >= 9.95:
		return fmt.Sprintf("%.0f %%", percent)
	default:
		return strings.TrimSuffix(fmt.Sprintf("%.2g", percent), ".0") + " %"
	}
}
