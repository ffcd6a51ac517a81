package fieldwork

import (
	"cmp"
	"slices"
)

// InFileOrder puts rows into the order of strata.csv: each run of rows that are of
// strata and have the same block, the values of the grouping columns before the
// stratum. Rows over strata stay where they are.
func InFileOrder[R any](s *Season, rows []R, key func(*R) (block, stratum string)) {
	for from := 0; from < len(rows); {
		block, stratum := key(&rows[from])
		to := from + 1
		for ; to < len(rows) && !OverStrata(stratum); to++ {
			if b, next := key(&rows[to]); b != block || OverStrata(next) {
				break
			}
		}
		slices.SortStableFunc(rows[from:to], func(a, b R) int {
			_, first := key(&a)
			_, second := key(&b)
			return cmp.Compare(s.RowOf(first), s.RowOf(second))
		})
		from = to
	}
}
