package ingest

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"
)

var update = flag.Bool("update", false, "rewrite the expected faults and notices in testdata/faults")

// TestFaults reads the bad surveys of testdata/faults, whose README says how
// they are written, and holds every message to the letter.
func TestFaults(t *testing.T) {
	paths, err := filepath.Glob("../../testdata/faults/*.txtar")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no cases: %v", err)
	}
	total := 0
	for _, path := range paths {
		archive, err := txtar.ParseFile(path)
		if err != nil {
			t.Fatal(err)
		}
		cases := casesOf(t, archive)
		total += len(cases)
		for _, c := range cases {
			t.Run(strings.TrimSuffix(filepath.Base(path), ".txtar")+"/"+c.name, c.run)
		}
		if *update {
			if err := os.WriteFile(path, txtar.Format(archive), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	if total < 90 {
		t.Errorf("%d cases; some were lost", total)
	}
}

// faultCase is one bad survey: the base with changes, and what must be said.
type faultCase struct {
	name    string
	changes map[string]string
	options Options
	faults  *txtar.File
	notices *txtar.File // nil: there must be none
}

func casesOf(t *testing.T, archive *txtar.Archive) []*faultCase {
	var cases []*faultCase
	for i := range archive.Files {
		file := &archive.Files[i]
		name, rest, ok := strings.Cut(file.Name, "/")
		if !ok {
			t.Fatalf("%s: a section is named CASE/FILE", file.Name)
		}
		if len(cases) == 0 || cases[len(cases)-1].name != name {
			cases = append(cases, &faultCase{name: name, changes: map[string]string{}})
		}
		c := cases[len(cases)-1]
		switch what, how, _ := strings.Cut(rest, " "); {
		case rest == "faults":
			c.faults = file
		case rest == "set-aside":
			c.faults, c.options.SetAside = file, true
		case rest == "notices":
			c.notices = file
		case how == "removed":
			c.changes[what] = gone
		case how == "quoted":
			c.changes[what] = unquote(t, file.Data)
		default:
			c.changes[what] = string(file.Data)
		}
	}
	return cases
}

// unquote joins lines that are Go string literals.
func unquote(t *testing.T, data []byte) string {
	var b strings.Builder
	for line := range bytes.Lines(data) {
		text, err := strconv.Unquote(strings.TrimSpace(string(line)))
		if err != nil {
			t.Fatalf("%s: %v", line, err)
		}
		b.WriteString(text)
	}
	return b.String()
}

func (c *faultCase) run(t *testing.T) {
	got := gather(t, write(t, with(c.changes)), c.options)
	if c.faults == nil {
		t.Fatal("the case has no section for its faults")
	}
	want := ""
	if c.notices != nil {
		want = string(c.notices.Data)
	}
	if *update {
		c.faults.Data = []byte(lines(got.faults))
		if c.notices != nil {
			c.notices.Data = []byte(lines(got.notices))
			want = string(c.notices.Data)
		}
	}
	if g, w := lines(got.faults), string(c.faults.Data); g != w {
		t.Errorf("faults:\n%swant:\n%s", g, w)
	}
	if g := lines(got.notices); g != want {
		t.Errorf("notices:\n%swant:\n%s", g, want)
	}
	if len(got.faults) > 0 && got.summary.Faults == 0 && len(got.summary.Tables) > 0 {
		// Faults of Open alone: every row is whole.
		for _, count := range got.summary.Tables {
			if count.SetAside > 0 {
				t.Errorf("%+v: rows set aside without a fault", count)
			}
		}
	}
}
