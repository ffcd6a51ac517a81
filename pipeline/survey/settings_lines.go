package survey

// Lines chooses how the detection function of line transects is found, and
// how the intervals of their densities are.
type Lines struct {
	TruncationM     float64   `json:"truncation_m"`      // 0: by the lines' half-widths, or else by the finds
	LeftTruncationM float64   `json:"left_truncation_m"` // finds nearer to the line are left out
	BreaksM         []float64 `json:"breaks_m"`          // borders of the classes that distances were recorded in; empty: measured
	Function        string    `json:"function"`          // one of Functions
	Adjustments     int       `json:"adjustments"`       // most terms that may bend a function
	Covariates      []string  `json:"covariates"`        // of LineCovariates, each once
	Criterion       string    `json:"criterion"`         // one of Criteria
	GroupSize       string    `json:"group_size"`        // one of GroupSizes
	Interval        string    `json:"interval"`          // one of LineIntervals
	Replicates      int       `json:"replicates"`        // bootstrap samples, where the interval needs them
}

// The words of the settings of lines.
const (
	LowestAIC = "lowest-aic" // of all detection functions, the one with the lowest criterion

	AIC  = "aic"
	AICc = "aicc" // corrected for small samples

	Delta        = "delta"     // the detection function chosen is taken as known
	Bootstrap    = "bootstrap" // lines are drawn again, and the function chosen anew each time
	ModelAverage = "averaged"  // the same with the mean over the functions, by their Akaike weights

	ByEvidence = "by-evidence" // the mean size of groups is regressed if larger ones are seen farther off
)

// Functions names the detection functions that a survey can ask for.
var Functions = []string{LowestAIC, "uniform", "half-normal", "hazard-rate"}

// Criteria names what detection functions can be ranked by.
var Criteria = []string{AIC, AICc}

// GroupSizes names the ways to the mean size of the groups there are.
var GroupSizes = []string{ByEvidence, "mean", "regression"}

// LineIntervals names the ways to the interval of a density along lines.
var LineIntervals = []string{Delta, Bootstrap, ModelAverage}

// What the scale of a detection function can depend on.
const (
	Observer    = "observer"     // those who searched the line, together
	InStratum   = "stratum"      // where the line lies
	OfMode      = "mode"         // the crew's call
	NearTree    = "tree"         // species of the nearest tree
	OfTaxon     = "taxon"        // what was found
	GroupSize   = "size"         // log of the fruit bodies of a find
	GroundCover = "ground_cover" // how much of the ground is hidden
)

// LineCovariates names them.
var LineCovariates = []string{Observer, InStratum, OfMode, NearTree, OfTaxon, GroupSize, GroundCover}

// MostCovariates bounds those of one survey: with and without each, of two
// keys, five would be 62 functions for one set of finds.
const MostCovariates = 4

// defaultLines: the mean over the functions, because the delta method takes the
// function chosen for the only one thought of, and its intervals then hold the
// truth 0.87 to 0.94 of the time for 0.95; and because the function that is best in
// each draw gives wider limits that hold it no more often
// (cmd/calibrate/published). The limits rest on the spread of the replicates, which
// 499 give to 3 %.
var defaultLines = Lines{Function: LowestAIC, Criterion: AIC, GroupSize: ByEvidence, Interval: ModelAverage, Replicates: 499}
