// Package questiontest is what tests of questions share: asking, drawing all
// figures, and looking for warnings.
package questiontest

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate/transect"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/page"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
	"ashtally/stats"
)

// Ask asks a question of a survey. Every warning of its tables is to have its type
// and its words.
func Ask[A question.Answer](t testing.TB, ask func(context.Context, *fieldwork.Season, *question.Known) (A, error), s *fieldwork.Season, known *question.Known) A {
	t.Helper()
	a, err := ask(t.Context(), s, known)
	if err != nil {
		t.Fatal(err)
	}
	for _, table := range a.Tables() {
		for row := range table.Rows() {
			for _, w := range table.Warnings(row) {
				if w.Type == nil || w.Text == "" {
					t.Errorf("%s: %q has no type or no words", table.Name(), w)
				}
			}
		}
	}
	return a
}

// WithLines is what is known where the lines of a survey were asked about.
func WithLines(t testing.TB, s *fieldwork.Season) *question.Known {
	t.Helper()
	lines, err := transect.New(t.Context(), s)
	if err != nil {
		t.Fatal(err)
	}
	return &question.Known{Lines: lines}
}

// Figures draws all figures of some sections and of their parts in the appendix,
// and returns them by name.
func Figures(t testing.TB, u page.Units, sections ...page.Section) map[string]*page.Figure {
	t.Helper()
	figures := map[string]*page.Figure{}
	for _, f := range (page.Report{Sections: sections}).Figures() {
		if f.Draw(u); f.Err() != nil {
			t.Errorf("%s: %v", f.Name, f.Err())
		}
		if figures[f.Name] != nil {
			t.Errorf("two figures are named %s", f.Name)
		}
		figures[f.Name] = f
	}
	return figures
}

// Warns reports whether one of the warnings has a code.
func Warns(list []stats.Warning, code string) bool {
	return slices.ContainsFunc(list, func(w stats.Warning) bool { return w.Code == code })
}

// Join writes all warnings of a row.
func Join(warnings []stats.Warning) string { return result.WarningsCell(warnings) }

// Said is the sentences of some texts.
func Said(texts []page.Text, u page.Units) string {
	said := make([]string, len(texts))
	for i, text := range texts {
		said[i] = text.Sentence(u)
	}
	return strings.Join(said, " ")
}

// Near fails unless a number is known and is the one wanted, to a billionth.
func Near(t testing.TB, what string, got column.Float, want float64) {
	t.Helper()
	if !got.Known || math.Abs(got.Value-want) > 1e-9*math.Abs(want) {
		t.Errorf("%s is %v, want %v", what, got, want)
	}
}
