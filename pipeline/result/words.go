package result

import "strconv"

// The words of grouping columns.
const (
	All        = "all"        // pooled over the column
	Reached    = "reached"    // in place of all strata: those that the method sampled
	Burned     = "burned"     // ground with a fire
	Unburned   = "unburned"   // ground without one, also in years_since_fire
	Unrecorded = "unrecorded" // finds without a tree
)

// The methods, in the order of the tables.
const (
	Plot     = "plot"
	Adaptive = "adaptive-cluster" // drawn plots with those added beside them, which count through their networks
	Added    = "added"            // the added plots themselves, in results/effort
	Strip    = "strip"
	Line     = "line"
)

// CompareYears orders classes of years since fire: all first, then by number,
// unburned ground last.
func CompareYears(a, b string) int { return yearsRank(a) - yearsRank(b) }

func yearsRank(years string) int {
	switch years {
	case All:
		return -1
	case Unburned:
		return 1 << 30
	}
	n, _ := strconv.Atoi(years) // made by strconv.Itoa
	return n
}
