package lines

import (
	"fmt"

	"ashtally/stats"
	"ashtally/stats/density"
)

// Codes of the warnings added to those of the detection function.
const (
	OnLineAssumed    = "g0-assumed"              // all on the line is taken for found
	FewTransects     = "few-transects"           // under 10
	OneTransect      = "one-transect"            // no variance between lines
	NoSequence       = density.NoSequence        // neighbours of a layout that are not known
	NotSearched      = "not-searched"            // a stratum without a line
	NoFinds          = "no-finds"                // a stratum without detections
	AreasUnknown     = "areas-unknown"           // strata weighted by effort
	SizeBias         = "size-bias"               // larger groups were seen farther off
	SizeNotRegressed = "size-not-regressed"      // a regression that was asked for is not possible
	NoSpread         = "no-spread"               // every line has the same rate
	Unstable         = "unstable-density"        // replicates differ beyond reason
	HeavyTails       = "heavy-tailed-replicates" // a part of the replicates lies far from the others
	OpenUpperLimit   = "upper-open"              // an upper limit that says nothing
	FailedRefits     = "failed-refits"           // bootstrap samples that could not be fitted
	FewReplicates    = "few-replicates"          // a limit lies beyond the bootstrap samples
	SizeWithScales   = "size-with-weights"       // with covariates, sizes are weighted and not regressed
)

// fewTransects is the number of lines under which the variance between them
// is a guess: 10 to 20 are the least advised (Buckland et al. 2001, section
// 7.2.1, from memory).
const fewTransects = 10

func warn(code, text string, args ...any) stats.Warning {
	return stats.Warning{Code: code, Text: fmt.Sprintf(text, args...)}
}

var noSpread = warn(NoSpread, "every line has the same rate, which tells nothing of the spread between lines; Poisson counts stand in for it")

var upperOpen = warn(OpenUpperLimit, "so few lines and finds set no upper limit that says anything: it would be over a hundred times the figure, and is not given")

var onLineAssumed = warn(OnLineAssumed, "everything on the line is taken for found; fruit bodies under litter are not, and make the density too low. Two observers can measure it")
