package pipeline

import (
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"

	"ashtally/pipeline/archive"
	"ashtally/pipeline/table"
)

// tableMoved says how a result table differs from the one made again, as a
// whole and column by column.
func tableMoved(out, again, name string) (what string, columns []string, err error) {
	before, err := readTable(filepath.Join(out, filepath.FromSlash(name)))
	if err != nil {
		return "", nil, err
	}
	after, err := readTable(filepath.Join(again, filepath.FromSlash(name)))
	if err != nil {
		return "", nil, err
	}
	d := table.Differ(before, after)
	for _, c := range d.Columns {
		columns = append(columns, sayColumn(c))
	}
	return sayRows(d), columns, nil
}

// readTable reads a whole result table; those are small.
func readTable(path string) ([]table.Batch, error) {
	file, err := archive.OpenAny(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	var list []table.Batch
	for {
		b, err := file.Next()
		if errors.Is(err, io.EOF) {
			return list, nil
		}
		if err != nil {
			return nil, err
		}
		list = append(list, b)
	}
}

// sayRows puts a difference into words but for the columns that both have.
func sayRows(d table.Difference) string {
	if d.None() {
		return "the same rows, written in another way"
	}
	var parts []string
	add := func(format string, values ...any) { parts = append(parts, fmt.Sprintf(format, values...)) }
	if d.Changed > 0 {
		add("%d of %d rows differ", d.Changed, d.Rows)
	}
	if d.Gone > 0 {
		add("%d of %d rows are gone", d.Gone, d.Rows)
	}
	if d.New > 0 {
		add("%d rows are new", d.New)
	}
	if len(d.Lost) > 0 {
		add("columns gone: %s", strings.Join(d.Lost, ", "))
	}
	if len(d.Added) > 0 {
		add("new columns: %s", strings.Join(d.Added, ", "))
	}
	return strings.Join(parts, "; ")
}

func sayColumn(c table.ColumnDifference) string {
	by := ""
	switch {
	case math.IsInf(c.Largest, 1):
		by = ", from 0"
	case c.Largest > 0:
		by = fmt.Sprintf(", by up to %.2g %%", 100*c.Largest)
	}
	rows := "1 row"
	if c.Rows != 1 {
		rows = fmt.Sprintf("%d rows", c.Rows)
	}
	return fmt.Sprintf("%s: in %s%s; %s: %s, now %s", c.Name, rows, by, c.Key, shownCell(c.Old), shownCell(c.New))
}

// shownCell shortens a cell for a message.
func shownCell(text string) string {
	const most = 60
	if text == "" {
		return "empty"
	}
	if runes := []rune(text); len(runes) > most {
		return string(runes[:most]) + "…"
	}
	return text
}
