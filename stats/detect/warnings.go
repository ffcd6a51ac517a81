package detect

import (
	"fmt"

	"ashtally/stats"
)

// Warnings are the types of warnings of the package.
var Warnings stats.WarningTypes

// The types of warnings.
var (
	BeyondHalfWidth = Warnings.New("beyond-half-width", stats.Note,
		"Detections beyond the truncation") // detections farther than the right truncation were left out
	LeftTruncated = Warnings.New("left-truncated", stats.Note,
		"Detections nearer than the truncation") // detections nearer than the left truncation were left out
	FewDetections = Warnings.New("few-detections", stats.Coverage, "Few detections along lines") // under 40
	Heaping       = Warnings.New("heaping", stats.Scope, "Heaping of distances")                 // distances were rounded to favourite numbers
	SpikeAtZero   = Warnings.New("spike-at-zero", stats.Scope,
		"More detections at distance 0 than the function allows") // more detections on the line than the curve allows
	NotConverged = Warnings.New("not-converged", stats.Unavailable,
		"A detection function that did not converge") // the climb to the maximum did not arrive
	ShapeHeld = Warnings.New("shape-held", stats.Coverage,
		"A detection function constrained not to rise") // the curve wanted to rise, or to fall below 0, and was held
	ShapeRises   = Warnings.New("shape-rises", stats.Scope, "A detection function that rises with distance") // the curve rises with distance
	ScaleAtLimit = Warnings.New("scale-at-limit", stats.Scope, "Distances that do not determine the scale")  // the scale ran to the end of its range
	ShapeAtLimit = Warnings.New("shape-at-limit", stats.Coverage, "A shape at the end of its range")         // the shape ran to the end of its range
	Separation   = Warnings.New("covariate-separated", stats.Coverage,
		"A covariate effect without a bound") // a covariate's effect has no bound in the data
	FewAtLevel = Warnings.New("few-at-level", stats.Coverage,
		"Few detections at a level of a covariate") // a covariate has a level with few detections
	WideStrip   = Warnings.New("wide-strip", stats.Scope, "An effective half-width beyond the truncation") // the effective half-width is more than was searched
	ModelChosen = Warnings.New("model-chosen", stats.Coverage,
		"A detection function selected among several") // another model of the selection is nearly as good
	NoVariance = Warnings.New("no-variance", stats.Unavailable,
		"A detection function without standard errors") // the information about the parameters is singular
)

// enough is the number of detections from which a detection function is
// commonly trusted: 60 to 80 are recommended, 40 the least (Buckland et al.
// 2001, Introduction to Distance Sampling, section 7.2.2, from memory).
const enough = 40

func warn(t *stats.WarningType, text string, args ...any) stats.Warning { return t.With(text, args...) }

func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

func wereOrWas(n int) string {
	if n == 1 {
		return "was"
	}
	return "were"
}
