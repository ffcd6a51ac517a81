package stats

import (
	"fmt"
	"slices"
)

// Warning is a limitation of a figure. It never stops a run.
type Warning struct {
	// Code is that of the type, a short fixed name for programs to sort by; of a
	// warning carried over from a stratum with "stratum-" before it.
	Code string
	// Text says in a sentence what is limited and what follows from it.
	Text string
	// Type is the declared type.
	Type *WarningType
	// Moves is by how much, relative to the figure, what is warned of could move it;
	// 0 where nothing tells.
	Moves float64
	// Carried tells that the whole took the warning over from a stratum.
	Carried bool
	// Stratum is the one that the warning is about; "" where it is of the figure as
	// a whole.
	Stratum string
}

// String gives the warning as the result tables hold it: code and sentence.
func (w Warning) String() string { return w.Code + ": " + w.Text }

// WarningType declares what the warnings of one code have in common. It is
// declared once, where its warnings arise, and known by its address:
//
//	var noMass = Warnings.New("no-mass", Unavailable, "Nothing was weighed")
//	...
//	warnings = append(warnings, noMass.With("no find of %d has a mass", n))
type WarningType struct {
	Code  string  // in the result tables, e.g. "no-mass"
	Bears Bearing // on what
	Title string  // heading in a list of limitations, e.g. "Nothing was weighed"
}

// Bearing is what a warning bears on. The order is that of its weight where
// nothing tells by how much it could move a figure, as Moves of a warning does.
type Bearing int

const (
	Scope       Bearing = iota // the figure is of something else than its name says
	Unavailable                // the figure or a limit of it is missing
	Coverage                   // the interval may not have its nominal coverage
	Note                       // good to know; the figure stands
)

// String says in words what a warning bears on.
func (b Bearing) String() string {
	return [...]string{"what the figure is of", "figures that are missing", "coverage of intervals", "notes"}[b]
}

// WarningTypes are the types that a package declares, in the order of their
// declarations. Each package has one list, exported as Warnings.
type WarningTypes []*WarningType

// New declares a type of warning and adds it to the list.
func (l *WarningTypes) New(code string, bears Bearing, title string) *WarningType {
	t := &WarningType{Code: code, Bears: bears, Title: title}
	*l = append(*l, t)
	return t
}

// With makes a warning of the type; text and args are those of fmt.Sprintf.
func (t *WarningType) With(text string, args ...any) Warning {
	if len(args) > 0 {
		text = fmt.Sprintf(text, args...)
	}
	return Warning{Code: t.Code, Text: text, Type: t}
}

// Moving is the warning with how far what it warns of could move the figure.
func (w Warning) Moving(by float64) Warning {
	w.Moves = by
	return w
}

// Find returns the first of the warnings that is of the type and of the figure
// itself, not carried over from a stratum.
func (t *WarningType) Find(warnings []Warning) (Warning, bool) {
	i := slices.IndexFunc(warnings, func(w Warning) bool { return w.Is(t) })
	if i < 0 {
		return Warning{}, false
	}
	return warnings[i], true
}

// In reports whether one of the warnings is of the type and of the figure itself.
func (t *WarningType) In(warnings []Warning) bool {
	_, ok := t.Find(warnings)
	return ok
}

// Is reports whether the warning is of the type and of the figure itself.
func (w Warning) Is(t *WarningType) bool {
	return !w.Carried && w.Type == t
}

// InStratum is the warning of a stratum as one of the whole that the stratum is
// a part of. A stratum may have no name.
func (w Warning) InStratum(name string) Warning {
	where := "in a stratum: "
	if name != "" {
		where = "in stratum " + name + ": "
	}
	w.Code, w.Text, w.Carried, w.Stratum = "stratum-"+w.Code, where+w.Text, true, name
	return w
}

// AppendDistinct appends to all those of the warnings that it does not hold yet.
func AppendDistinct(all []Warning, warnings ...Warning) []Warning {
	for _, w := range warnings {
		if !slices.Contains(all, w) {
			all = append(all, w)
		}
	}
	return all
}

// Distinct joins lists of warnings, each warning once.
func Distinct(lists ...[]Warning) []Warning { return AppendDistinct(nil, slices.Concat(lists...)...) }

// AppendNewCodes appends to all those of the warnings whose code it does not hold yet.
func AppendNewCodes(all []Warning, warnings ...Warning) []Warning {
	for _, w := range warnings {
		if !slices.ContainsFunc(all, func(own Warning) bool { return own.Code == w.Code }) {
			all = append(all, w)
		}
	}
	return all
}

// Warnings are the types that several estimators share.
var Warnings WarningTypes

// The shared types of warnings, by what they are of.
var (
	// Of what was searched: none, one, few, all.
	NoUnits           = Warnings.New("no-units", Unavailable, "Nothing was searched")
	OneUnit           = Warnings.New("one-unit", Unavailable, "A single unit")
	OneCluster        = Warnings.New("one-cluster", Unavailable, "A single unit or site")
	FewUnits          = Warnings.New("few-units", Coverage, "Few units")
	FewClusters       = Warnings.New("few-clusters", Coverage, "Few units or sites")
	SingleInStratum   = Warnings.New("one-cluster-stratum", Coverage, "Strata with a single unit or site")
	AllSearched       = Warnings.New("whole-land-searched", Scope, "All of the area was searched")
	UnsearchedStratum = Warnings.New("unsearched-stratum", Scope, "Strata without searched units")

	// Of counts: none, few, all in one place.
	NoFinds           = Warnings.New("no-finds", Unavailable, "Nothing was found")
	NoFirstFinds      = Warnings.New("no-first-finds", Unavailable, "Nothing was found of the first kind")
	NoSecondFinds     = Warnings.New("no-second-finds", Unavailable, "Nothing was found of the second kind")
	FewFinds          = Warnings.New("few-finds", Coverage, "Few finds")
	FewWithFinds      = Warnings.New("few-with-finds", Coverage, "Few units with finds")
	FindsInOneUnit    = Warnings.New("finds-in-one-unit", Coverage, "All finds in one unit")
	FindsInOneCluster = Warnings.New("finds-in-one-cluster", Coverage, "All finds in one unit or site")
	NoClumping        = Warnings.New("no-clumping", Note, "No overdispersion")
	EmptyGround       = Warnings.New("empty-ground", Note, "Ground that holds nothing")
	NoVariance        = Warnings.New("no-spread", Coverage, "No variance between units")

	// Of limits.
	TooWide   = Warnings.New("too-wide", Unavailable, "An interval too wide to say anything")
	UpperOpen = Warnings.New("upper-open", Unavailable, "No upper limit")
	// Conservative is of limits that hold more often than their level says.
	Conservative = Warnings.New("may-be-wide", Note, "Conservative intervals")
	// SightUntested is of counts corrected for finds that differ in nothing, where
	// nothing could show that they do.
	SightUntested = Warnings.New("sight-untested", Scope, "A lower bound where finds differ in detection probability")
	SightVaries   = Warnings.New("sight-varies", Scope, "Detection probability that varies among finds")
	MissedOpen    = Warnings.New("missed-open", Unavailable, "No upper limit of the corrected count")
)
