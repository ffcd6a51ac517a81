package analyze

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/stats"
)

// taxon is what was recorded of one taxon, estimated or not.
type taxon struct {
	rows, finds                  int64
	hollow, notHollow, unchecked int64
	massG                        float64
	weighed                      bool
	units                        map[int]bool
}

func (s *Season) addTaxon(name string, n int64, unit int, hollow string, mass column.Float) {
	t := s.taxa[name]
	if t == nil {
		t = &taxon{units: map[int]bool{}}
		s.taxa[strings.Clone(name)] = t
	}
	t.rows++
	t.finds += n
	t.units[unit] = true
	switch hollow {
	case "yes":
		t.hollow += n
	case "no":
		t.notHollow += n
	default:
		t.unchecked += n
	}
	if mass.Known {
		t.massG += mass.Value
		t.weighed = true
	}
}

// taxonRows lists what was found, targets first, and names the targets that
// were never found: a taxon spelt otherwise in survey.toml would look like it.
func (s *Season) taxonRows() []TaxonRow {
	names := slices.Sorted(maps.Keys(s.taxa))
	for _, name := range s.settings.Taxa.Target {
		if s.taxa[name] == nil && !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	var targets, others []TaxonRow
	for _, name := range names {
		row := s.taxonRow(name)
		if row.Target.Value {
			targets = append(targets, row)
		} else {
			others = append(others, row)
		}
	}
	return append(targets, others...)
}

func (s *Season) taxonRow(name string) TaxonRow {
	t := s.taxa[name]
	if t == nil {
		t = &taxon{}
	}
	row := TaxonRow{
		Taxon: name, Target: column.Bool{Value: s.target == nil || s.target[name], Known: true},
		Rows: known(t.rows), Finds: known(t.finds), Units: column.Count(len(t.units)),
		Hollow: known(t.hollow), NotHollow: known(t.notHollow), Unchecked: known(t.unchecked),
		MassG: column.Float{Value: t.massG, Known: t.weighed},
	}
	if !row.Target.Value {
		return row
	}
	if t.rows == 0 {
		row.Warnings = append(row.Warnings, stats.Warning{Code: "target-not-found",
			Text: "no find carries this name; if it was found, survey.toml and finds spell it differently"})
	}
	if t.notHollow > 0 {
		row.Warnings = append(row.Warnings, stats.Warning{Code: "target-not-hollow",
			Text: fmt.Sprintf("%d fruit bodies counted under this name were not hollow when cut lengthwise; a true morel is hollow from tip to base", t.notHollow)})
	}
	return row
}

func known(n int64) column.Int { return column.Int{Value: n, Known: true} }
