package lines

import (
	"ashtally/stats"
	"ashtally/stats/density"
)

// Warnings are the types of warnings of the package.
var Warnings stats.WarningTypes

// The types of warnings.
var (
	OnLineAssumed    = Warnings.New("g0-assumed", stats.Scope, "Detection on the line is assumed to be certain") // all on the line is taken for found
	FewTransects     = Warnings.New("few-transects", stats.Coverage, "Few lines")                                // under 10
	OneTransect      = Warnings.New("one-transect", stats.Unavailable, "A single line")                          // no variance between lines
	NoSequence       = density.NoSequence                                                                        // neighbours of a layout that are not known
	NotSearched      = Warnings.New("not-searched", stats.Unavailable, "A stratum without a line")               // a stratum without a line
	NoFinds          = stats.NoFinds                                                                             // a stratum without detections
	AreasUnknown     = Warnings.New("areas-unknown", stats.Scope, "Strata weighted by effort")                   // strata weighted by effort
	SizeBias         = Warnings.New("size-bias", stats.Scope, "Larger groups detected farther off")              // larger groups were seen farther off
	SizeNotRegressed = Warnings.New("size-not-regressed", stats.Scope,
		"Group sizes that could not be regressed") // a regression that was asked for is not possible
	NoSpread   = stats.NoVariance                                                                                    // every line has the same rate
	Unstable   = Warnings.New("unstable-density", stats.Coverage, "A density along lines that is not to be trusted") // replicates differ beyond reason
	HeavyTails = Warnings.New("heavy-tailed-replicates", stats.Coverage,
		"Bootstrap replicates far from all others") // a part of the replicates lies far from the others
	OpenUpperLimit = stats.UpperOpen // an upper limit that says nothing
	FailedRefits   = Warnings.New("failed-refits", stats.Coverage,
		"Bootstrap samples that could not be fitted") // bootstrap samples that could not be fitted
	FewReplicates = Warnings.New("few-replicates", stats.Coverage,
		"Too few bootstrap replicates") // a limit lies beyond the bootstrap samples
	SizeWithScales = Warnings.New("size-with-weights", stats.Scope,
		"Group sizes weighted by detection probability") // with covariates, sizes are weighted and not regressed
)

// fewTransects is the number of lines under which the variance between them
// is a guess: 10 to 20 are the least advised (Buckland et al. 2001, section
// 7.2.1, from memory).
const fewTransects = 10

func warn(t *stats.WarningType, text string, args ...any) stats.Warning { return t.With(text, args...) }

var noSpread = warn(NoSpread, "every line has the same rate, which gives no information on the variance between lines; Poisson counts stand in for it")

var upperOpen = warn(OpenUpperLimit, "so few lines and finds set no upper limit that says anything: it would be over a hundred times the "+
	"figure, and is not given")

var onLineAssumed = warn(OnLineAssumed, "everything on the line is taken for found; fruit bodies under litter are not, and make the density "+
	"too low. Two observers can measure it")
