package ingest

import (
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
// sheets have. Rows of units that no sheet holds are left out.
func exampleRows(tables []survey.Description) []TemplateFile {
	var files []TemplateFile
	units := map[string]bool{}
	for _, t := range tables {
		rows := readExample(t.Name)
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
		files = append(files, TemplateFile{"examples/" + t.Name + ".csv", []byte(joined(out))})
	}
	return files
}

func readExample(table string) [][]string {
	data, err := examples.ReadFile("examples/" + table + ".csv")
	if err != nil {
		panic(fmt.Sprintf("ingest: there are no example rows of %s", table))
	}
	rows, err := csv.NewReader(strings.NewReader(string(data))).ReadAll()
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
