package survey

import (
	"slices"
	"testing"
)

// TestGroups finds each table of survey.toml in one group.
func TestGroups(t *testing.T) {
	want := []string{FilesTable, ColumnsTable, SingleUnitStrata, HarvestTable, DatasetTable}
	for _, k := range Keys {
		if !slices.Contains(want, k.Table) {
			want = append(want, k.Table)
		}
	}
	var got []string
	for _, g := range Groups {
		got = append(got, g.Tables...)
	}
	slices.Sort(got)
	slices.Sort(want)
	if !slices.Equal(got, want) {
		t.Errorf("the groups of settings hold the tables %q, want each once of %q", got, want)
	}
}
