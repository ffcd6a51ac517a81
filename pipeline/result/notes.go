package result

import (
	"fmt"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/stats"
)

// Limits of a cell of warnings. A row over strata takes warnings over from each of
// them, and with 280 strata all of them had 131 kB: common readers of CSV take
// 131,072 characters in a cell (Python) or 32,767 (spreadsheets).
const (
	cellBytes = 4096 // the longest cell
	mostNamed = 5    // warnings of one code in a cell that would be longer otherwise
)

// WarningsCell puts warnings into one cell: code and sentence, divided by " | ".
// Where they would be longer than 4,096 bytes, the cell has the first few of each
// code and the number of the others, and [NotesTable] has them all.
func WarningsCell(warnings []stats.Warning) string {
	cell, _ := written(warnings)
	return cell
}

// written returns the cell, and the warnings of the codes of which it leaves some
// out.
func written(warnings []stats.Warning) (cell string, noted []stats.Warning) {
	cell = cellOf(warnings, len(warnings))
	if len(cell) <= cellBytes {
		return cell, nil
	}
	named := mostNamed
	for cell = cellOf(warnings, named); len(cell) > cellBytes && named > 0; cell = cellOf(warnings, named) {
		named--
	}
	of := byCode(warnings)
	for _, w := range warnings {
		if of[w.Code] > named {
			noted = append(noted, w)
		}
	}
	return cell, noted
}

// cellOf names up to so many warnings of one code, and counts the others after them.
func cellOf(warnings []stats.Warning, named int) string {
	var parts []string
	of, seen := byCode(warnings), map[string]int{}
	for _, w := range warnings {
		seen[w.Code]++
		if seen[w.Code] <= named {
			parts = append(parts, w.String())
		}
		if more := of[w.Code] - named; more > 0 && seen[w.Code] == max(named, 1) {
			parts = append(parts, fmt.Sprintf("%s: %d more in results/%s", w.Code, more, NotesTable.Name))
		}
	}
	return strings.Join(parts, " | ")
}

// byCode counts warnings by their codes.
func byCode(warnings []stats.Warning) map[string]int {
	of := map[string]int{}
	for _, w := range warnings {
		of[w.Code]++
	}
	return of
}

// Note is one row of results/warnings: a warning of a row whose cell has no room
// for all that have its code.
type Note struct {
	Table, Row              string
	Code, Stratum, Sentence string
}

// NotesTable declares results/warnings. Its name is set here alone.
var NotesTable = column.Table[Note]{
	Name:  "warnings",
	About: "a warning of a row with too many for one cell: where a cell counts warnings of a code, all of that code are here, one a row",
	Columns: []column.Column[Note]{
		noteText("table", "result table that has the row", func(n *Note) *string { return &n.Table }),
		noteText("row", "the row: its grouping columns and their values, divided by ;", func(n *Note) *string { return &n.Row }),
		noteText("code", "code of the warning", func(n *Note) *string { return &n.Code }),
		noteText("stratum", "stratum that the warning is about; of two collapsed with each other the first by name; empty if it is about the whole row",
			func(n *Note) *string { return &n.Stratum }),
		noteText("warning", "what is limited, and what follows", func(n *Note) *string { return &n.Sentence }),
	},
}

func noteText(name, about string, at func(*Note) *string) column.Column[Note] {
	return Text(name, about, at).list[0]
}

// notesOf lists the warnings of a row that results/warnings is to hold. Key gives
// the names of the row's grouping columns and their values.
func notesOf(table string, key [][2]string, warnings []stats.Warning) []Note {
	_, noted := written(warnings)
	parts := make([]string, len(key))
	for i, k := range key {
		parts[i] = k[0] + "=" + k[1]
	}
	notes := make([]Note, len(noted))
	for i, w := range noted {
		notes[i] = Note{Table: table, Row: strings.Join(parts, "; "), Code: w.Code, Stratum: w.Stratum, Sentence: w.Text}
	}
	return notes
}

// Notes are the warnings that the cells of the table have no room for.
func (t *tableOf[R]) Notes() []Note {
	var notes []Note
	for i := range t.rows {
		values := t.Key(i)
		key := make([][2]string, len(values))
		for k, v := range values {
			key[k] = [2]string{t.columns.Columns[k].Name, v}
		}
		notes = append(notes, notesOf(t.Name(), key, t.Warnings(i))...)
	}
	return notes
}
