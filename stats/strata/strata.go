// Package strata collapses strata of one sampled cluster with others.
//
// A stratum in which a single cluster (a unit, or a site of several) was sampled
// has an estimate and no variance of it. Its variance is estimated with that of
// another stratum, as if the two were one: their clusters are held against the
// density of both together. The figure itself stays that of the strata apart.
//
// If the two differ, their difference counts as variance between clusters, so
// that collapsing overstates the variance on average. That holds for strata that
// were paired before the counts were seen. Of two strata of one cluster each that
// were paired because their sample means lie close, the variance may as well be
// understated.
//
// Reference: Cochran (1977), Sampling Techniques, 3rd ed., section 5A.12; Wolter
// (2007), Introduction to Variance Estimation, 2nd ed., section 2.5.
package strata

import (
	"cmp"
	"math"
	"slices"

	"ashtally/stats"
)

// Stratum is what the choice of a partner needs to know of a stratum.
type Stratum struct {
	Name string
	Mean float64 // what nearness is measured by: the density of all finds, say
	With string  // name of the stratum to collapse it with; "" or not there: the one nearest in mean
}

// Collapsed is the strata of a sample in groups.
type Collapsed struct {
	Group    []int // of each stratum, numbered from 0; -1 where nothing was sampled
	Clusters []int // of each group
	Strata   []int // of each group
	Warnings []stats.Warning
}

// Joint reports whether a stratum shares its group with another.
func (c Collapsed) Joint(stratum int) bool {
	g := c.Group[stratum]
	return g >= 0 && c.Strata[g] > 1
}

// Lone reports whether no group has two clusters, so that nothing is known of
// their variance.
func (c Collapsed) Lone() bool {
	return !slices.ContainsFunc(c.Clusters, func(m int) bool { return m > 1 })
}

// Warnings are the types that this package declares.
var Warnings stats.WarningTypes

// CollapsedStrata is of strata that were collapsed.
var CollapsedStrata = Warnings.New("collapsed-strata", stats.Coverage, "Strata collapsed for their variance")

// Collapse puts every stratum with a single cluster into the group of its
// partner: of the one it names, or of the one nearest in mean. Of partners equally
// near it takes the one with more clusters, and of those the first by name. All
// other strata are groups of their own, as is one without any partner. Strata
// without clusters are in no group.
//
// Clusters has the number sampled in each stratum. It panics on slices of unequal
// length.
func Collapse(list []Stratum, clusters []int) Collapsed {
	if len(list) != len(clusters) {
		panic("strata: slice length mismatch")
	}
	c := Collapsed{Group: make([]int, len(list))}
	for h := range list {
		c.Group[h] = h
	}
	for h, m := range clusters {
		if m != 1 {
			continue
		}
		if at := partner(list, clusters, h); at >= 0 {
			c.join(h, at)
			c.Warnings = append(c.Warnings, collapsed(list, clusters, h, at))
		}
	}
	slices.SortFunc(c.Warnings, func(a, b stats.Warning) int {
		return cmp.Or(cmp.Compare(a.Text, b.Text), cmp.Compare(a.Stratum, b.Stratum))
	})
	// Two of one cluster each tell of each other.
	c.Warnings = slices.CompactFunc(c.Warnings, func(a, b stats.Warning) bool { return a.Text == b.Text })
	c.number(clusters)
	return c
}

// partner is the place of the stratum that h is collapsed with; -1 if there is
// none.
func partner(list []Stratum, clusters []int, h int) int {
	best := -1
	for i, m := range clusters {
		switch {
		case i == h || m == 0:
		case list[h].With != "" && list[i].Name == list[h].With:
			return i
		case best < 0 || nearer(list, clusters, h, i, best) < 0:
			best = i
		}
	}
	return best
}

// nearer compares two partners of h.
func nearer(list []Stratum, clusters []int, h, a, b int) int {
	distance := func(i int) float64 { return math.Abs(list[i].Mean - list[h].Mean) }
	return cmp.Or(cmp.Compare(distance(a), distance(b)), cmp.Compare(clusters[b], clusters[a]), cmp.Compare(list[a].Name, list[b].Name))
}

// join merges the groups of two strata.
func (c *Collapsed) join(h, with int) {
	from, to := c.Group[h], c.Group[with]
	for i, g := range c.Group {
		if g == from {
			c.Group[i] = to
		}
	}
}

// number numbers the groups from 0 in the order of their first strata, and counts
// their strata and clusters.
func (c *Collapsed) number(clusters []int) {
	number := map[int]int{}
	for h, g := range c.Group {
		if clusters[h] == 0 {
			c.Group[h] = -1
			continue
		}
		at, known := number[g]
		if !known {
			at = len(number)
			number[g] = at
			c.Clusters, c.Strata = append(c.Clusters, 0), append(c.Strata, 0)
		}
		c.Group[h] = at
		c.Clusters[at] += clusters[h]
		c.Strata[at]++
	}
}

// collapsed is the warning that a stratum was collapsed with another.
func collapsed(list []Stratum, clusters []int, h, at int) stats.Warning {
	first, second := called(list[h]), called(list[at])
	text := first + " has one independent unit or site and was collapsed with " + second
	switch {
	case list[h].With != "" && list[h].With == list[at].Name:
		text += ", named in the settings; that overstates the variance if the two differ"
	case clusters[at] > 1:
		text += ", the nearest in mean; that overstates the variance if the two differ"
	default:
		first, second = min(first, second), max(first, second)
		text = first + " and " + second + " have one independent unit or site each and were collapsed, being nearest in mean; as their own counts " +
			"paired them, the variance may be understated"
	}
	w := CollapsedStrata.With("%s", text)
	w.Stratum = list[h].Name
	return w
}

func called(s Stratum) string {
	if s.Name == "" {
		return "a stratum"
	}
	return "stratum " + s.Name
}
