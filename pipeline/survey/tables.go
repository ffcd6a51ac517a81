package survey

import "ashtally/pipeline/column"

// Description is a table's declaration without the type of its rows.
type Description struct {
	Name   string
	About  string // one sentence: what one row is
	Fields []column.Field
}

// Tables describes the input tables in the order they are read: each refers
// only to those before it.
func Tables() []Description {
	return []Description{
		describe(Strata), describe(Plots), describe(Transects), describe(Visits),
		describe(Finds), describe(Trees), describe(ReferencePoints), describe(Weather),
	}
}

func describe[R any](t column.Table[R]) Description {
	return Description{Name: t.Name, About: t.About, Fields: t.Fields()}
}

// TableNames lists the input tables in the order of [Tables].
func TableNames() []string {
	names := make([]string, 0, 8)
	for _, t := range Tables() {
		names = append(names, t.Name)
	}
	return names
}
