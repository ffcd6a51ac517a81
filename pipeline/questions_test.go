package pipeline

import (
	"context"
	"path/filepath"
	"regexp"
	"testing"

	"ashtally/pipeline/question"
	"ashtally/stats"
)

// demoAnswers asks the questions of the thinned demo.
func demoAnswers(t *testing.T) []question.Answer {
	t.Helper()
	work, err := stage(filepath.Join(t.TempDir(), "out"))
	if err != nil {
		t.Fatal(err)
	}
	defer work.discard()
	if err := work.folder(archiveFolder); err != nil {
		t.Fatal(err)
	}
	o := Options{Survey: writeSurvey(t, func(_ string, data []byte) []byte { return data })}
	in, err := o.read(context.Background(), work)
	if err != nil {
		t.Fatal(err)
	}
	found := answersOf(t, in.season)
	return found
}

// TestTablesAreDeclared: a survey that says nothing has the tables of one that does,
// each name once.
func TestTablesAreDeclared(t *testing.T) {
	var none, some []string
	seen := map[string]bool{}
	for i, a := range demoAnswers(t) {
		for _, table := range questions[i].None.Tables() {
			none = append(none, table.Name())
			if table.Rows() != 0 {
				t.Errorf("%s has %d rows of nothing", table.Name(), table.Rows())
			}
			if seen[table.Name()] {
				t.Errorf("two tables are named %s", table.Name())
			}
			seen[table.Name()] = true
		}
		for _, table := range a.Tables() {
			some = append(some, table.Name())
		}
	}
	if len(none) != len(some) || len(none) < 25 {
		t.Errorf("%d tables of nothing, %d of the demo", len(none), len(some))
	}
	for i := range none {
		if none[i] != some[i] {
			t.Errorf("table %d is %s of nothing and %s of the demo", i, none[i], some[i])
		}
	}
}

// TestWarningTypes: each code is declared once, and the types of the warnings in
// result tables are those that their question names.
func TestWarningTypes(t *testing.T) {
	declared := map[string]*stats.WarningType{}
	code := regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)
	for _, w := range warningTypes() {
		if other := declared[w.Code]; other != nil && other != w {
			t.Errorf("%s is declared twice, as %q and %q", w.Code, other.Title, w.Title)
		}
		if !code.MatchString(w.Code) || w.Title == "" {
			t.Errorf("%+v", *w)
		}
		declared[w.Code] = w
	}
	typed := 0
	for _, a := range demoAnswers(t) {
		for _, table := range a.Tables() {
			for row := range table.Rows() {
				for _, w := range table.Warnings(row) {
					typed++
					if w.Type == nil {
						t.Errorf("%s has a warning without a type, %q", table.Name(), w)
					} else if declared[w.Type.Code] != w.Type {
						t.Errorf("%s has a warning of type %s, which no question names", table.Name(), w.Type.Code)
					}
				}
			}
		}
	}
	if typed == 0 {
		t.Error("no warning has a type")
	}
}
