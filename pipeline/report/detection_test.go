package report

import (
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/stats"
	"ashtally/stats/detect"
	"ashtally/stats/detect/lines"
)

func inventedLines() []analyze.DensityRow {
	density := analyze.Estimate{Value: column.Finite(355), SE: column.Finite(78), CV: column.Finite(0.22), Lower: column.Finite(196), Upper: column.Finite(643), Confidence: column.Finite(0.95), Interval: "log-normal"}
	doubts := []stats.Warning{
		{Code: "g0-assumed", Text: "everything on the line is taken for found; fruit bodies under litter are not, and make the density too low"},
		{Code: "few-transects", Text: "Lower Hollin, moderate has 4 independent lines; under 10 the variance between them is a guess"},
	}
	missed := stats.Warning{Code: "land-not-reached", Text: "no line was searched in Upper Hollin, severe, Kettle Bench, Unburned margin, Saddle; the figure is that of Lower Hollin, moderate only, 31 % of the survey area"}
	rows := []analyze.DensityRow{{Key: fieldwork.Headline(analyze.LineMethod), Units: column.Count(4), Finds: column.Count(85), Estimate: density, Warnings: append(slices.Clone(doubts), missed)}}
	for at, s := range inventedStrata {
		row := analyze.DensityRow{Key: fieldwork.Pooled(analyze.LineMethod, s.name), Units: column.Count(0), Finds: column.Count(0),
			Warnings: []stats.Warning{{Code: "no-units", Text: "no line was searched in this stratum"}}}
		if at == 1 {
			row.Units, row.Finds, row.Estimate, row.Warnings = column.Count(4), column.Count(85), density, doubts
		}
		rows = append(rows, row)
	}
	return rows
}

func inventedDetection() []analyze.DetectionRow {
	limited := func(value, lower, upper float64) analyze.Estimate {
		return analyze.Estimate{Value: column.Finite(value), Lower: column.Finite(lower), Upper: column.Finite(upper), Confidence: column.Finite(0.95)}
	}
	first := analyze.DetectionRow{
		Method: analyze.LineMethod, Function: "half-normal", Selected: column.Bool{Value: true, Known: true}, Lines: column.Count(4), Detections: column.Count(71),
		TruncationM: column.Finite(5), HalfWidth: limited(2.61, 2.22, 3.07), Detected: limited(0.522, 0.444, 0.614),
		PerKm: column.Finite(44.4), Density: limited(355, 196, 643), FromUnits: column.Finite(86.2), FromDetectability: column.Finite(13.8), DeltaAIC: column.Finite(0), ChiSquareP: column.Finite(0.41),
		Warnings: []stats.Warning{{Code: "heaping", Text: "31 of 71 distances are multiples of 0.5 m, more than chance: they were rounded"}},
	}
	second := first
	second.Function, second.Selected.Value, second.DeltaAIC = "hazard-rate", false, column.Finite(1.74)
	second.HalfWidth, second.Detected, second.Density = limited(2.94, 2.1, 4.12), limited(0.588, 0.42, 0.824), limited(315, 152, 653)
	return []analyze.DetectionRow{first, second}
}

func inventedVisibility() []analyze.VisibilityRow {
	limited := func(value, lower, upper float64) analyze.Estimate {
		return analyze.Estimate{Value: column.Finite(value), Lower: column.Finite(lower), Upper: column.Finite(upper), Confidence: column.Finite(0.95)}
	}
	row := func(covariate, level string, n int, half, p float64) analyze.VisibilityRow {
		return analyze.VisibilityRow{
			Method: analyze.LineMethod, Covariate: covariate, Level: level, Function: "half-normal, scale ~ " + covariate, Selected: column.Bool{Known: true},
			Detections: column.Count(n), HalfWidth: limited(half, 0.8*half, 1.25*half), Detected: limited(p, 0.8*p, 1.25*p), Gain: column.Finite(-0.83),
		}
	}
	rows := []analyze.VisibilityRow{
		row("observer", "AK", 40, 2.81, 0.562), row("observer", "JT and MR", 31, 2.37, 0.474),
		row("ground_cover", "lower quartile", 71, 2.9, 0.58), row("ground_cover", "median", 71, 2.6, 0.52), row("ground_cover", "upper quartile", 71, 2.3, 0.46),
	}
	for i, percent := range []float64{15, 40, 72.5} {
		rows[i+2].At = column.Finite(percent)
	}
	rows[1].Warnings = []stats.Warning{{Code: "few-at-level", Text: "observer=JT and MR has 9 detections, too few for a scale of its own"}}
	return rows
}

// TestLinesWithoutADetectionFunction holds the methods to saying that nothing
// is known of lines whose distances could not be used.
func TestLinesWithoutADetectionFunction(t *testing.T) {
	p := inventedPage()
	p.Results.Detection = nil
	got := section(t, p, "methods")
	if strings.Contains(got, "What was missed") || !strings.Contains(got, "Without a fitted detection function") {
		t.Error("the methods tell of a detection function that is not there, or not that it is missing")
	}
}

// TestLineKinds holds the list of kinds to the doubts of the packages behind
// densities along lines.
func TestLineKinds(t *testing.T) {
	for _, code := range []string{
		detect.BeyondHalfWidth, detect.LeftTruncated, detect.FewDetections, detect.Heaping, detect.SpikeAtZero, detect.NotConverged, detect.ShapeHeld,
		detect.ShapeRises, detect.ScaleAtLimit, detect.ShapeAtLimit, detect.WideStrip, detect.ModelChosen, detect.NoVariance,
		lines.OnLineAssumed, lines.FewTransects, lines.OneTransect, lines.NoSequence, lines.NoFinds, lines.AreasUnknown, lines.SizeBias, lines.NoSpread,
		detect.Separation, detect.FewAtLevel, lines.FailedRefits, lines.FewReplicates, lines.Unstable, lines.HeavyTails, lines.OpenUpperLimit, lines.SizeNotRegressed, "detection-alike", "classes-cut", "covariate-unrecorded", "covariate-alike", "observers-untried",
	} {
		if _, ok := kinds[code]; !ok {
			t.Errorf("the report has no words for %q", code)
		}
	}
}
