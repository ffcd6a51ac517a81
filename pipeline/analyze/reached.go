package analyze

import (
	"slices"

	"ashtally/pipeline/fieldwork"
)

// HeadlineIn finds the figure of a method for all finds over the strata, whether
// it reached all of them or some.
func HeadlineIn(rows []DensityRow, method string) (DensityRow, bool) {
	i := slices.IndexFunc(rows, func(r DensityRow) bool {
		return fieldwork.OverStrata(r.Stratum) && r.Key == fieldwork.Pooled(method, r.Stratum)
	})
	if i < 0 {
		return DensityRow{}, false
	}
	return rows[i], true
}
