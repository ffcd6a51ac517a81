package survey

// Adaptive says how adaptive cluster plots were laid and are estimated.
type Adaptive struct {
	Threshold float64 `json:"threshold"` // fruit bodies in a plot from which its neighbours are added; 0 = not said
	Estimator string  `json:"estimator"` // one of Estimators
}

// The estimators of adaptive cluster plots.
const (
	HansenHurwitz   = "hansen-hurwitz"
	HorvitzThompson = "horvitz-thompson"
)

// Estimators names those that a survey can ask for.
var Estimators = []string{HorvitzThompson, HansenHurwitz}

// adaptiveKeys are the settings of [adaptive].
var adaptiveKeys = []Key{
	{Table: "adaptive", Name: "threshold", About: "fruit bodies of the target taxa, in a plot on the first day it was searched, from which the " +
		"plots beside it were added; 0 = not said, and networks are not held to it", Bounds: thresholds,
		At: func(s *Settings) any { return &s.Adaptive.Threshold }},
	{Table: "adaptive", Name: "estimator", About: "which density of adaptive cluster plots is reported; results/adaptive has both", Words: Estimators,
		At: func(s *Settings) any { return &s.Adaptive.Estimator }},
}
