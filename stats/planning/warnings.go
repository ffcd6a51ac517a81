package planning

import "ashtally/stats"

// Warnings are the types of warnings that several parts of a plan share.
var Warnings stats.WarningTypes

// The reasons for which there is no plan, and what limits one.
var (
	// OutOfReach is of a precision that no number of units reaches within the
	// stratum, the hours or the sites there are.
	OutOfReach = Warnings.New("out-of-reach", stats.Unavailable, "The wanted precision is out of reach")
	// PilotWithoutFinds is of pilots that found nothing anywhere.
	PilotWithoutFinds = Warnings.New("pilot-without-finds", stats.Unavailable, "The pilot found nothing")
	// PilotWithoutUnits is of plans without a unit searched.
	PilotWithoutUnits = Warnings.New("pilot-without-units", stats.Unavailable, "There is no pilot")
	// StratumWithoutPilot is of strata of which the plan assumes what others show.
	StratumWithoutPilot = Warnings.New("stratum-without-pilot", stats.Scope, "A stratum without a pilot")
	// SmallPilot is of pilots that tell little of clumping.
	SmallPilot = Warnings.New("small-pilot", stats.Note, "The pilot is small")
	// ScalingAssumed is of units whose clumping at another area is assumed.
	ScalingAssumed = Warnings.New("scaling-assumed", stats.Scope, "Clumping at another unit area is assumed")
	// Assumed is of figures that no pilot stands behind.
	Assumed = Warnings.New("assumed", stats.Scope, "Densities and clumping are assumed")
	// WholeStratum is of plans that search all of a stratum.
	WholeStratum = Warnings.New("whole-stratum", stats.Note, "A stratum is searched whole")
)
