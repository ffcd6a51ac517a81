package coverage

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"

	"ashtally/stats/density"
)

// leastInClass is how many samples of a world a class must have to be told of.
const leastInClass = 500

// Least is, of each class of samples, the world of a figure in which the default
// interval held the truth least often, whatever the sizes of the samples, and how
// often it did in all worlds. Worlds that differ in the number of strata alone are one.
func Least(f Figure, cells []Cell, scores [][]Score) []density.Expectation {
	type place struct {
		density.Likeness
		world string
	}
	counts, all := map[place]ClassCount{}, map[density.Likeness]ClassCount{}
	for i, c := range cells {
		if c.Figure.Name != f.Name {
			continue
		}
		for _, s := range scores[i] {
			for _, n := range s.Classes {
				at := place{n.Likeness, c.World.Ground}
				counts[at] = counts[at].plus(n)
				all[n.Likeness] = all[n.Likeness].plus(n)
			}
		}
	}
	least := map[density.Likeness]density.Expectation{}
	for at, n := range counts {
		e := density.Expectation{Likeness: at.Likeness, World: at.world, Samples: n.Samples, Coverage: n.coverage(), Overall: all[at.Likeness].coverage()}
		old, ok := least[at.Likeness]
		if n.Samples >= leastInClass && (!ok || cmp.Or(cmp.Compare(e.Coverage, old.Coverage), cmp.Compare(e.World, old.World)) < 0) {
			least[at.Likeness] = e
		}
	}
	return slices.SortedFunc(maps.Values(least), func(a, b density.Expectation) int { return a.Compare(b.Likeness) })
}

func (n ClassCount) plus(o ClassCount) ClassCount {
	return ClassCount{o.Likeness, n.Samples + o.Samples, n.Covered + o.Covered}
}

func (n ClassCount) coverage() float64 { return float64(n.Covered) / float64(n.Samples) }

// Tell sets how many samples of the default would be warned of, and how many said to be
// conservative, once the table of classes is in its place. Other methods say nothing of themselves.
func Tell(f Figure, least []density.Expectation, cells []Cell, scores [][]Score) {
	for i, c := range cells {
		for j := range scores[i] {
			s := &scores[i][j]
			if c.Figure.Name != f.Name {
				continue
			}
			s.Warned, s.Wide = 0, 0
			for _, n := range s.Classes {
				at := slices.IndexFunc(least, func(e density.Expectation) bool { return e.Likeness == n.Likeness })
				switch {
				case at < 0:
				case least[at].Told():
					s.Warned += n.Samples
				case least[at].Wide():
					s.Wide += n.Samples
				}
			}
		}
	}
}

// WriteClasses writes the least favourable world of each class as a table.
func WriteClasses(w io.Writer, list []density.Expectation) error {
	_, err := fmt.Fprintln(w, "units_from,k_from,world,samples,coverage,overall")
	for _, e := range list {
		_, more := fmt.Fprintf(w, "%g,%g,%q,%d,%.4g,%.4g\n", e.UnitsFrom, e.KFrom, e.World, e.Samples, e.Coverage, e.Overall)
		err = errors.Join(err, more)
	}
	return err
}

// cellClasses are the classes of the samples of a cell.
type cellClasses struct {
	World   string       `json:"world"`
	Units   int          `json:"units"`
	Classes []ClassCount `json:"classes"`
}

// WriteCounts writes the samples of every class in every cell, so that a later
// calibration can take the cells over.
func WriteCounts(w io.Writer, cells []Cell, scores [][]Score) error {
	var list []cellClasses
	for i, c := range cells {
		for _, s := range scores[i] {
			if s.Classes != nil {
				list = append(list, cellClasses{c.World.Name, c.N, s.Classes})
			}
		}
	}
	return json.NewEncoder(w).Encode(list)
}

// ReadCounts reads what WriteCounts wrote: classes by the world and number of units
// of a cell.
func ReadCounts(r io.Reader) (map[string]map[int][]ClassCount, error) {
	var list []cellClasses
	if err := json.NewDecoder(r).Decode(&list); err != nil {
		return nil, err
	}
	counts := map[string]map[int][]ClassCount{}
	for _, c := range list {
		if counts[c.World] == nil {
			counts[c.World] = map[int][]ClassCount{}
		}
		counts[c.World][c.Units] = c.Classes
	}
	return counts, nil
}
