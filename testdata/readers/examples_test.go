package readers

import (
	"bytes"
	"database/sql"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"text/tabwriter"
)

var update = flag.Bool("update", false, "write what the examples print into their page")

// block is an example with what it prints, which an example newly written lacks.
var block = regexp.MustCompile("(?s)```(sql|python|r)\n(.*?)```\n(?:\n```text\n(.*?)```\n)?")

// TestExamples runs the examples of notebooks/archive.md on the results folder, SQL by DuckDB,
// the others by python3 and Rscript, and compares what they print. The command
// has to be on the PATH.
func TestExamples(t *testing.T) {
	out, err := filepath.Abs(folder(t, ""))
	if err != nil {
		t.Fatal(err)
	}
	path, err := filepath.Abs(filepath.Join("..", "..", "notebooks", "archive.md"))
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	if err := os.Symlink(out, "out"); err != nil {
		t.Fatal(err)
	}
	db := duckDB(t)
	count := 0
	page := block.ReplaceAllStringFunc(string(text), func(found string) string {
		count++
		part := block.FindStringSubmatch(found)
		language, source, stored := part[1], part[2], part[3]
		t.Run(fmt.Sprintf("%s %d", language, count), func(t *testing.T) {
			made := printed(t, db, language, source)
			if !*update && made != stored {
				t.Errorf("%s\nprints\n%s\nand not\n%s", source, made, stored)
			}
			found = "```" + language + "\n" + source + "```\n\n```text\n" + made + "```\n"
		})
		return found
	})
	if count < 8 {
		t.Errorf("only %d examples", count)
	}
	if *update && !t.Failed() {
		if err := os.WriteFile(path, []byte(page), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// printed is what an example prints. A language that is not installed is skipped.
func printed(t *testing.T, db *sql.DB, language, source string) string {
	t.Helper()
	switch language {
	case "sql":
		return asTable(t, db, source)
	case "python":
		// The system's own: python3 on the PATH may be another, without pandas.
		return byProgram(t, "/usr/bin/python3", "-c", source)
	default:
		return byProgram(t, "Rscript", "-e", source)
	}
}

func byProgram(t *testing.T, name string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath(name); err != nil {
		t.Skip(err)
	}
	c := exec.Command(name, args...)
	var errors bytes.Buffer
	c.Stderr = &errors
	text, err := c.Output()
	if err != nil {
		t.Fatalf("%v\n%s", err, errors.String())
	}
	return trimmed(string(text))
}

// asTable prints the rows of a query in columns.
func asTable(t *testing.T, db *sql.DB, query string) string {
	t.Helper()
	rows, err := db.QueryContext(t.Context(), query)
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	names, err := rows.Columns()
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, strings.Join(names, "\t"))
	for rows.Next() {
		values, into := make([]any, len(names)), make([]any, len(names))
		for i := range values {
			into[i] = &values[i]
		}
		if err := rows.Scan(into...); err != nil {
			t.Fatal(err)
		}
		cells := make([]string, len(names))
		for i, v := range values {
			cells[i] = strings.TrimSuffix(fmt.Sprint(v), " 00:00:00 +0000 UTC")
		}
		fmt.Fprintln(w, strings.Join(cells, "\t"))
	}
	if err := rows.Err(); err != nil {
		t.Fatal(err)
	}
	w.Flush()
	return trimmed(b.String())
}

// trimmed has no blanks at the ends of lines.
func trimmed(text string) string {
	lines := strings.Split(text, "\n")
	for i, l := range lines {
		lines[i] = strings.TrimRight(l, " ")
	}
	return strings.Join(lines, "\n")
}
