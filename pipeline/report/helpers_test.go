package report

import (
	"testing"
)

// allAnswers are the first sentences of a page, in order.
func allAnswers(p Page) []string {
	var list []string
	for _, a := range newWriter(p).answers() {
		for _, c := range a.Says {
			list = append(list, c.String())
		}
	}
	return list
}

// section cuts the section with the id out of a page, as text.
func section(t *testing.T, p Page, id string) string {
	t.Helper()
	for _, n := range parsed(t, written(t, p)) {
		if n.Data == "section" && attr(n, "id") == id {
			return text(n)
		}
	}
	t.Fatalf("no section %q", id)
	return ""
}
