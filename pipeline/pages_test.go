package pipeline

import (
	"flag"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/ingest"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
)

var update = flag.Bool("update", false, "write the golden files and the pages of columns and settings anew")

// TestREADMEPages holds the pages that the README links to, of sheets, settings and
// result tables, to the declarations.
func TestREADMEPages(t *testing.T) {
	var inputs, results strings.Builder
	for _, d := range survey.Tables() {
		inputs.WriteString(columnsPage(d.Name+".csv", d.About, d.Fields))
	}
	for _, q := range questions {
		for _, r := range q.None.Tables() {
			results.WriteString(columnsPage("results/"+r.Name(), r.About(), r.Fields()))
		}
	}
	notes := result.NotesTable
	results.WriteString(columnsPage("results/"+notes.Name, notes.About, notes.Fields()))
	for _, page := range []struct{ path, begin, end, text string }{
		{"survey/COLUMNS.md", "columns of the inputs", "end of the inputs", inputs.String()},
		{"survey/SETTINGS.md", "settings", "end of the settings", ingest.SettingsPage()},
		{"RESULTS.md", "columns of the results", "end of the results", results.String()},
	} {
		old, err := os.ReadFile(page.path)
		if err != nil {
			t.Fatal(err)
		}
		want := between(t, string(old), page.begin, page.end, page.text)
		if string(old) == want {
			continue
		}
		if !*update {
			t.Errorf("%s does not show what is declared; go test ./pipeline -run README -update corrects it", page.path)
			continue
		}
		if err := os.WriteFile(page.path, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// between returns text with what stands between two marks replaced.
func between(t *testing.T, text, begin, end, replacement string) string {
	t.Helper()
	begin, end = "<!-- "+begin+" -->\n", "<!-- "+end+" -->"
	head, rest, ok := strings.Cut(text, begin)
	_, tail, ok2 := strings.Cut(rest, end)
	if !ok || !ok2 {
		t.Fatalf("the page has no marks %q and %q", begin, end)
	}
	return head + begin + replacement + end + tail
}

// ends writes the range of a column: "0.05 to 1,000", "years 1800 to 2200".
func ends(f column.Field) string {
	if f.Form == column.Day || f.Form == column.Fire {
		return fmt.Sprintf("years %.0f to %.0f", f.Bounds.Min, f.Bounds.Max)
	}
	return thousands(f.Bounds.Min) + " to " + thousands(f.Bounds.Max)
}

// thousands writes a number with a comma between thousands.
func thousands(v float64) string {
	whole, decimals, _ := strings.Cut(strconv.FormatFloat(math.Abs(v), 'f', -1, 64), ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	if decimals != "" {
		whole += "." + decimals
	}
	if v < 0 {
		return "-" + whole
	}
	return whole
}

// columnsPage describes the columns of a table.
func columnsPage(title, about string, fields []column.Field) string {
	var b strings.Builder
	fmt.Fprintf(&b, "\n## `%s`\n\nOne row is %s.\n\n| column | unit | what it holds |\n|---|---|---|\n", title, about)
	for _, f := range fields {
		name := "`" + f.Name + "`"
		if f.Required {
			name = "**" + name + "**"
		}
		about := f.About
		if f.Default != "" {
			about += " (default " + f.Default + ")"
		}
		if f.Bounds.Set {
			about += "; " + ends(f)
		}
		fmt.Fprintf(&b, "| %s | %s | %s |\n", name, f.Unit, strings.ReplaceAll(about, "|", "\\|"))
	}
	return b.String() + "\n"
}
