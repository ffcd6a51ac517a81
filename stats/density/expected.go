package density

import (
	"cmp"
	"fmt"
	"slices"

	"ashtally/stats"
)

// Likeness is a class of samples that are as large and look as clumped as each
// other: by the effective number of units and by k, as [Joint] has them.
type Likeness struct {
	UnitsFrom float64 // effective units or sites, up to those of the next class
	KFrom     float64 // k, up to that of the next class
}

// Compare orders classes by units, then by k.
func (l Likeness) Compare(o Likeness) int {
	return cmp.Or(cmp.Compare(l.UnitsFrom, o.UnitsFrom), cmp.Compare(l.KFrom, o.KFrom))
}

// The lower ends of the classes.
var (
	unitsFrom = []float64{3, 5, 10, 15, 25, 50, 100}
	kFrom     = []float64{0, 0.1, 0.2, 0.4, 0.8, 1.6}
)

// LikenessOf is the class of a sample; false of one that is smaller than any class
// or that was not taken together.
func LikenessOf(units, k float64) (Likeness, bool) {
	u, w := lowerEnd(unitsFrom, units), lowerEnd(kFrom, k)
	if u < 0 || w < 0 {
		return Likeness{}, false
	}
	return Likeness{unitsFrom[u], kFrom[w]}, true
}

// lowerEnd is the place of the last of the rising values that is not over v; -1
// if all are, or v is not a number.
func lowerEnd(rising []float64, v float64) int {
	at := -1
	for i, from := range rising {
		if from <= v {
			at = i
		}
	}
	return at
}

// Expectation is how often 95 % intervals covered the truth in simulated samples of
// a class: in the world where they did least often, and in all worlds together.
type Expectation struct {
	Likeness
	World    string
	Samples  int
	Coverage float64 // in that world
	Overall  float64
}

// Told reports whether a sample of the class carries a warning of limits too near.
func (e Expectation) Told() bool { return e.Coverage < tellBelow || e.Overall < tellBelowOverall }

// Wide reports whether a sample of the class is said to have limits that may be wider
// than they need be.
func (e Expectation) Wide() bool { return e.Coverage >= tellBelow && e.Overall > tellAbove }

// The coverages between which nothing is said.
const (
	tellBelow        = 0.85 // in the least favourable world
	tellBelowOverall = 0.93
	tellAbove        = 0.975
)

// expected tells of intervals that covered the truth less often than their level in
// simulated surveys of the same class, or more often. Under leastFinds a warning is there anyway.
func (j *joint) expected() []stats.Warning {
	like, ok := LikenessOf(j.units(), j.clumping())
	if !ok || j.sum(func(m *member) float64 { return m.finds }) < leastFinds {
		return nil
	}
	at := slices.IndexFunc(Expectations, func(e Expectation) bool { return e.Likeness == like })
	if at < 0 {
		return nil
	}
	e := Expectations[at]
	switch {
	case e.Wide():
		return []stats.Warning{stats.Conservative.With("the interval is conservative: in simulated surveys with as many units and as strong a clumping, "+
			"95 %% intervals covered the true density in %.0f %%", 100*e.Overall)}
	case !e.Told():
		return nil
	}
	text := fmt.Sprintf("in simulated surveys with as many units and as strong a clumping, 95 %% intervals covered the true density in %.0f %%", 100*e.Overall)
	if e.Coverage < e.Overall {
		text += fmt.Sprintf(", and in %.0f %% of those on the least favourable ground, where a few rich patches are easily missed", 100*e.Coverage)
	}
	return []stats.Warning{BelowNominal.With("%s", text)}
}
