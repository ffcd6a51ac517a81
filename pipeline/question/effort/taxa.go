package effort

import (
	"maps"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/stats"
)

// Warnings are the types that arise here.
var Warnings stats.WarningTypes

var (
	targetNotHollow = Warnings.New("target-not-hollow", stats.Scope, "Finds of target taxa that were not hollow")
	targetNotFound  = Warnings.New("target-not-found", stats.Note, "Target taxa without a find")
)

// taxonRows lists what was found, targets first, and names the targets that
// were never found: a taxon spelt otherwise in survey.toml would look like it.
func taxonRows(s *fieldwork.Season) []TaxonRow {
	names := slices.Sorted(maps.Keys(s.Taxa))
	for _, name := range s.Settings.Taxa.Target {
		if s.Taxa[name] == nil && !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	var targets, others []TaxonRow
	for _, name := range names {
		row := taxonRow(s, name)
		if row.Target.Value {
			targets = append(targets, row)
		} else {
			others = append(others, row)
		}
	}
	return append(targets, others...)
}

func taxonRow(s *fieldwork.Season, name string) TaxonRow {
	t := s.Taxa[name]
	if t == nil {
		t = &fieldwork.Taxon{}
	}
	row := TaxonRow{
		Taxon: name, Target: column.Bool{Value: s.Target == nil || s.Target[name], Known: true},
		Rows: column.Count(int(t.Rows)), Finds: column.Count(int(t.Finds)), Units: column.Count(t.Units()),
		Hollow: column.Count(int(t.Hollow)), NotHollow: column.Count(int(t.NotHollow)), Unchecked: column.Count(int(t.Unchecked)),
		MassG: column.Float{Value: t.MassG(), Known: t.Weighed},
	}
	if !row.Target.Value {
		return row
	}
	if t.Rows == 0 {
		row.Warnings = append(row.Warnings, targetNotFound.With("no find carries this name; if it was found, survey.toml and finds spell it differently"))
	}
	if t.NotHollow > 0 {
		row.Warnings = append(row.Warnings, targetNotHollow.With("%d fruit bodies counted under this name were not hollow when cut lengthwise; a "+
			"true morel is hollow from tip to base", t.NotHollow))
	}
	return row
}
