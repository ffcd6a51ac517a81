package report

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
)

// setting is one line of survey.toml, as it was used.
type setting struct{ Key, Value, Means string }

// settings lists every setting of a run, also those that nobody set.
func (w writer) settings() []setting {
	s := w.page.Settings
	var list []setting
	for _, k := range survey.Keys {
		list = append(list, setting{k.Path(), valueOf(k.At(&s)), sentence(k.About)})
	}
	for _, stratum := range slices.Sorted(maps.Keys(s.SingleUnitStrata)) {
		list = append(list, setting{survey.SingleUnitStrata + "." + name(stratum), name(s.SingleUnitStrata[stratum]), sentence(survey.AboutSingleUnitStrata)})
	}
	for _, table := range survey.TableNames() {
		if files := s.Files[table]; !slices.Equal(files, []string{table + ".csv"}) && len(files) > 0 {
			list = append(list, setting{"files." + table, listed(files), "Files of the table."})
		}
	}
	for _, table := range survey.TableNames() {
		if columns := s.Columns[table]; len(columns) > 0 {
			list = append(list, setting{"columns." + table, renamed(columns), "Headers of the crew’s own, and what they are read as."})
		}
	}
	return list
}

// renamed lists the crew's own headers of a table, by name.
func renamed(columns map[string]string) string {
	var parts []string
	for _, header := range slices.Sorted(maps.Keys(columns)) {
		parts = append(parts, "“"+name(header)+"” is "+name(columns[header]))
	}
	return strings.Join(parts, ", ")
}

// valueOf writes what a setting's place holds; an empty list or date as "–".
func valueOf(at any) string {
	switch v := at.(type) {
	case *string:
		return words(*v)
	case *float64:
		return strconv.FormatFloat(*v, 'g', -1, 64)
	case *survey.Range:
		return v.String()
	case *uint64:
		return strconv.FormatUint(*v, 10)
	case *int:
		return strconv.Itoa(*v)
	case *[]string:
		return listed(*v)
	case *[]float64:
		texts := make([]string, len(*v))
		for i, n := range *v {
			texts[i] = strconv.FormatFloat(n, 'g', -1, 64)
		}
		return cmp.Or(strings.Join(texts, ", "), none)
	case *column.Date:
		return cmp.Or(v.String(), none)
	}
	panic(fmt.Sprintf("report: no way to write a setting of type %T", at))
}

func listed(list []string) string {
	return cmp.Or(strings.Join(names(list), ", "), none)
}

func (w writer) inputsGrid() (grid, bool) {
	g := grid{ID: "inputs", Caption: "Files that were read", Heads: [][]head{{textual("File"), textual("Table"), numeric("Bytes"), textual("SHA-256")}}}
	at := g.group("")
	for _, in := range w.page.Provenance.Inputs {
		at.Rows = append(at.Rows, row{Label: label{Text: name(in.Name)}, Cells: []cell{{Text: words(in.Table)}, figure(count(in.Bytes)), {Text: words(in.SHA256), Code: true}}})
	}
	return g, len(at.Rows) > 0
}

func (w writer) rowsGrid() (grid, bool) {
	g := grid{ID: "rows", Caption: "Rows of the input tables", Heads: [][]head{{textual("Table"), numeric("Read"), numeric("Kept"), numeric("Set aside")}}}
	at := g.group("")
	for _, t := range w.page.Provenance.Tables {
		at.Rows = append(at.Rows, row{Label: label{Text: words(t.Name)}, Cells: []cell{figure(count(t.Read)), figure(count(t.Kept)), figure(count(t.SetAside))}})
	}
	return g, len(at.Rows) > 0
}

// program names what made the page.
func (w writer) program() string {
	p := w.page.Provenance
	text := words(strings.TrimSpace(p.Program + " " + p.Version))
	var built []string
	for _, part := range []string{p.Go, p.Platform} {
		if part != "" {
			built = append(built, words(part))
		}
	}
	if len(built) > 0 {
		text += " (" + strings.Join(built, ", ") + ")"
	}
	return text
}
