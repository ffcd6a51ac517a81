package fieldwork

import (
	"fmt"
	"slices"
	"strings"

	"ashtally/pipeline/result"
)

// OverStrata reports whether a row's stratum stands for several pooled: all of the
// survey area, or those that a method reached.
func OverStrata(stratum string) bool { return stratum == result.All || stratum == result.Reached }

// PooledStratum is what stands in the column stratum for the strata of a method's domains
// pooled: All where it has units in every stratum, else Reached. Of a method
// without units nothing is pooled, and its empty row is of All.
func (s *Season) PooledStratum(frames []Domain) string {
	if len(frames) == 0 || len(s.Unreached(frames)) == 0 {
		return result.All
	}
	return result.Reached
}

// Unreached are the strata without a domain.
func (s *Season) Unreached(frames []Domain) []int {
	var list []int
	for at := range s.Strata {
		if !slices.ContainsFunc(frames, func(f Domain) bool { return f.Stratum == at }) {
			list = append(list, at)
		}
	}
	return list
}

// OnlyOf says which strata a figure is of, and what share of the survey area they
// are: "that of ostrey-bottoms only, 0.46 % of the survey area".
func (s *Season) OnlyOf(frames []Domain) string {
	var landHa, hereHa float64
	for _, h := range s.Strata {
		landHa += h.AreaHa
	}
	var at []int
	for _, f := range frames {
		if !slices.Contains(at, f.Stratum) {
			at = append(at, f.Stratum)
			hereHa += s.Strata[f.Stratum].AreaHa
		}
	}
	slices.Sort(at)
	return fmt.Sprintf("that of %s only, %s of the survey area", NameList(s.StrataNames(at)), SharePercent(hereHa/landHa))
}

// StrataNames are the names of the strata given by their places in s.Strata.
func (s *Season) StrataNames(at []int) []string {
	names := make([]string, len(at))
	for i, h := range at {
		names[i] = s.Strata[h].Name
	}
	return names
}

// SharePercent writes a share that is neither 0 nor 1 with two digits.
func SharePercent(share float64) string {
	switch percent := 100 * share; {
	case percent >= 99.5:
		return "over 99 %"
	case percent >= 9.95:
		return fmt.Sprintf("%.0f %%", percent)
	default:
		return strings.TrimSuffix(fmt.Sprintf("%.2g", percent), ".0") + " %"
	}
}
