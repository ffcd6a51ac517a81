package removal

import "ashtally/stats"

// Warnings are the types of warnings that arise here, beside those of package stats.
var Warnings stats.WarningTypes

// The types of warnings.
var (
	AllInFirstPass    = Warnings.New("all-in-first-pass", stats.Coverage, "Nothing found after the first pass")
	TwoPasses         = Warnings.New("two-passes", stats.Scope, "Two passes at most")
	PassesUnequal     = Warnings.New("passes-unequal", stats.Scope, "Unequal effort between passes")
	FewInPasses       = Warnings.New("few-in-passes", stats.Coverage, "Few finds in repeated passes")
	CatchesNotFalling = Warnings.New("catches-not-falling", stats.Unavailable, "Catches that do not decline")
	OnePass           = Warnings.New("one-pass", stats.Unavailable, "No repeated pass")
)
