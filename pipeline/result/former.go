package result

import (
	"ashtally/pipeline/column"
	"ashtally/stats"
)

// Former returns the table of rows that are declared by columns alone, the last of
// which holds their warnings. It tells no key, no limits and no warnings of a row.
// It stands in until the last table has a [Declaration].
func Former[R any](t column.Table[R], rows []R) Table {
	none := func(*R) []stats.Warning { return nil }
	return &tableOf[R]{declared: &Declaration[R]{Name: t.Name, About: t.About, Warnings: none}, columns: t, rows: rows}
}
