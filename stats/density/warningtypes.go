package density

import "ashtally/stats"

// Warnings are the types of warnings of the package, beside those that estimators
// share.
var Warnings stats.WarningTypes

// The types of warnings.
var (
	OneSite        = Warnings.New("one-site", stats.Unavailable, "A single site")
	FewSites       = Warnings.New("few-sites", stats.Coverage, "Few sites")
	FindsInOneSite = Warnings.New("finds-in-one-site", stats.Coverage, "All finds in one site")

	NoLand               = Warnings.New("no-land", stats.Unavailable, "No area")
	StratumMissing       = Warnings.New("stratum-missing", stats.Unavailable, "A stratum without an estimate")
	StratumWithoutLimits = Warnings.New("stratum-without-limits", stats.Unavailable, "A stratum without an interval")
	StratumWithoutSE     = Warnings.New("stratum-without-se", stats.Coverage, "Strata without a standard error")
	SearchedOverLand     = Warnings.New("searched-over-land", stats.Scope, "More searched than the stratum has")

	NoLimits         = Warnings.New("no-limits", stats.Unavailable, "No limits")
	UpperLoose       = Warnings.New("upper-loose", stats.Unavailable, "Uninformative upper limit")
	EstimateOutside  = Warnings.New("estimate-outside", stats.Coverage, "Limits that did not hold the estimate")
	BootstrapExtreme = Warnings.New("bootstrap-extreme", stats.Coverage, "A limit at the outermost bootstrap replicate")
	BootstrapLost    = Warnings.New("bootstrap-lost", stats.Coverage, "Bootstrap replicates without an estimate")
	LayoutNoSpread   = Warnings.New("layout-no-spread", stats.Coverage, "No variance between neighbours")
	// NoSequence is of a variance by the layout that could not use the place of every
	// unit along it.
	NoSequence = Warnings.New("no-sequence", stats.Coverage, "Transects without a place along the layout")
	// HeavyTail is of a few units that hold more of the finds than aggregation by a
	// negative binomial gives them.
	HeavyTail = Warnings.New("heavy-tail", stats.Coverage, "A few units with most of the finds")
	// BelowNominal is of limits that may hold the truth less often than their level
	// says.
	BelowNominal = Warnings.New("below-nominal", stats.Coverage, "Intervals below their nominal coverage")
)

// The types that are told apart by what the independent pieces of a sample are.
var (
	single = map[string]*stats.WarningType{"unit": stats.OneUnit, "site": OneSite}
	few    = map[string]*stats.WarningType{"unit": stats.FewUnits, "site": FewSites}
	inOne  = map[string]*stats.WarningType{"unit": stats.FindsInOneUnit, "site": FindsInOneSite}
)
