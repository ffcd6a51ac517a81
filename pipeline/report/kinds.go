package report

import "strings"

// kind is what a warning's code means to a reader. The rank orders the kinds,
// the weightiest first.
type kind struct {
	title string
	rank  int
}

const (
	graveRank   = iota // something is wrong with the survey, or the land is not what was seen
	figureRank         // a figure or its interval is missing
	designRank         // a figure means something else than it seems to
	fewRank            // an interval may not keep its level
	unknownRank        // a code that is not listed here
	minorRank          // good to know
)

// kinds are the codes of the packages below. A code that is missing here is
// printed all the same, under its own name.
var kinds = map[string]kind{
	"target-not-hollow":  {"Target finds that were not hollow", graveRank},
	"not-hollow-share":   {"Target finds that were not hollow, as a share", graveRank},
	"land-not-reached":   {"Land that was not searched", graveRank},
	"roadside-only":      {"Only roadsides were searched", graveRank},
	"roadside-together":  {"Roadsides counted with the rest", graveRank},
	"searched-over-land": {"More was searched than the land has", graveRank},

	"no-units":               {"Nothing was searched", figureRank},
	"no-land":                {"No land", figureRank},
	"stratum-missing":        {"A stratum without a figure", figureRank},
	"stratum-without-limits": {"A stratum without an interval", figureRank},
	"one-unit":               {"A single unit", figureRank},
	"one-site":               {"A single site", figureRank},
	"one-cluster":            {"A single unit or site", figureRank},
	"upper-open":             {"No upper limit", figureRank},
	"no-limits":              {"No limits", figureRank},
	"too-wide":               {"An interval that says nothing", figureRank},
	"no-finds":               {"Nothing was found", figureRank},
	"no-first-finds":         {"Nothing was found of the first kind", figureRank},
	"no-second-finds":        {"Nothing was found of the second kind", figureRank},
	"nothing-available":      {"Nothing recorded as available", figureRank},
	"one-class":              {"A single host", figureRank},
	"not-available":          {"A host that is not recorded as available", figureRank},
	"no-points":              {"No reference points", figureRank},
	"no-shared-units":        {"Finds and reference points in different units", figureRank},
	"no-live-host":           {"No live host", figureRank},
	"no-point-within":        {"No reference point so near", figureRank},
	"no-find-within":         {"No find so near", figureRank},
	"no-median":              {"No median distance", figureRank},
	"one-call":               {"All finds called alike", figureRank},
	"nothing-to-exchange":    {"Nothing to exchange", figureRank},
	"no-statistic":           {"Nothing to test", figureRank},
	"no-ratio":               {"No ratio", figureRank},
	"ratio-without-limits":   {"A ratio without limits", figureRank},
	"no-detection-function":  {"No detection function", figureRank},
	"one-transect":           {"A single line", figureRank},
	"no-variance":            {"A detection function without standard errors", figureRank},
	"not-converged":          {"A detection function that found no best fit", figureRank},

	"unequal-visits":       {"Units searched unequally often", designRank},
	"seasons-pooled":       {"Seasons taken together", designRank},
	"unsearched-stratum":   {"Strata without searched units", designRank},
	"whole-land-searched":  {"All of the land was searched", designRank},
	"g0-assumed":           {"All on the line is taken for found", designRank},
	"years-are-strata":     {"Years that cannot be told from strata", designRank},
	"called-by-distance":   {"Modes called by the distance compared", designRank},
	"trees-not-recorded":   {"Units without their trees", designRank},
	"tree-not-recorded":    {"Finds or points without their tree", designRank},
	"finds-without-points": {"Finds without reference points", designRank},
	"finds-without-trees":  {"Finds where no live host stands", designRank},
	"heaping":              {"Distances that were rounded", designRank},
	"spike-at-zero":        {"A spike of finds beside the line", graveRank},
	"wide-strip":           {"Sight that reaches past the ground searched", designRank},
	"scale-at-limit":       {"Distances that do not tell how far is seen", designRank},
	"shape-rises":          {"A detection function that rises with distance", designRank},
	"size-bias":            {"Larger groups seen farther off", designRank},
	"size-not-regressed":   {"Group sizes that could not be regressed", designRank},
	"size-with-weights":    {"Groups weighed by their chance to be seen", designRank},
	"detection-shared":     {"Sight taken from all finds together", designRank},
	"beyond-half-width":    {"Finds beyond the distance used", designRank},
	"left-truncated":       {"Finds nearer than the distance used", designRank},
	"truncation-cut":       {"A truncation wider than the search", designRank},
	"half-widths-differ":   {"Lines searched to unequal distances", designRank},
	"no-half-width":        {"Lines without a half-width", designRank},
	"areas-unknown":        {"Strata weighed by the lines walked", designRank},
	"not-estimable":        {"Levels that do not occur together", figureRank},
	"no-joint-test":        {"A term without Wald’s test", figureRank},
	"no-score-test":        {"A difference that cannot be tested", figureRank},
	"model-not-fitted":     {"A model of counts that could not be fitted", figureRank},
	"model-too-large":      {"A survey too large for the model of counts", figureRank},
	"one-age":              {"Burned land of one age", figureRank},
	"no-decline":           {"A density that does not fall", figureRank},

	"one-visit": {"Units searched once", designRank},

	"age-is-fire":         {"Each age is a fire of its own", designRank},
	"one-fire":            {"All burned units in one fire", designRank},
	"two-ages":            {"Two ages only", designRank},
	"strata-within-years": {"Strata of one age each", designRank},
	"uncalled-left-out":   {"Finds that the model leaves out", designRank},
	"trees-unrecorded":    {"Most finds without a tree", designRank},

	"network-not-drawn":    {"Networks without a drawn plot", designRank},
	"network-incomplete":   {"Networks that were not searched whole", designRank},
	"roadside-in-grid":     {"Roadside plots counted as plots of the grid", designRank},
	"sites-in-grid":        {"Plots of a grid that are of sites", designRank},
	"no-density":           {"No density, and so no crop", figureRank},
	"no-crop":              {"A crop that is not known in the unit of the limit", figureRank},
	"crop-without-limits":  {"A crop without an interval", figureRank},
	"crop-open":            {"A crop without an upper limit", figureRank},
	"weighed-in-one-place": {"Weighed in one place alone", figureRank},
	"over-crop":            {"More may be taken than there is", designRank},
	"weighed-in-part":      {"Weighed in part", designRank},
	"masses-alike":         {"Masses that are all alike", designRank},
	"mass-apart":           {"Mass put to the density apart", designRank},
	"kinds-pooled":         {"Kinds with the mean mass of all", designRank},
	"all-taken-here":       {"As if all were taken on one ground", minorRank},
	"no-mass":              {"Nothing was weighed", minorRank},
	"few-weighed":          {"Few were weighed", fewRank},
	"variance-below-0":     {"A variance below 0", figureRank},

	"few-df":               {"Few units or sites behind an effect", fewRank},
	"no-finds-in-cell":     {"Levels without finds", fewRank},
	"no-finds-at-all":      {"A density without finds", fewRank},
	"too-few-finds":        {"A term that the finds cannot carry", fewRank},
	"decline-open":         {"A time to a tenth without an end", fewRank},
	"few-units":            {"Few units", fewRank},
	"few-sites":            {"Few sites", fewRank},
	"few-clusters":         {"Few units or sites", fewRank},
	"few-finds":            {"Few finds", fewRank},
	"finds-in-one-unit":    {"All finds in one unit", fewRank},
	"finds-in-one-site":    {"All finds in one site", fewRank},
	"finds-in-one-cluster": {"All finds in one place", fewRank},
	"group-in-one-cluster": {"All finds of one kind in one place", fewRank},
	"under-dispersed":      {"Counts more even than chance", fewRank},
	"collapsed-strata":     {"Strata collapsed for their variance", fewRank},
	"stratum-without-se":   {"Strata without a standard error", fewRank},
	"no-spread":            {"Units too much alike", fewRank},
	"layout-no-spread":     {"Neighbours too much alike", fewRank},
	"estimate-outside":     {"Limits that missed the estimate", fewRank},
	"bootstrap-extreme":    {"A bootstrap at its end", fewRank},
	"bootstrap-lost":       {"Bootstrap samples without a figure", fewRank},
	"few-with-finds":       {"Few units with finds", fewRank},
	"not-used":             {"A host without finds", fewRank},
	"alone-used":           {"A host with all finds", fewRank},
	"unsteady-median":      {"A median that will not stand still", fewRank},
	"full-agreement":       {"Full agreement", fewRank},
	"few-bear-on-test":     {"A comparison that hangs on few units or sites", fewRank},
	"few-arrangements":     {"Few arrangements to exchange", fewRank},
	"few-detections":       {"Few finds along lines", fewRank},
	"few-transects":        {"Few lines", fewRank},
	"model-chosen":         {"A detection function chosen among several", fewRank},
	"shape-held":           {"A detection function held level", fewRank},
	"shape-at-limit":       {"A detection function at the end of its range", fewRank},
	"no-sequence":          {"Transects without a place along the layout", fewRank},

	"open-upper-limit": {"No upper limit of k", minorRank},
	"open-lower-limit": {"No lower limit of k", minorRank},
	"no-clumping":      {"No clumping to measure", minorRank},
	"several-years":    {"Several years compared at once", minorRank},
	"one-find":         {"A single find", minorRank},
	"few-classes":      {"Too few classes of counts", minorRank},
	"no-networks":      {"No plot met the threshold", minorRank},
	"roadside-apart":   {"Roadsides left out", minorRank},
	"may-be-wide":      {"Intervals on the safe side", minorRank},

	"classes-cut":             {"Classes of distance left out", designRank},
	"detection-alike":         {"Both kinds taken to be seen alike", designRank},
	"covariate-unrecorded":    {"What sight may depend on, not recorded", designRank},
	"covariate-separated":     {"An effect on sight without a bound", fewRank},
	"few-at-level":            {"Few finds at a level of what sight depends on", fewRank},
	"failed-refits":           {"Lines drawn again that gave no density", fewRank},
	"heavy-tailed-replicates": {"Bootstrap samples far from all others", designRank},
	"unstable-density":        {"A density along lines that is not to be trusted", graveRank},
	"few-replicates":          {"Too few lines drawn again", fewRank},
	"observers-untried":       {"Observers whose sight was not compared", minorRank},
	"covariate-alike":         {"Nothing to tell of what sight may depend on", minorRank},
	"aliased-term":            {"A term that others tell already", minorRank},
	"held-equal":              {"A ratio that the model holds equal", minorRank},
	"single-level":            {"A term with a single level", minorRank},
	"comparison-left-out":     {"Nothing to compare", minorRank},
	"term-without-parts":      {"A term without its parts", minorRank},
	"trees-gathered":          {"Rare trees taken together", minorRank},
}

// kindOf finds the kind of a code, or makes one of its words.
func kindOf(code string) kind {
	if k, ok := kinds[code]; ok {
		return k
	}
	if k, ok := missedKinds[code]; ok {
		return k
	}
	return kind{capital(words(strings.ReplaceAll(code, "-", " "))), unknownRank}
}

// fromStratum returns the code that a warning of the land has in the stratum
// that it was taken over from.
func fromStratum(code string) (own string, ok bool) {
	if _, known := kinds[code]; known {
		return code, false
	}
	return strings.CutPrefix(code, "stratum-")
}
