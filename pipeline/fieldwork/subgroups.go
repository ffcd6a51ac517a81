package fieldwork

import (
	"maps"
	"slices"

	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
)

// Subgroup is a combination of groups; each part names one group or All.
type Subgroup struct{ Mode, Tree, Taxon string }

// AllFinds is the subgroup of all finds.
var AllFinds = Subgroup{result.All, result.All, result.All}

// Subgroups are the combinations of a survey, in the order of the tables.
type Subgroups struct {
	List []Subgroup
	Of   [][]int // for each group of finds, the subgroups that count it
}

// Subgroups lists every mode with every tree and taxon that was found, and
// each of them pooled. All three modes are there even if one was never called,
// because its zero is an answer.
func (s *Season) Subgroups() Subgroups {
	trees, taxa := map[string]bool{}, map[string]bool{}
	for _, g := range s.Groups {
		trees[g.Tree], taxa[g.Taxon] = true, true
	}
	for _, name := range s.Settings.Taxa.Target {
		taxa[name] = true
	}
	var c Subgroups
	at := map[Subgroup]int{}
	for _, mode := range []string{result.All, survey.Saprotrophic, survey.HostAssociated, survey.Undetermined} {
		for _, tree := range withAll(trees) {
			for _, taxon := range withAll(taxa) {
				key := Subgroup{mode, tree, taxon}
				at[key] = len(c.List)
				c.List = append(c.List, key)
			}
		}
	}
	for _, g := range s.Groups {
		var of []int
		for _, mode := range []string{result.All, g.Mode} {
			for _, tree := range []string{result.All, g.Tree} {
				for _, taxon := range []string{result.All, g.Taxon} {
					of = append(of, at[Subgroup{mode, tree, taxon}])
				}
			}
		}
		c.Of = append(c.Of, of)
	}
	return c
}

// OfAllTaxa are the subgroups that tell no taxa apart.
func (c Subgroups) OfAllTaxa() Subgroups {
	var some Subgroups
	at := make([]int, len(c.List)) // of each subgroup among them; -1 for others
	for i, g := range c.List {
		at[i] = -1
		if g.Taxon == result.All {
			at[i] = len(some.List)
			some.List = append(some.List, g)
		}
	}
	for _, of := range c.Of {
		var list []int
		for _, i := range of {
			if at[i] >= 0 {
				list = append(list, at[i])
			}
		}
		some.Of = append(some.Of, list)
	}
	return some
}

// withAll returns the names in order, All first and Unrecorded last.
func withAll(names map[string]bool) []string {
	list := []string{result.All}
	for _, name := range slices.Sorted(maps.Keys(names)) {
		if name != result.Unrecorded {
			list = append(list, name)
		}
	}
	if names[result.Unrecorded] {
		list = append(list, result.Unrecorded)
	}
	return list
}

// Counts holds, for each subgroup, the unit-seasons of a domain that yielded
// anything of it. Most subgroups are empty in most units.
type Counts [][]Count

// Count is what a unit-season, by its place in a domain, yielded of a subgroup.
type Count struct {
	Unit int
	N    float64
}

// Count returns what the unit-seasons of a domain yielded of each subgroup.
func (c Subgroups) Count(f Domain) Counts {
	counts := make(Counts, len(c.List))
	for i, e := range f.Units {
		for _, g := range e.Counts {
			for _, at := range c.Of[g.Group] {
				list := counts[at]
				if last := len(list) - 1; last >= 0 && list[last].Unit == i {
					list[last].N += float64(g.N)
					continue
				}
				counts[at] = append(list, Count{i, float64(g.N)})
			}
		}
	}
	return counts
}

// Dense writes the counts of one subgroup to dst, a number for each unit-season.
func Dense(dst []float64, yields []Count) []float64 {
	clear(dst)
	for _, y := range yields {
		dst[y.Unit] = y.N
	}
	return dst
}

// Sum adds counts.
func Sum(counts []float64) float64 {
	var sum float64
	for _, n := range counts {
		sum += n
	}
	return sum
}

// Key is the key of a density of the subgroup.
func (c Subgroup) Key(method, stratum, years string) Key {
	return Key{Method: method, Stratum: stratum, Years: years, Mode: c.Mode, Tree: c.Tree, Taxon: c.Taxon}
}

// Indices returns 0 to n-1.
func Indices(n int) []int {
	list := make([]int, n)
	for i := range list {
		list[i] = i
	}
	return list
}

// Pick returns the items of a list at some places.
func Pick[T any](list []T, places []int) []T {
	picked := make([]T, len(places))
	for i, at := range places {
		picked[i] = list[at]
	}
	return picked
}
