package ingest

import (
	"bytes"
	"embed"
	"encoding/csv"
	"fmt"
	"slices"
	"strings"

	"ashtally/pipeline/survey"
)

// examples are rows to go by, invented, of every sheet. They name the columns that
// they fill; their coordinates lie in the open ocean.
//
//go:embed examples
var examples embed.FS

// exampleRows are the files of example rows of the sheets, with the columns that the
// sheets have, and settings that go with them. Rows of units that no sheet holds are
// left out.
func exampleRows(tables []survey.Description) []TemplateFile {
	files := []TemplateFile{{examplesFolder + settingsName, readExample(settingsName)}}
	units := map[string]bool{}
	for _, t := range tables {
		rows := exampleTable(t.Name)
		out := [][]string{make([]string, len(t.Fields))}
		for i, f := range t.Fields {
			out[0][i] = f.Name
		}
		for _, row := range rows[1:] {
			if t.Name == survey.Plots.Name || t.Name == survey.Transects.Name {
				units[row[0]] = true
			}
			if rows[0][0] == "unit" && !units[row[0]] {
				continue
			}
			cells := make([]string, len(t.Fields))
			for i, f := range t.Fields {
				if at := slices.Index(rows[0], f.Name); at >= 0 {
					cells[i] = row[at]
				}
			}
			out = append(out, cells)
		}
		files = append(files, TemplateFile{examplesFolder + t.Name + ".csv", []byte(joined(out))})
	}
	return files
}

// examplesFolder is where they lie, here and in a survey folder.
const examplesFolder = "examples/"

func readExample(name string) []byte {
	data, err := examples.ReadFile(examplesFolder + name)
	if err != nil {
		panic("ingest: there is no example of " + name)
	}
	return data
}

func exampleTable(table string) [][]string {
	rows, err := csv.NewReader(bytes.NewReader(readExample(table + ".csv"))).ReadAll()
	if err != nil {
		panic(fmt.Sprintf("ingest: example rows of %s: %v", table, err))
	}
	return rows
}

// joined writes rows without a cell that needs quotes.
func joined(rows [][]string) string {
	var b strings.Builder
	for _, row := range rows {
		b.WriteString(strings.Join(row, ",") + "\n")
	}
	return b.String()
}
