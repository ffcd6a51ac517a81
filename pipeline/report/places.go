package report

import "ashtally/pipeline/analyze"

func stratumName(stratum string) string {
	switch stratum {
	case analyze.All:
		return "Land as a whole"
	case analyze.Reached:
		return strataReached
	}
	return name(stratum)
}

// landOf names within a sentence what a row over strata is of.
func landOf(stratum string) string {
	if stratum == analyze.Reached {
		return "the part of the survey area they reached"
	}
	return "the land"
}

// strataReached names the strata that a method reached, where it did not reach all.
const strataReached = "Strata reached"

func treeName(tree string) string {
	switch tree {
	case analyze.All:
		return "Any tree or none"
	case analyze.Unrecorded:
		return "no tree recorded"
	}
	return name(tree)
}

// limits writes "95 % interval 0.30 to 0.62".
func (w writer) limits(e analyze.Estimate, size float64) string {
	return level(e.Confidence.Or(w.page.Settings.Confidence)) + " interval " + round(e, size).interval()
}
