package survey

import (
	"math"
	"slices"

	"ashtally/pipeline/column"
)

// ReducedFinds declares a table of finds that was reduced: each row stands for all
// finds of a visit that are alike in whatever an estimate tells finds apart by.
// It has the columns of [Finds] and the number of rows that each stands for. The
// count is that of each of them, since a group of three is not three finds of one;
// the mass is that of all.
//
// Finds are alike when they are in unit, date, pass, taxon, count, mode, tree,
// tree_distance_m in whole centimetres, tree_alive, seen_by, hollow and in
// whether they were weighed, and, along a line, in distance_m and
// ground_cover_percent. What else a crew records is left out.
var ReducedFinds = reduced()

// FindsTable declares finds, reduced or not.
func FindsTable(reduced bool) column.Table[Find] {
	if reduced {
		return ReducedFinds
	}
	return Finds
}

// ReducedRows is the column of [ReducedFinds] that [Finds] has not.
const ReducedRows = "rows"

var (
	// alike: no table that fits a disk has more rows.
	alike = column.Bounds{Set: true, Min: 1, Max: 1e12}
	// masses are of all finds of a visit that are alike; of each fruit body in
	// them, [MostMassG] is the most.
	masses = column.Bounds{Set: true, Min: 0.001, Max: 1e9}
)

func reduced() column.Table[Find] {
	t := Finds
	t.About = "finds of one visit that are alike"
	t.Columns = slices.Clone(Finds.Columns)
	for i, c := range t.Columns {
		switch c.Name {
		case "count":
			t.Columns[i].About = "fruit bodies in each of the rows"
		case "mass_g":
			t.Columns[i].Bounds, t.Columns[i].About = masses, "fresh mass of all of the rows"
		}
	}
	t.Columns = append(t.Columns, column.Column[Find]{
		Field: column.Field{Name: ReducedRows, Form: column.Whole, Default: "1", Bounds: alike, About: "finds that the row stands for"},
		At:    func(r *Find) any { return &r.Rows },
	})
	return t
}

// Bodies is the number of fruit bodies in the row: its count, for each of the rows
// that it stands for.
func (f *Find) Bodies() int64 { return f.Count.Or(1) * f.Rows.Or(1) }

// MicrogramsPerGram is the number of micrograms in a gram.
const MicrogramsPerGram = 1e6

// heaviest bounds the mass of a row, so that no sum runs over: no find weighs a thousand tonnes.
const heaviest = 1e9

// Micrograms is a mass in whole micrograms, in which masses are summed so that a sum
// does not depend on the order of the rows; 0 for none.
func Micrograms(mass column.Float) int64 {
	if !mass.Known {
		return 0
	}
	return int64(math.Round(min(mass.Value, heaviest) * MicrogramsPerGram))
}

// CentimetresPerMetre is the number of centimetres in a metre.
const CentimetresPerMetre = 100

// Centimetres is a distance from a tree, in metres, in whole centimetres, by which the
// distances of finds are told apart.
func Centimetres(m float64) int32 {
	return int32(min(math.Round(m*CentimetresPerMetre), math.MaxInt32))
}
