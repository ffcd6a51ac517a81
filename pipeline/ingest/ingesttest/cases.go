package ingesttest

import (
	"bytes"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"
)

// Case is one survey of testdata/faults: the base with changes, and what must
// be said of it.
type Case struct {
	Name     string
	Changes  map[string]string
	SetAside bool // whether the faults are those with the faulty rows set aside
	// Faults and Notices are the messages, a line each, within the archive the
	// case was read from. Notices is nil where there must be none.
	Faults, Notices *txtar.File
}

// Cases returns those of an archive; the README of testdata/faults says how
// they are written.
func Cases(t testing.TB, archive *txtar.Archive) []*Case {
	t.Helper()
	var cases []*Case
	for i := range archive.Files {
		file := &archive.Files[i]
		name, rest, ok := strings.Cut(file.Name, "/")
		if !ok {
			t.Fatalf("%s: a section is named CASE/FILE", file.Name)
		}
		if len(cases) == 0 || cases[len(cases)-1].Name != name {
			cases = append(cases, &Case{Name: name, Changes: map[string]string{}})
		}
		cases[len(cases)-1].add(t, file, rest)
	}
	return cases
}

func (c *Case) add(t testing.TB, file *txtar.File, section string) {
	t.Helper()
	switch what, how, _ := strings.Cut(section, " "); {
	case section == "faults":
		c.Faults = file
	case section == "set-aside":
		c.Faults, c.SetAside = file, true
	case section == "notices":
		c.Notices = file
	case how == "removed":
		c.Changes[what] = Gone
	case how == "quoted":
		c.Changes[what] = unquote(t, file.Data)
	default:
		c.Changes[what] = string(file.Data)
	}
}

// unquote joins lines that are Go string literals.
func unquote(t testing.TB, data []byte) string {
	t.Helper()
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
