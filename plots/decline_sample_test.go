package plots

import "math"

// declineSample halves every year for one mode, and hardly falls for the other.
var declineSample = DeclineWithYears{
	Unit: perHectare, Confidence: 0.95,
	Modes: []DeclineOfMode{
		{"saprotrophic", []YearsDensity{{1, est(610, 330, 1150, 40, 410)}, {2, est(260, 120, 560, 30, 130)}, {4, est(60, 18, 205, 22, 25)}, {6, est(0, 0, 31, 18, 0)}},
			evenDecline(1, 6, 0.47, 1250), "halved each year (95 % interval 0.33 to 0.66)"},
		{"host-associated", []YearsDensity{{1, est(210, 96, 470, 40, 61)}, {2, est(180, nan, nan, 30, 90)}, {4, est(205, 80, 530, 22, 88)}, {6, Estimate{Value: nan, Lower: nan, Upper: nan, Note: "one site"}}},
			evenDecline(1, 6, 0.99, 200), "0.99 a year (95 % interval 0.78 to 1.26)"},
	},
}

func evenDecline(first, last, factor, start float64) []DeclineOfYear {
	var line []DeclineOfYear
	for years := first; years <= last; years += 0.5 {
		v := start * math.Pow(factor, years)
		band := math.Exp(0.25 + 0.2*math.Abs(years-2.5))
		line = append(line, DeclineOfYear{years, v, v / band, v * band})
	}
	return line
}

func hostileDecline() (Figure, error) {
	d := DeclineWithYears{Unit: endless, Confidence: 0.95}
	for _, mode := range []string{markup, broken, endless} {
		d.Modes = append(d.Modes, DeclineOfMode{mode, []YearsDensity{{0, est(1e-9, 0, 1e9, 1234567, 1234567)}, {1e6, est(1e9, nan, nan, 1, 1)}},
			[]DeclineOfYear{{0, 0, nan, nan}, {1e6, 1e9, 0, math.Inf(1)}}, endless})
	}
	return d.Figure()
}
