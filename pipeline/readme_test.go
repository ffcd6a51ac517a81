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
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
)

var update = flag.Bool("update", false, "write the golden files and the README's column tables anew")

// TestREADMEColumns holds the README's tables of columns to the declarations.
func TestREADMEColumns(t *testing.T) {
	const path = "../README.md"
	old, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	inputs := columnTable(survey.Strata, "strata.csv") + columnTable(survey.Plots, "plots.csv") +
		columnTable(survey.Transects, "transects.csv") + columnTable(survey.Visits, "visits.csv") +
		columnTable(survey.Finds, "finds.csv") + columnTable(survey.Trees, "trees.csv") +
		columnTable(survey.ReferencePoints, "reference_points.csv") + columnTable(survey.Weather, "weather.csv")
	var results string
	for _, q := range questions {
		for _, r := range q.None.Tables() {
			results += columnsPage("results/"+r.Name(), r.About(), r.Fields())
		}
	}
	results += columnTable(result.NotesTable, "results/"+result.NotesTable.Name)
	want := between(t, between(t, string(old), "inputs", inputs), "results", results)
	if string(old) == want {
		return
	}
	if !*update {
		t.Fatal("README.md does not show the columns as they are declared; go test ./pipeline -run README -update mends it")
	}
	if err := os.WriteFile(path, []byte(want), 0o644); err != nil {
		t.Fatal(err)
	}
}

// between returns text with what stands between the marks of a name replaced.
func between(t *testing.T, text, name, replacement string) string {
	t.Helper()
	begin, end := "<!-- columns of the "+name+" -->\n", "<!-- end of the "+name+" -->"
	head, rest, ok := strings.Cut(text, begin)
	_, tail, ok2 := strings.Cut(rest, end)
	if !ok || !ok2 {
		t.Fatalf("README.md has no marks for the columns of the %s", name)
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

func columnTable[R any](table column.Table[R], title string) string {
	return columnsPage(title, table.About, table.Fields())
}

// columnsPage describes the columns of a table.
func columnsPage(title, about string, fields []column.Field) string {
	var b strings.Builder
	fmt.Fprintf(&b, "\n**`%s`**: one row is %s.\n\n| column | unit | what it holds |\n|---|---|---|\n", title, about)
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
