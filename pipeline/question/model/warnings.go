package model

import (
	"ashtally/stats"
	"ashtally/stats/permute"
	"ashtally/stats/regress"
)

// Warnings are the types of warnings that rows may carry.
func Warnings() []stats.WarningTypes {
	return []stats.WarningTypes{own, regress.Warnings, permute.Warnings}
}

// own are those that arise here.
var own stats.WarningTypes

var (
	treesUnrecorded   = own.New("trees-unrecorded", stats.Scope, "Most finds without a tree")
	treesGathered     = own.New("trees-gathered", stats.Note, "Rare trees taken together")
	termWithoutParts  = own.New("term-without-parts", stats.Note, "A term without its parts")
	singleLevel       = own.New("single-level", stats.Note, "A term with a single level")
	tooFewFinds       = own.New("too-few-finds", stats.Coverage, "A term that the finds cannot carry")
	modelTooLarge     = own.New("model-too-large", stats.Unavailable, "A survey too large for the model of counts")
	notFitted         = own.New("model-not-fitted", stats.Unavailable, "A model of counts that could not be fitted")
	uncalledLeftOut   = own.New("uncalled-left-out", stats.Scope, "Finds that the model leaves out")
	strataWithinYears = own.New("strata-within-years", stats.Scope, "Strata of one age each")
	comparisonLeftOut = own.New("comparison-left-out", stats.Note, "Nothing to compare")
	heldEqual         = own.New("held-equal", stats.Note, "A ratio that the model holds equal")
	oneFire           = own.New("one-fire", stats.Scope, "All burned units in one fire")
	ageIsFire         = own.New("age-is-fire", stats.Scope, "Each age is a fire of its own")
	twoAges           = own.New("two-ages", stats.Scope, "Two ages only")
	oneAge            = own.New("one-age", stats.Unavailable, "Burned ground of one age")
)
