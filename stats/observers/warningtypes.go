package observers

import "ashtally/stats"

// Warnings are the types of warnings that arise here, beside those of package stats.
var Warnings stats.WarningTypes

// The types of warnings.
var (
	NoTwoObservers       = Warnings.New("no-two-observers", stats.Unavailable, "No finds where two observers searched")
	NoneSeenByBoth       = Warnings.New("none-seen-by-both", stats.Unavailable, "No find seen by two observers")
	NoProbabilities      = Warnings.New("no-chances", stats.Unavailable, "Detection probabilities not estimable")
	ObserverWithoutFinds = Warnings.New("observer-without-finds", stats.Note, "An observer without finds")
	AllSeenByAll         = Warnings.New("all-seen-by-all", stats.Scope, "All finds seen by all observers")
	SightAtLimit         = Warnings.New("sight-at-limit", stats.Coverage, "A detection probability at its boundary")
	Separation           = Warnings.New("separation", stats.Scope, "Separation in the model of detection")
	FindsUnlike          = Warnings.New("finds-unlike", stats.Scope, "Unequal detectability of finds")
	FewSeenByBoth        = Warnings.New("few-seen-by-both", stats.Coverage, "Few finds seen by two observers")
	ObserverAddsNothing  = Warnings.New("observer-adds-nothing", stats.Scope, "An observer without finds of their own")
	ObserversAgree       = Warnings.New("observers-agree", stats.Scope, "Positive dependence between observers")
	ObserversAvoid       = Warnings.New("observers-avoid", stats.Scope, "Negative dependence between observers")
)
