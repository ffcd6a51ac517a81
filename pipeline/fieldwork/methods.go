package fieldwork

import (
	"fmt"
	"slices"
	"strings"

	"ashtally/pipeline/result"
)

// Methods lists those of its units.
func (s *Season) Methods() []string {
	var methods []string
	for _, method := range []string{result.Plot, result.Added, result.Strip, result.Line} {
		if slices.ContainsFunc(s.Units, func(u Unit) bool { return u.Method == method }) {
			methods = append(methods, method)
		}
	}
	return methods
}

// DensityMethods lists the methods that densities are estimated by: those of
// the units, and adaptive clusters, which are plots with those added to them.
func (s *Season) DensityMethods() []string {
	var methods []string
	for _, method := range s.Methods() {
		if method == result.Added {
			continue
		}
		methods = append(methods, method)
		if method == result.Plot && slices.ContainsFunc(s.Strata, func(st Stratum) bool { return st.Adaptive }) {
			methods = append(methods, result.Adaptive)
		}
	}
	return methods
}

// DrawnMethods lists the methods whose units were drawn at random. Plots that
// were added beside a rich one stand for nothing but themselves.
func (s *Season) DrawnMethods() []string {
	return slices.DeleteFunc(s.Methods(), func(method string) bool { return method == result.Added })
}

// countsFor reports whether a unit counts in the figures of a method.
func countsFor(s *Season, method string, u *Unit) bool {
	if method == result.Adaptive {
		return s.Strata[u.Stratum].Adaptive && (u.Method == result.Plot || u.Method == result.Added)
	}
	return u.Method == method
}

// UnitNoun is what a unit of a method is called in a sentence.
func UnitNoun(method string) string {
	switch method {
	case result.Adaptive:
		return "adaptive cluster plot"
	case result.Added:
		return "added plot"
	}
	return method
}

// NameList writes names as a list of at most eight.
func NameList(names []string) string {
	const shown = 8
	if len(names) <= shown {
		return strings.Join(names, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(names[:shown], ", "), len(names)-shown)
}
