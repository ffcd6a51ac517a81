package transect

import (
	"ashtally/pipeline/estimate"
	"ashtally/stats"
	"ashtally/stats/detect"
	"ashtally/stats/detect/lines"
)

// AllWarnings are the types of warnings that a density by any method may carry.
func AllWarnings() []stats.WarningTypes {
	return append(estimate.AllWarnings(), Warnings, detect.Warnings, lines.Warnings)
}

// Warnings are the types of warnings that line transects give reason for, beside
// those of the estimators.
var Warnings stats.WarningTypes

// The types of warnings.
var (
	NoDetectionFunction = Warnings.New("no-detection-function", stats.Unavailable, "No detection function")
	ClassesCut          = Warnings.New("classes-cut", stats.Scope, "Classes of distance left out")
	TruncationCut       = Warnings.New("truncation-cut", stats.Scope, "A truncation wider than the search")
	HalfWidthsDiffer    = Warnings.New("half-widths-differ", stats.Scope, "Lines searched to unequal distances")
	NoHalfWidth         = Warnings.New("no-half-width", stats.Scope, "Lines without a half-width")
	DetectionShared     = Warnings.New("detection-shared", stats.Scope, "A detection function shared by all finds")
	DetectionAlike      = Warnings.New("detection-alike", stats.Scope, "Both kinds assumed equally detectable")
	CovariateUnrecorded = Warnings.New("covariate-unrecorded", stats.Scope, "A covariate of detection that was not recorded")
	CovariateAlike      = Warnings.New("covariate-alike", stats.Note, "A covariate of detection that does not vary")
	ObserversUntried    = Warnings.New("observers-untried", stats.Note, "Observers not compared along lines")
)
