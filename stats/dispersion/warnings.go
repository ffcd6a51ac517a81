package dispersion

import "ashtally/stats"

// What is called few.
const (
	fewUnits = 15
	fewFinds = 20
)

var (
	noUnits        = stats.NoUnits.With("no unit was searched, so nothing is known of clumping")
	oneUnit        = stats.OneUnit.With("a single unit gives no information on aggregation")
	noFinds        = stats.NoFinds.With("nothing was found, so nothing is known of clumping")
	oneFind        = OneFind.With("a single find has no other to share a unit with: there is no Morisita's index")
	findsInOneUnit = stats.FindsInOneUnit.With("all finds lie in one unit: without it nothing would be known of clumping")
	infiniteK      = stats.NoClumping.With("the counts vary no more than chance has them, so k is infinite and has no value; the Poisson " +
		"distribution fits as well")
	underDispersed = UnderDispersed.With("the counts are more even than chance has them: finds that keep apart, units of unequal area treated " +
		"as equal, or counts made equal by the crew")
	openUpper  = OpenUpperLimit.With("the upper limit of k is open: chance alone is not excluded")
	fewClasses = FewClasses.With("too few classes of counts for a chi-square of fit")
)

// doubts are what the size of a sample gives reason for.
func (s sample) doubts() []stats.Warning {
	var w []stats.Warning
	if s.units() < fewUnits {
		w = append(w, stats.FewUnits.With("%d units are few; under %d the tests and limits may not have their nominal level", s.units(), fewUnits))
	}
	switch {
	case s.finds == 0:
		return append(w, noFinds)
	case s.finds == 1:
		w = append(w, oneFind)
	case s.full == 1:
		w = append(w, findsInOneUnit)
	}
	if s.finds < fewFinds {
		w = append(w, stats.FewFinds.With("%.0f finds are few; under %d the tests and limits may not have their nominal level", s.finds, fewFinds))
	}
	return w
}
