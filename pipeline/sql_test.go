package pipeline

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
)

// TestReadmeSQL holds the SQL of notebooks/past-one-machine that follows from the
// declarations of the columns to them: the empty tables, and the checks of single
// cells.
func TestReadmeSQL(t *testing.T) {
	for name, want := range map[string]string{"tables.sql": sqlTables(), "cells.sql": sqlCells()} {
		path := filepath.Join("..", "notebooks", "past-one-machine", name)
		if *update {
			if err := os.WriteFile(path, []byte(want), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		got, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, []byte(want)) {
			t.Errorf("%s is not what the columns say: go test ./pipeline -run ReadmeSQL -update", path)
		}
	}
}

// sqlOf are the tables as SQL has them: finds may have been reduced.
func sqlOf() []survey.Description {
	list := survey.Tables()
	for i, d := range list {
		if d.Name == survey.Finds.Name {
			list[i].Fields = survey.ReducedFinds.Fields()
		}
	}
	return list
}

func sqlType(f column.Field) string {
	switch f.Form {
	case column.Number:
		return "DOUBLE PRECISION"
	case column.Whole:
		return "BIGINT"
	case column.Day:
		return "DATE"
	case column.Truth:
		return "BOOLEAN"
	}
	return "VARCHAR"
}

func sqlTables() string {
	var b strings.Builder
	b.WriteString("-- The tables of a survey, empty, with where each row was read. Written by go test ./pipeline -run ReadmeSQL -update.\n")
	for _, d := range sqlOf() {
		fmt.Fprintf(&b, "\nCREATE TABLE %s (\n    source_file VARCHAR,\n    source_line BIGINT", d.Name)
		for _, f := range d.Fields {
			fmt.Fprintf(&b, ",\n    %s %s", f.Name, sqlType(f))
		}
		b.WriteString("\n);\n")
	}
	return b.String()
}

// sqlCells looks at each cell alone: is it there where it must be, within the bounds of
// its column, and one of its words.
func sqlCells() string {
	var checks []string
	add := func(table, name, problem, where string) {
		checks = append(checks, fmt.Sprintf("SELECT source_file, source_line, '%s' AS column_name, '%s' AS problem FROM %s WHERE %s",
			name, strings.ReplaceAll(problem, "'", "''"), table, where))
	}
	for _, d := range sqlOf() {
		for _, f := range d.Fields {
			if f.Required {
				empty := f.Name + " IS NULL"
				if sqlType(f) == "VARCHAR" {
					empty += " OR " + f.Name + " = ''"
				}
				add(d.Name, f.Name, "is empty, and it is needed", empty)
			}
			if f.Bounds.Set {
				value := f.Name
				switch f.Form {
				case column.Day:
					value = "EXTRACT(YEAR FROM " + f.Name + ")"
				case column.Fire:
					value = "CAST(SUBSTRING(" + f.Name + " FROM 1 FOR 4) AS BIGINT)"
				}
				holds := value + " >= " + sqlNumber(f.Bounds.Min) + " AND " + value + " <= " + sqlNumber(f.Bounds.Max)
				if f.Bounds.Least > 0 {
					holds += " AND (" + value + " = 0 OR ABS(" + value + ") >= " + sqlNumber(f.Bounds.Least) + ")"
				}
				add(d.Name, f.Name, "is not between "+sqlNumber(f.Bounds.Min)+" and "+sqlNumber(f.Bounds.Max), "NOT ("+holds+")")
			}
			if len(f.Words) > 0 {
				var words []string
				for _, w := range f.Words {
					words = append(words, sqlText(w.Text))
					for _, spelt := range w.Spelt {
						if spelt != w.Text {
							words = append(words, sqlText(spelt))
						}
					}
				}
				add(d.Name, f.Name, "is not one of its words", "LOWER("+f.Name+") NOT IN ("+strings.Join(words, ", ")+")")
			}
		}
	}
	return "-- Faults of single cells. Written by go test ./pipeline -run ReadmeSQL -update from what the columns allow.\n" +
		strings.Join(checks, "\nUNION ALL\n") + "\n"
}

func sqlNumber(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

func sqlText(s string) string { return "'" + strings.ReplaceAll(s, "'", "''") + "'" }
