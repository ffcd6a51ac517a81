package ingest

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/survey"
)

// TestDeepKeys: a key that is too deep is refused at its line before anything
// walks it, whichever way it is written; one just under the limit is read.
func TestDeepKeys(t *testing.T) {
	dotted := func(n int) string { return strings.TrimSuffix(strings.Repeat("a.", n), ".") }
	lists := func(n int) string { return strings.Repeat("[", n) + strings.Repeat("]", n) }
	inline := func(n int) string { return strings.Repeat("{a = ", n) + "1" + strings.Repeat("}", n) }
	for _, c := range []struct {
		name, text string
		deep       bool
	}{
		{"eight parts", dotted(8) + " = 1", false},
		{"nine parts", dotted(9) + " = 1", true},
		{"50,000 parts", dotted(50_000) + " = 1", true},
		{"a header of eight", "[" + dotted(8) + "]", false},
		{"a header of 50,000", "[" + dotted(50_000) + "]", true},
		{"a list of tables of nine", "[[" + dotted(9) + "]]", true},
		{"a header and a key", "[" + dotted(5) + "]\n" + dotted(4) + " = 1", true},
		{"a header and a shorter key", "[" + dotted(5) + "]\n" + dotted(3) + " = 1", false},
		{"inline tables", "x = " + inline(7), false},
		{"more inline tables", "x = " + inline(8), true},
		{"9,000 inline tables", "x = " + inline(9000), true},
		{"lists", "x = " + lists(7), false},
		{"9,000 lists", "x = " + lists(9000), true},
		{"a table in a list in a list", "x = [[[{a = [{b.c = [1]}]}]]]", true},
		{"a list beside a deep one", "x = [1, [2], [[[[[[[[3]]]]]]]], 4]", true},
		{"what is no TOML before it", "x = = 1\n" + dotted(50_000) + " = 1", false},
	} {
		document := "title = \"Hollow Ridge\"\n\n" + c.text + "\n"
		line, deep := deepKey([]byte(document))
		if deep != c.deep {
			t.Errorf("%s: too deep is %v, want %v", c.name, deep, c.deep)
		}
		want := int64(3 + strings.Count(strings.TrimSuffix(c.text, "\n"), "\n"))
		if deep && line != want {
			t.Errorf("%s: line %d, want %d", c.name, line, want)
		}
		s, ok := parseSettings([]byte(document))
		if c.deep != (!ok && len(s.faults) == 1 && strings.Contains(s.faults[0].Problem, "more than 8 parts")) {
			t.Errorf("%s: %v", c.name, s.faults)
		}
	}
}

// TestManyScenarios: more scenarios than anybody thinks of are one fault.
func TestManyScenarios(t *testing.T) {
	document := "title = \"Hollow Ridge\"\n" + strings.Repeat("[[harvest]]\n", 15_000)
	s, _ := parseSettings([]byte(document))
	if len(s.faults) != 1 || s.faults[0].Line != 2 || !strings.Contains(s.faults[0].Problem, "15000 scenarios") {
		t.Errorf("%d faults, the first %v", len(s.faults), fmt.Sprint(s.faults[:1]))
	}
}

// TestOldNamesOfSettings: a key, a value and a value in a list by their former
// names are refused at their line, and told the new ones; those of today are read.
func TestOldNamesOfSettings(t *testing.T) {
	defer func(was []survey.Renaming) { survey.Renamings = was }(survey.Renamings)
	survey.Renamings = append(slices.Clone(survey.Renamings),
		survey.Renaming{Key: "curve.standing_days", WasKey: "curve.lifetime_days"},
		survey.Renaming{Key: "model.terms", Was: "year", Is: "years"},
	)
	for _, c := range []struct{ text, want string }{
		{"[density]\nsystematic = \"S2\"", `survey.toml:3: density.systematic: "S2" is called "neighbour-pairs" now; write the new name: it means the same`},
		{"[curve]\nlifetime_days = 12", `survey.toml:3: curve.lifetime_days: is called curve.standing_days now; write the new name: it means the same`},
		{"[model]\nterms = [\"mode\", \"year\"]", `survey.toml:3: model.terms: "year" is called "years" now; write the new name: it means the same`},
		{"[density]\nsystematic = \"neighbour-pairs\"", ""},
		{"[curve]\nstanding_days = 12", ""},
		{"[model]\nterms = [\"mode\", \"years\"]", ""},
	} {
		s, _ := parseSettings([]byte("title = \"Hollow Ridge\"\n" + c.text + "\n"))
		if got := strings.TrimSuffix(texts(s.faults), "\n"); got != c.want {
			t.Errorf("%s:\n%s\nwant:\n%s", c.text, got, c.want)
		}
	}
}
