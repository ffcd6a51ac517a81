package survey

import "fmt"

const (
	// MostStrata keeps figures to a length that can be drawn: each stratum has a
	// panel of its own. Surveys have a few, large ones some dozens.
	MostStrata = 300
	// mostDensities bounds the groups, each mode with each tree and taxon, that
	// are estimated in all strata. A million take minutes and a gigabyte, and so
	// many groups are a column that holds something else.
	mostDensities = 500_000
)

// TooManyGroups says of a survey that it asks for more densities than can be
// given, "" where it does not.
func TooManyGroups(strata, taxa, trees int) string {
	// Each is crossed with the others and pooled over; modes are four with that.
	groups := 4 * (taxa + 1) * (trees + 1) * (strata + 1)
	if groups <= mostDensities {
		return ""
	}
	return fmt.Sprintf("%d taxa with %d trees in %d strata make %d densities, more than %d", taxa, trees, strata, groups, mostDensities)
}
