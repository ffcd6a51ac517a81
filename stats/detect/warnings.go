package detect

import (
	"fmt"

	"ashtally/stats"
)

// Codes of the warnings.
const (
	BeyondHalfWidth = "beyond-half-width"   // detections farther than the right truncation were left out
	LeftTruncated   = "left-truncated"      // detections nearer than the left truncation were left out
	FewDetections   = "few-detections"      // under 40
	Heaping         = "heaping"             // distances were rounded to favourite numbers
	SpikeAtZero     = "spike-at-zero"       // more detections on the line than the curve allows
	NotConverged    = "not-converged"       // the climb to the maximum did not arrive
	ShapeHeld       = "shape-held"          // the curve wanted to rise, or to fall below 0, and was held
	ShapeRises      = "shape-rises"         // the curve rises with distance
	ScaleAtLimit    = "scale-at-limit"      // the scale ran to the end of its range
	ShapeAtLimit    = "shape-at-limit"      // the shape ran to the end of its range
	Separation      = "covariate-separated" // a covariate's effect has no bound in the data
	FewAtLevel      = "few-at-level"        // a covariate has a level with few detections
	WideStrip       = "wide-strip"          // the effective half-width is more than was searched
	ModelChosen     = "model-chosen"        // another model of the selection is nearly as good
	NoVariance      = "no-variance"         // the information about the parameters is singular
)

// enough is the number of detections from which a detection function is
// commonly trusted: 60 to 80 are recommended, 40 the least (Buckland et al.
// 2001, Introduction to Distance Sampling, section 7.2.2, from memory).
const enough = 40

func warn(code, text string, args ...any) stats.Warning {
	return stats.Warning{Code: code, Text: fmt.Sprintf(text, args...)}
}

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
