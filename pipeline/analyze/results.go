package analyze

import (
	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/stats"
	"ashtally/stats/detect"
)

// The words of grouping columns.
const (
	All            = result.All
	Burned         = result.Burned
	Unburned       = result.Unburned
	Unrecorded     = result.Unrecorded
	Reached        = result.Reached
	PlotMethod     = result.Plot
	StripMethod    = result.Strip
	LineMethod     = result.Line
	AdaptiveMethod = result.Adaptive
	AddedMethod    = result.Added
)

// Results are the answers of a run, a slice of rows for each result table.
type Results struct {
	Density    []DensityRow
	Comparison []ComparisonRow
	Detection  []DetectionRow
	Adaptive   []AdaptiveRow
	Networks   []NetworkRow

	Selection   []SelectionRow
	Association []AssociationRow
	Agreement   []AgreementRow
	Sensitivity []SensitivityRow
	Observers   []ObserverRow
	Passes      []PassRow
	Corrected   []CorrectedRow

	// Shares are what the observers behind Observers saw, for its figure: one
	// for each method.
	Shares []SeenShares
	Model  ModelAnswers

	// Distances are the distances behind the selected row of Detection, for
	// its figure; empty without one.
	Distances Distances

	// Fit is how the selected detection function fits, for its figure.
	Fit        Fit
	Visibility []VisibilityRow
}

// DensityRow is one row of results/density.
type DensityRow struct {
	fieldwork.Key
	Units      column.Int
	SearchedHa column.Float
	Finds      column.Int
	Estimate
	DF       column.Float
	Warnings []stats.Warning
}

// Estimate is a figure and its interval as the tables hold them: unknown where
// it cannot be had.
type Estimate struct {
	Value, SE, CV, Lower, Upper, Confidence column.Float
	Interval                                string
}

func figures(e stats.Estimate) Estimate {
	e.SE = column.UnlessRounding(e.SE, e.Value)
	return Estimate{
		Value: column.Finite(e.Value), SE: column.Finite(e.SE), CV: column.Finite(e.CV()),
		Lower: column.Finite(e.Lower), Upper: column.Finite(e.Upper),
		Confidence: column.Finite(e.Confidence), Interval: e.Method,
	}
}

// ComparisonRow is one row of results/comparison.
type ComparisonRow struct {
	Comparison            string
	Method, Stratum       string
	Years, Tree           string
	Units                 column.Int
	FirstFinds, BaseFinds column.Int // fruit bodies above and below the line of the ratio
	Estimate
	result.Tested
	PAdjusted  column.Float
	Adjustment string
	Warnings   []stats.Warning
}

// DetectionRow is one row of results/detection: a detection function fitted to
// the finds along all lines.
type DetectionRow struct {
	Method, Function     string
	Selected             column.Bool
	Lines, Detections    column.Int
	TruncationM, LeftM   column.Float // finds are used from LeftM, unknown for 0, to TruncationM
	ScaleM, ScaleSE      column.Float
	Shape, ShapeSE       column.Float
	Adjustments          string
	HalfWidth, Detected  Estimate
	PerKm, PerKmSE       column.Float // detections per km of line
	FromUnits            column.Float // shares of the variance of the density, percent
	FromDetectability    column.Float
	FromGroupSize        column.Float
	AIC, AICc            column.Float
	DeltaAIC, Weight     column.Float // by the criterion of the settings
	ChiSquareP           column.Float
	KolmogorovP, CramerP column.Float
	Density              Estimate // fruit bodies per ha of the land, with this function
	Warnings             []stats.Warning
}

// Distances are the finds along lines by their distance, and the detection
// function fitted to them.
type Distances struct {
	Function   string
	Detections int
	Bars       []detect.Bar
	Curve      []detect.Point
	HalfWidthM float64 // effective, with its limits
	LowerM     float64 // NaN where there is none, as is UpperM
	UpperM     float64
}
