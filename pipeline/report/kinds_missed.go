package report

// missedKinds are the codes of what was missed.
var missedKinds = map[string]kind{
	"none-seen-by-both":   {"No find seen by two observers", figureRank},
	"no-two-observers":    {"No finds where two observers searched", figureRank},
	"no-chances":          {"Chances to see that could not be worked out", figureRank},
	"catches-not-falling": {"Catches that do not fall from pass to pass", figureRank},
	"one-pass":            {"Nothing passed over twice", figureRank},
	"passes-along-lines":  {"Passes along lines", figureRank},
	"passes-differ":       {"Unequal numbers of passes", figureRank},
	"missed-open":         {"No upper limit of what was there", figureRank},
	"no-interval":         {"An estimate without an interval", minorRank},

	"all-seen-by-all":       {"Observers who agree in everything", designRank},
	"observer-adds-nothing": {"An observer who adds nothing", designRank},
	"observers-agree":       {"Observers who agree too well", designRank},
	"observers-avoid":       {"Observers who share the ground between them", designRank},
	"finds-unlike":          {"Finds that were not equally easy to see", designRank},
	"separation":            {"Finds that a model parts without overlap", designRank},
	"visits-of-one":         {"Visits with a single observer", designRank},
	"model-not-used":        {"A model of sight that could not be tried", designRank},
	"observers-unnamed":     {"Visits that name no observer", designRank},
	"observer-unpaired":     {"An observer never held against another", designRank},
	"sight-unrecorded":      {"Finds of which nobody wrote down who saw them", designRank},
	"missed-may-return":     {"What one day missed, another may have found", designRank},
	"added-by-sight":        {"Plots added by what was seen", designRank},
	"passes-unequal":        {"Passes that were not equally thorough", designRank},
	"two-passes":            {"Two passes at most", designRank},
	"single-passes":         {"Searches of a single pass", designRank},
	"pass-gap":              {"Passes without a row", designRank},

	"few-seen-by-both":       {"Few finds seen by two observers", fewRank},
	"few-in-passes":          {"Few finds in repeated passes", fewRank},
	"sight-at-limit":         {"A chance to see at the end of its range", fewRank},
	"all-in-first-pass":      {"Nothing found after the first pass", fewRank},
	"observer-without-finds": {"An observer without finds", minorRank},
}
