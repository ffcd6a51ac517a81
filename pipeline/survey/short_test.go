package survey

import (
	"slices"
	"testing"
)

// TestShortForm finds each sheet, column and setting of the short form among those
// declared, and each required column in it.
func TestShortForm(t *testing.T) {
	tables := ShortTables()
	if len(tables) != len(ShortForm) {
		t.Errorf("%d of %d sheets are declared", len(tables), len(ShortForm))
	}
	for i, table := range tables {
		if got, want := len(table.Fields), len(ShortForm[i].Columns); got != want {
			t.Errorf("%s: %d of %d columns are declared", table.Name, got, want)
		}
	}
	for _, table := range Tables() {
		i := slices.IndexFunc(tables, func(short Description) bool { return short.Name == table.Name })
		for _, f := range table.Fields {
			if i >= 0 && f.Required && !slices.Contains(ShortForm[i].Columns, f.Name) {
				t.Errorf("%s: %s is required, and not in the short form", table.Name, f.Name)
			}
		}
	}
	if got, want := len(ShortKeys()), len(shortSettings); got != want {
		t.Errorf("%d of %d settings are declared", got, want)
	}
}
