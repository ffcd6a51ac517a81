package survey

import (
	"slices"

	"ashtally/pipeline/column"
)

// Key is one setting of survey.toml: the reader, the empty survey and the
// documentation all work from the same declaration. The tables [files] and
// [columns] are not among them, as their keys are table names and headers.
type Key struct {
	Table  string        // the TOML table it stands in; "" at the top
	Name   string        // the key itself
	About  string        // one sentence: what it sets
	Words  []string      // the texts it accepts, or a list may hold; nil = any
	Bounds column.Bounds // of a number, or of each of a list
	// At returns a pointer into the settings: *string, *float64, *uint64,
	// *int, *[]string, *[]float64, *Range or *column.Date.
	At func(*Settings) any
}

// Path is the key as a reader would write it with its table: "density.interval".
func (k Key) Path() string {
	if k.Table == "" {
		return k.Name
	}
	return k.Table + "." + k.Name
}

// Keys lists the settings in the order in which a survey.toml shows them.
var Keys = slices.Concat(baseKeys, adaptiveKeys, modelKeys, curveKeys, groundKeys, reportKeys, checkKeys, planKeys)

// baseKeys are those without a file of their own.
var baseKeys = []Key{
	{Name: "title", About: "name of the survey, as the report shows it",
		At: func(s *Settings) any { return &s.Title }},
	{Name: "confidence", About: "level of every interval: 0.95 for 95 %", Bounds: column.Bounds{Set: true, Min: 0.5, Max: 0.9999},
		At: func(s *Settings) any { return &s.Confidence }},
	{Name: "seed", About: "start of the random numbers; the same seed gives the same figures", Bounds: seeds,
		At: func(s *Settings) any { return &s.Seed }},
	{Name: "units", About: "what the report shows first; stored figures are always metric", Words: []string{Metric, US},
		At: func(s *Settings) any { return &s.Units }},

	{Table: "season", Name: "first", About: "first day that a visit may have; silent = any", Bounds: surveyed,
		At: func(s *Settings) any { return &s.Season.First }},
	{Table: "season", Name: "last", About: "last day that a visit may have; silent = any", Bounds: surveyed,
		At: func(s *Settings) any { return &s.Season.Last }},

	{Table: "counting", Name: "rule", About: "new: a visit records only fruit bodies not recorded before, a season is their sum; standing: a " +
		"visit records all that stand, a season is its fullest visit", Words: []string{New, Standing},
		At: func(s *Settings) any { return &s.Counting.Rule }},

	{Table: "taxa", Name: "target", About: "the taxa that are estimated; empty = every taxon; others are kept and reported apart",
		At: func(s *Settings) any { return &s.Taxa.Target }},

	{Table: "hosts", Name: "trees", About: "the species that can be hosts; empty = any",
		At: func(s *Settings) any { return &s.Hosts.Trees }},
	{Table: "hosts", Name: "distance_m", About: "how far from a host a find can be its associate, by the distance rule", Bounds: distanceM,
		At: func(s *Settings) any { return &s.Hosts.DistanceM }},

	{Table: "density", Name: "interval", About: "how the intervals of densities of plots and strips are found; adaptive cluster plots and " +
		"lines have their own", Words: Intervals,
		At: func(s *Settings) any { return &s.Density.Interval }},
	{Table: "density", Name: "systematic", About: "variance of densities of transects with a sequence: random = as if they lay at random, too " +
		"wide where density trends along the layout; successive-differences compares each with the next, weighed by the square of the ground it " +
		"covers or, by-area, by the ground; neighbour-pairs compares within pairs; transects without a sequence, or that share one, are named and left out of it", Words: Systematics,
		At: func(s *Settings) any { return &s.Density.Systematic }},
	{Table: "density", Name: "roadside", About: "apart: roadside units are left out of a stratum's density and named; together: they count like any other", Words: []string{Apart, Together},
		At: func(s *Settings) any { return &s.Density.Roadside }},
	// Below 199 the ends of a 95 % interval rest on fewer than five samples; above
	// a hundred thousand no digit shown changes, and large surveys take minutes.
	{Table: "density", Name: "replicates", About: "bootstrap samples, where an interval needs them", Bounds: column.Bounds{Set: true, Min: 199, Max: 1e5},
		At: func(s *Settings) any { return &s.Density.Replicates }},

	{Table: "lines", Name: "truncation_m", About: "how far from a line finds are used; 0 = to the narrowest half-width of the lines or, where " +
		"none has one, without the farthest 5 % of the finds", Bounds: distanceM,
		At: func(s *Settings) any { return &s.Lines.TruncationM }},
	{Table: "lines", Name: "function", About: "lowest-aic: the detection function of lowest criterion among all; else the one named, bent or " +
		"not by the criterion", Words: Functions,
		At: func(s *Settings) any { return &s.Lines.Function }},
	{Table: "lines", Name: "left_truncation_m", About: "finds nearer to the line than this are left out, where what lies close by was not " +
		"seen; the shape of the curve fills them in", Bounds: distanceM,
		At: func(s *Settings) any { return &s.Lines.LeftTruncationM }},
	{Table: "lines", Name: "breaks_m", About: "borders of the classes that distances were recorded in, ascending: [0, 1, 2, 4]; a find then " +
		"has any distance within its class, one on a border counting for the farther; none: distances were measured", Bounds: distanceM,
		At: func(s *Settings) any { return &s.Lines.BreaksM }},
	{Table: "lines", Name: "covariates", About: "what the reach of sight may depend on, four at most; each is tried with and without", Words: LineCovariates,
		At: func(s *Settings) any { return &s.Lines.Covariates }},
	{Table: "lines", Name: "criterion", About: "what detection functions are ranked by; aicc suits few finds", Words: Criteria,
		At: func(s *Settings) any { return &s.Lines.Criterion }},
	{Table: "lines", Name: "group_size", About: "mean size of groups: by-evidence regresses it on the chance to be seen if larger groups are " +
		"seen farther off", Words: GroupSizes,
		At: func(s *Settings) any { return &s.Lines.GroupSize }},
	{Table: "lines", Name: "interval", About: "delta: the chosen detection function is assumed known; bootstrap: lines are resampled and the " +
		"function is chosen anew each time; averaged: the same, with the mean over the functions by their Akaike weights", Words: LineIntervals,
		At: func(s *Settings) any { return &s.Lines.Interval }},
	// Each fits up to a dozen detection functions: ten thousand take minutes.
	{Table: "lines", Name: "replicates", About: "bootstrap samples of the lines, where an interval needs them",
		Bounds: column.Bounds{Set: true, Min: 199, Max: 1e4},
		At:     func(s *Settings) any { return &s.Lines.Replicates }},
	// Terms beyond the third follow the rounding of the distances rather than sight.
	{Table: "lines", Name: "adjustments", About: "most terms that may bend a detection function; where they would make it rise with distance " +
		"it is held level, and its standard error is not to be trusted", Bounds: column.Bounds{Set: true, Min: 0, Max: 3},
		At: func(s *Settings) any { return &s.Lines.Adjustments }},

	{Table: "selection", Name: "availability", About: "what trees offer: the measure of trees.csv that a host's share of finds is compared with",
		Words: Availabilities,
		At:    func(s *Settings) any { return &s.Selection.Availability }},

	{Table: "association", Name: "farthest_m", About: "largest distance to a live host that finds and reference points are compared at",
		Bounds: column.Bounds{Set: true, Min: 0.1, Max: 1000},
		At:     func(s *Settings) any { return &s.Association.FarthestM }},
	// More than 60 are finer than any figure shows, and take their time.
	{Table: "association", Name: "steps", About: "number of distances up to it, equally far apart", Bounds: column.Bounds{Set: true, Min: 2, Max: 60},
		At: func(s *Settings) any { return &s.Association.Steps }},
	{Table: "association", Name: "replicates", About: "swaps of finds with reference points, and bootstrap samples of the medians",
		Bounds: column.Bounds{Set: true, Min: 199, Max: 1e5},
		At:     func(s *Settings) any { return &s.Association.Replicates }},

	{Table: "compare", Name: "permute", About: "which comparisons are tested by permutation as well: of years since fire, of modes, both or neither", Words: Permutations,
		At: func(s *Settings) any { return &s.Compare.Permute }},
	{Table: "compare", Name: "replicates", About: "arrangements drawn where they are too many to go through", Bounds: column.Bounds{Set: true, Min: 199, Max: 1e6},
		At: func(s *Settings) any { return &s.Compare.Replicates }},
	{Table: "missed", Name: "correction", About: "how densities are corrected for imperfect detection: as-recorded: by observers where two or " +
		"more searched a unit on their own, else by passes; observers, passes or none", Words: Corrections,
		At: func(s *Settings) any { return &s.Missed.Correction }},
	{Table: "missed", Name: "model", About: "lowest-aic: what the chance to see a find depends on, by AIC; else on the observer, and on the " +
		"group-size or the stratum too", Words: Sights,
		At: func(s *Settings) any { return &s.Missed.Model }},
}
