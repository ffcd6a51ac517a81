package dispersion

import (
	"fmt"

	"ashtally/stats"
)

// What is called few.
const (
	fewUnits = 15
	fewFinds = 20
)

var (
	noUnits        = stats.Warning{Code: "no-units", Text: "no unit was searched, so nothing is known of clumping"}
	oneUnit        = stats.Warning{Code: "one-unit", Text: "a single unit tells nothing of clumping"}
	noFinds        = stats.Warning{Code: "no-finds", Text: "nothing was found, so nothing is known of clumping"}
	oneFind        = stats.Warning{Code: "one-find", Text: "a single find has no other to share a unit with: there is no Morisita's index"}
	findsInOneUnit = stats.Warning{Code: "finds-in-one-unit", Text: "all finds lie in one unit: without it nothing would be known of clumping"}
	infiniteK      = stats.Warning{Code: "no-clumping", Text: "the counts vary no more than chance has them, so k is infinite and has no value; the Poisson distribution fits as well"}
	underDispersed = stats.Warning{Code: "under-dispersed", Text: "the counts are more even than chance has them: finds that keep apart, units of unlike area taken for equal, or counts made equal by the crew"}
	openUpper      = stats.Warning{Code: "open-upper-limit", Text: "the upper limit of k is open: chance alone is not excluded"}
	fewClasses     = stats.Warning{Code: "few-classes", Text: "too few classes of counts for a chi-square of fit"}
)

func warn(code, text string, args ...any) stats.Warning {
	return stats.Warning{Code: code, Text: fmt.Sprintf(text, args...)}
}

// doubts are what the size of a sample gives reason for.
func (s sample) doubts() []stats.Warning {
	var w []stats.Warning
	if s.units() < fewUnits {
		w = append(w, warn("few-units", "%d units are few; under %d the tests and limits may not keep their level", s.units(), fewUnits))
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
		w = append(w, warn("few-finds", "%.0f finds are few; under %d the tests and limits may not keep their level", s.finds, fewFinds))
	}
	return w
}
