package analyze

import (
	"maps"
	"slices"

	"ashtally/pipeline/survey"
)

// crossing is a combination of groups; each part names one group or All.
type crossing struct{ mode, tree, taxon string }

// pooled is the crossing of all finds.
var pooled = crossing{All, All, All}

// crossings are the combinations of a survey, in the order of the tables.
type crossings struct {
	list []crossing
	of   [][]int // for each group of finds, the crossings that count it
}

// crossings lists every mode with every tree and taxon that was found, and
// each of them pooled. All three modes are there even if one was never called,
// because its zero is an answer.
func (s *Season) crossings() crossings {
	trees, taxa := map[string]bool{}, map[string]bool{}
	for _, g := range s.groups {
		trees[g.tree], taxa[g.taxon] = true, true
	}
	for _, name := range s.settings.Taxa.Target {
		taxa[name] = true
	}
	var c crossings
	at := map[crossing]int{}
	for _, mode := range []string{All, survey.Saprotrophic, survey.HostAssociated, survey.Undetermined} {
		for _, tree := range withAll(trees) {
			for _, taxon := range withAll(taxa) {
				key := crossing{mode, tree, taxon}
				at[key] = len(c.list)
				c.list = append(c.list, key)
			}
		}
	}
	for _, g := range s.groups {
		var of []int
		for _, mode := range []string{All, g.mode} {
			for _, tree := range []string{All, g.tree} {
				for _, taxon := range []string{All, g.taxon} {
					of = append(of, at[crossing{mode, tree, taxon}])
				}
			}
		}
		c.of = append(c.of, of)
	}
	return c
}

// withAll returns the names in order, All first and Unrecorded last.
func withAll(names map[string]bool) []string {
	list := []string{All}
	for _, name := range slices.Sorted(maps.Keys(names)) {
		if name != Unrecorded {
			list = append(list, name)
		}
	}
	if names[Unrecorded] {
		list = append(list, Unrecorded)
	}
	return list
}

// sparse holds, for each crossing, the elements of a frame that yielded
// anything of it. Most crossings are empty in most units.
type sparse [][]yield

type yield struct {
	element int
	n       float64
}

func (c crossings) count(f frame) sparse {
	counts := make(sparse, len(c.list))
	for i, e := range f.elements {
		for _, g := range e.counts {
			for _, at := range c.of[g.group] {
				list := counts[at]
				if last := len(list) - 1; last >= 0 && list[last].element == i {
					list[last].n += float64(g.n)
					continue
				}
				counts[at] = append(list, yield{i, float64(g.n)})
			}
		}
	}
	return counts
}

// counter returns what is counted of a crossing in the units of a frame; frames
// are counted when they are first asked for.
func (c crossings) counter(frames []frame) func(frame, crossing int) []float64 {
	counted := make([]sparse, len(frames))
	return func(i, crossing int) []float64 {
		if counted[i] == nil {
			counted[i] = c.count(frames[i])
		}
		return dense(make([]float64, len(frames[i].elements)), counted[i][crossing])
	}
}

// dense writes the counts of one crossing to dst, a number for each element.
func dense(dst []float64, yields []yield) []float64 {
	clear(dst)
	for _, y := range yields {
		dst[y.element] = y.n
	}
	return dst
}

func total(counts []float64) float64 {
	var sum float64
	for _, n := range counts {
		sum += n
	}
	return sum
}
