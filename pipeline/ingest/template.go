package ingest

import (
	"fmt"
	"strconv"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

// TemplateFile is a file of an empty survey folder.
type TemplateFile struct {
	Name string
	Data []byte
}

// Template returns the files of an empty survey: the settings, each sheet with its
// header, a page that says what the columns hold, and for each sheet a file of
// example rows. The short form has what a first survey of plots needs, the full one
// every sheet, column and setting. All of it but the example rows comes from the
// declarations that reading works from.
func Template(title string, full bool) []TemplateFile {
	tables, settings := survey.ShortTables(), shortSettingsTemplate(title)
	if full {
		tables, settings = survey.Tables(), settingsTemplate(title)
	}
	files := []TemplateFile{{settingsName, []byte(settings)}}
	for _, t := range tables {
		var names []string
		for _, f := range t.Fields {
			names = append(names, f.Name)
		}
		files = append(files, TemplateFile{t.Name + ".csv", []byte(strings.Join(names, ",") + "\n")})
	}
	files = append(files, TemplateFile{"columns.md", []byte(columnsPage(tables, full))})
	return append(files, exampleRows(tables)...)
}

// shortSettingsTemplate is a survey.toml with what a first survey thinks of.
func shortSettingsTemplate(title string) string {
	defaults := survey.Defaults()
	defaults.Title = title
	var b strings.Builder
	b.WriteString(comment("The settings of this survey. A line that begins with # is a comment; where a key is one, its value is the default " +
		"or, for dates, an example. ashtally new --full shows every setting."))
	table := ""
	for _, k := range survey.ShortKeys() {
		b.WriteByte('\n')
		if k.Table != table {
			table = k.Table
			fmt.Fprintf(&b, "[%s]\n", table)
		}
		b.WriteString(keyTemplate(k, &defaults))
	}
	return b.String() + "\n" + columnsTemplate()
}

func settingsTemplate(title string) string {
	defaults := survey.Defaults()
	defaults.Title = title
	var b strings.Builder
	b.WriteString(comment("The settings of this survey. A line that begins with # is a comment; where a key is one, its value is the default " +
		"or, for dates, an example."))
	for _, g := range survey.Groups {
		b.WriteString("\n" + groupHeading(g))
		for _, table := range g.Tables {
			b.WriteString("\n" + tableTemplate(table, &defaults))
		}
	}
	return b.String()
}

// groupHeading says what the next tables are for.
func groupHeading(g survey.Group) string {
	return "# " + strings.Repeat("-", 58) + "\n" + comment(g.Title+": "+g.About)
}

// What [files] and [columns] hold.
const (
	aboutFiles   = `The file of each table: a name, a pattern such as "finds-*.csv", or a list of them`
	aboutColumns = "your own headers on the left, ours on the right, a table for each file"
)

// tableTemplate is one table of an empty survey.toml.
func tableTemplate(table string, defaults *survey.Settings) string {
	switch table {
	case survey.FilesTable:
		return filesTemplate(defaults)
	case survey.ColumnsTable:
		return columnsTemplate()
	case survey.SingleUnitStrata:
		return strataTemplate()
	case survey.HarvestTable:
		return harvestTemplate()
	case survey.DatasetTable:
		return datasetTemplate()
	}
	var b strings.Builder
	if table != "" {
		fmt.Fprintf(&b, "[%s]\n", table)
	}
	for i, k := range keysOf(table) {
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(keyTemplate(k, defaults))
	}
	return b.String()
}

// keyTemplate is one setting: what it means, what it allows, and its default.
func keyTemplate(k survey.Key, defaults *survey.Settings) string {
	text := comment(k.About)
	if k.Words != nil {
		text += comment("one of " + phrase.Either(k.Words))
	}
	if k.Name != "title" {
		text += "# "
	}
	return text + fmt.Sprintf("%s = %s\n", k.Name, tomlValue(k.At(defaults)))
}

func columnsTemplate() string {
	return comment(aboutColumns) + "# [columns.plots]\n# \"Plot No.\" = \"plot\"\n"
}

func filesTemplate(defaults *survey.Settings) string {
	var b strings.Builder
	fmt.Fprintf(&b, "[%s]\n%s", survey.FilesTable, comment(aboutFiles))
	for _, name := range survey.TableNames() {
		fmt.Fprintf(&b, "# %s = %s\n", name, tomlValue(&defaults.Files[name][0]))
	}
	return b.String()
}

// comment wraps a sentence to lines that begin with #.
func comment(text string) string {
	const width = 88
	var b strings.Builder
	line := "#"
	for word := range strings.FieldsSeq(text) {
		if len(line)+1+len(word) > width {
			b.WriteString(line + "\n")
			line = "#"
		}
		line += " " + word
	}
	return b.String() + line + "\n"
}

// tomlValue writes a setting as TOML.
func tomlValue(at any) string {
	switch v := at.(type) {
	case *string:
		return tomlText(*v)
	case *float64:
		return phrase.Decimal(*v)
	case *survey.Range:
		return v.TOML()
	case *uint64:
		return strconv.FormatUint(*v, 10)
	case *int:
		return strconv.Itoa(*v)
	case *column.Date:
		if v.Known() {
			return v.String()
		}
		return "2031-04-15"
	case *[]float64:
		texts := make([]string, len(*v))
		for i, n := range *v {
			texts[i] = phrase.Decimal(n)
		}
		return "[" + strings.Join(texts, ", ") + "]"
	case *[]string:
		texts := make([]string, len(*v))
		for i, text := range *v {
			texts[i] = tomlText(text)
		}
		return "[" + strings.Join(texts, ", ") + "]"
	}
	panic(fmt.Sprintf("ingest: a setting has a type that cannot be written, %T", at))
}

// tomlText writes a text as a basic string of TOML.
func tomlText(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range strings.ToValidUTF8(s, "") {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r < 0x20 || r == 0x7f:
			fmt.Fprintf(&b, "\\u%04X", r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// columnsPage says what each column of the sheets holds.
func columnsPage(tables []survey.Description, full bool) string {
	var b strings.Builder
	b.WriteString("# What to write in each column\n\nThe folder examples/ has rows to go by, a file for each sheet.\n\n" +
		"- A search that found nothing still has its row in visits.csv: that is how a zero is recorded.\n" +
		"- An empty cell means that something was not recorded. Dates are written as 2031-05-17.\n" +
		"- A column that ends in a unit may end in another of its kind: `_m _cm _ft _in`,\n  `_m2 _ft2 _ha _acre`, `_g _kg _oz _lb`, `_c _f`.\n" +
		"- Columns that you do not need can be removed.\n")
	if !full {
		b.WriteString("- There is more, for transects, adaptive plots, second observers, trees and weather:\n  `ashtally new --full DIR` writes " +
			"every sheet and column.\n")
	}
	for _, t := range tables {
		fmt.Fprintf(&b, "\n## %s.csv\n\nOne row is %s.\n\n| column | needed | what it holds |\n|---|---|---|\n", t.Name, t.About)
		for _, f := range t.Fields {
			needed := ""
			if f.Required {
				needed = "yes"
			}
			fmt.Fprintf(&b, "| %s | %s | %s |\n", f.Name, needed, fieldText(f))
		}
	}
	return b.String()
}

func fieldText(f column.Field) string {
	text := f.About
	switch f.Form {
	case column.Choice:
		var words []string
		for _, w := range f.Words {
			words = append(words, w.Text)
		}
		text += " (" + phrase.Either(words) + ")"
	case column.Truth:
		text += " (yes or no)"
	case column.Day:
		text += " (YYYY-MM-DD)"
	}
	if f.Default != "" {
		text += "; empty = " + f.Default
	}
	return text
}
