package main

// estimator is a package with a page of its own.
type estimator struct {
	dir      string // below stats
	title    string
	notebook string // that does it by hand; empty if none does
	figure   string // of coverage, in cmd/calibrate/published; empty if there is none
}

// estimators are the packages with a page, in the order of the list.
var estimators = []estimator{
	{dir: "density", title: "Density from plots and strips", notebook: "headline", figure: "plots/coverage-by-world"},
	{dir: "domain", title: "Density of classes of ground"},
	{dir: "detect", title: "Detection functions", notebook: "lines"},
	{dir: "detect/lines", title: "Density from line transects", notebook: "lines", figure: "lines-by-world"},
	{dir: "adaptive", title: "Density from adaptive cluster plots", figure: "adaptive-by-world"},
	{dir: "dispersion", title: "Clumping"},
	{dir: "compare", title: "Ratio of two densities on the same units", notebook: "ratio", figure: "ratios-by-world"},
	{dir: "permute", title: "Permutation tests", notebook: "ratio"},
	{dir: "regress", title: "Models of counts", notebook: "counts"},
	{dir: "selection", title: "Use of hosts against what they offer"},
	{dir: "association", title: "Association with host trees", notebook: "birch"},
	{dir: "change", title: "Change between two seasons"},
	{dir: "observers", title: "Detection probability by independent observers"},
	{dir: "removal", title: "Detection probability by removal passes"},
	{dir: "missed", title: "Density corrected for imperfect detection"},
	{dir: "season", title: "The curve of the flush"},
	{dir: "chain", title: "From counted to grown, and several methods together"},
	{dir: "crop", title: "Crop and its mass"},
	{dir: "harvest", title: "Share of the crop that a harvest takes"},
	{dir: "multiple", title: "Multiple comparisons"},
	{dir: "planning/samplesize", title: "Sample size"},
	{dir: "planning/allocation", title: "Allocation to strata"},
	{dir: "planning/power", title: "Power"},
	{dir: "layout", title: "Layout of units"},
}

// parts are the packages of stats that have no page: likelihoods, variances and
// tests that the estimators are made of.
var parts = []string{
	"detect/gof", "detect/optimum", "interpolation", "linear", "mixture", "negbin", "poissonlognormal", "random", "regress/terms", "resample",
	"statstest", "strata",
	"planning", "planning/detection", "planning/forecast", "planning/pilot", "planning/published", "planning/unitsize", "planning/visits",
}
