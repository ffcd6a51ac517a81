package plots

import "math"

// The numbers in this file are made up: no survey found them.

var selectionSample = SelectionRatios{
	Confidence: 0.95, Offered: "stems",
	Land: []SelectionRatio{
		{"paper birch", 1.42, 1.1, 1.84, 0.61, 0.43, 88, ""},
		{"Engelmann spruce", 0.71, 0.4, 1.27, 0.27, 0.38, 39, ""},
		{"subalpine fir", 0.63, 0.12, 3.3, 0.12, 0.19, 17, ""},
		{"whitebark pine", 0, 0, 2.1, 0, 0.02, 0, ""},
		{"quaking aspen", nan, nan, nan, 0, 0, 0, "not available"},
	},
	Units: []SelectionRatio{
		{"paper birch", 1.31, 1.02, 1.69, 0.6, 0.46, 82, ""},
		{"Engelmann spruce", 0.75, nan, nan, 0.28, 0.37, 37, ""},
	},
}

var riskSample = func() RiskByDistance {
	r := RiskByDistance{Confidence: 0.95, Unit: "m", Finds: 412, Points: 240}
	for i := range 12 {
		d := 0.5 * float64(i+1)
		v := 1 + 6*math.Exp(-d/1.5)
		spread := math.Exp(0.9 / math.Sqrt(d))
		r.At = append(r.At, RiskAt{d, v, v / spread, v * spread, 1 / spread, spread})
	}
	r.At[0] = RiskAt{0.5, nan, nan, nan, 0, nan}
	r.At[11].Lower, r.At[11].Upper = nan, nan
	return r
}()

var answersSample = func() AnswersByRule {
	a := AnswersByRule{Confidence: 0.95, DensityUnit: perHectare, DistanceUnit: "m", Rule: 3,
		Crew: AnswersAt{Density: 71, DensityLower: 50, DensityUpper: 128, Ratio: 0.46, RatioLower: 0.27, RatioUpper: 0.78}}
	for i := range 12 {
		d := 0.5 * float64(i+1)
		share := 1 - math.Exp(-d*d/3)
		v, r := 100*share, share/(2.4-share)
		a.At = append(a.At, AnswersAt{d, v, v * 0.7, v * 1.6, r, r * 0.6, r / 0.6})
	}
	return a
}()
