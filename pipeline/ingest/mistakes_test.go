package ingest

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"
)

// mistake is one of testdata/mistakes: a change to a clean survey, and what must
// come of it.
type mistake struct {
	survey, what string
	file         string
	edits        []string // lines with - and +
	want         string   // fault or question
	at, says     string   // where it is told, and what the message must have in it
	silent       bool     // nothing is said of it yet
}

const mistakesFolder = "../../testdata/mistakes"

// parseMistakes reads mistakes.txt.
func parseMistakes(t *testing.T, text string) (head string, list []*mistake) {
	t.Helper()
	head, rest, _ := strings.Cut(text, "\n== ")
	for block := range strings.SplitSeq("== "+rest, "\n\n") {
		m := &mistake{}
		for line := range strings.Lines(strings.TrimSpace(block)) {
			line = strings.TrimSuffix(line, "\n")
			word, rest, _ := strings.Cut(line, " ")
			switch word {
			case "==":
				m.survey, m.what, _ = strings.Cut(rest, ": ")
			case "file":
				m.file = rest
			case "-", "+":
				m.edits = append(m.edits, line)
			case "want":
				m.want, m.at, _ = strings.Cut(rest, " ")
			case "says":
				m.says = rest
			case "silent":
				m.silent = true
			default:
				t.Fatalf("%s: what is %q?", m.what, line)
			}
		}
		list = append(list, m)
	}
	return strings.TrimSpace(head) + "\n", list
}

func (m *mistake) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "== %s: %s\nfile %s\n", m.survey, m.what, m.file)
	for _, e := range m.edits {
		b.WriteString(e + "\n")
	}
	fmt.Fprintf(&b, "want %s %s\nsays %s\n", m.want, m.at, m.says)
	if m.silent {
		b.WriteString("silent\n")
	}
	return b.String()
}

// into makes the mistake in a file: each line with - goes, the lines with + that
// follow it stand in its place.
func (m *mistake) into(t *testing.T, text string) string {
	t.Helper()
	lines := strings.Split(text, "\n")
	at := -1
	for _, e := range m.edits {
		switch line := e[2:]; e[0] {
		case '-':
			if at = slices.Index(lines, line); at < 0 {
				t.Fatalf("%s has no line %q", m.file, line)
			}
			lines = slices.Delete(lines, at, at+1)
		case '+':
			lines = slices.Insert(lines, at, line)
			at++
		}
	}
	return strings.Join(lines, "\n")
}

// cleanSurveys are the files of those that the mistakes are made in.
func cleanSurveys(t *testing.T) map[string]map[string]string {
	t.Helper()
	surveys := map[string]map[string]string{"demo": {}}
	paths, err := filepath.Glob("../../testdata/demo/*")
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range paths {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		surveys["demo"][filepath.Base(path)] = string(data)
	}
	for _, name := range []string{"season", "lines"} {
		surveys[name] = filesOf(t, filepath.Join(mistakesFolder, name+".txtar"))
	}
	return surveys
}

// filesOf are the files of a survey that is kept as one text.
func filesOf(t *testing.T, path string) map[string]string {
	t.Helper()
	archive, err := txtar.ParseFile(path)
	if err != nil {
		t.Fatal(err)
	}
	files := map[string]string{}
	for _, f := range archive.Files {
		files[f.Name] = string(f.Data)
	}
	return files
}

// TestMistakes makes each mistake alone and holds what is said to what is wanted.
// It fails where more is silent than the marks say, or less.
func TestMistakes(t *testing.T) {
	path := filepath.Join(mistakesFolder, "mistakes.txt")
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	head, list := parseMistakes(t, string(text))
	if len(list) != 40 {
		t.Errorf("%d mistakes, not 40", len(list))
	}
	surveys := cleanSurveys(t)
	came := map[string]map[string]int{"fault": {}, "question": {}, "silence": {}}
	for _, m := range list {
		t.Run(m.survey+"/"+m.what, func(t *testing.T) {
			outcome, got := m.outcome(t, surveys[m.survey])
			came[outcome][m.survey]++
			met := outcome == m.want
			if *update {
				m.silent = !met
				return
			}
			if met == m.silent {
				t.Errorf("want %s at %s with %q; marked silent: %t; told:\n%s", m.want, m.at, m.says, m.silent, got)
			}
		})
	}
	t.Logf("faults %v, questions %v, silent %v", came["fault"], came["question"], came["silence"])
	if *update {
		blocks := []string{head}
		for _, m := range list {
			blocks = append(blocks, m.String())
		}
		if err := os.WriteFile(path, []byte(strings.Join(blocks, "\n")), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// outcome reads the survey with the mistake in it, and says what came of it.
func (m *mistake) outcome(t *testing.T, clean map[string]string) (outcome, told string) {
	t.Helper()
	files := map[string]string{}
	for name, text := range clean {
		if name == m.file {
			text = m.into(t, text)
		}
		files[name] = text
	}
	g := gather(t, write(t, files), Options{})
	is := func(line string) bool { return strings.HasPrefix(line, m.at) && strings.Contains(line, m.says) }
	switch told = lines(g.faults) + lines(g.questions); {
	case slices.ContainsFunc(g.faults, is):
		return "fault", told
	case slices.ContainsFunc(g.questions, is):
		return "question", told
	}
	return "silence", told
}

// TestCleanSurveys holds that no fault is told of the surveys that the mistakes are
// made in, and no question asked.
func TestCleanSurveys(t *testing.T) {
	for name, files := range cleanSurveys(t) {
		if g := gather(t, write(t, files), Options{}); len(g.faults)+len(g.questions) > 0 {
			t.Errorf("%s:\n%s%s", name, lines(g.faults), lines(g.questions))
		}
	}
}
