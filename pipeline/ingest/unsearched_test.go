package ingest

import (
	"slices"
	"strings"
	"testing"
)

// Planned units that were not searched are no zeros: they are named with their
// reason and replacement, and with the share of the plan that was met. Of six
// planned units four were searched, 4/6 = 67 %.
func TestUnsearched(t *testing.T) {
	files := with(nil)
	plots := files["plots.csv"] + "P3,burn,5\nP4,burn,5\nR1,burn,5\n"
	visits := files["visits.csv"] + "R1,2031-05-18,1,Ada\n"
	read := func(unsearched string) gathered {
		return gather(t, write(t, with(map[string]string{"plots.csv": plots, "visits.csv": visits, "unsearched.csv": unsearched})), Options{})
	}
	g := read("unit,reason,replacement,who\nP3,snags,R1,Ada\nP4,no time,,Ada\n")
	if len(g.faults)+len(g.questions) > 0 || len(g.notices) != 1 {
		t.Fatalf("faults %v, questions %v, notices %v", g.faults, g.questions, g.notices)
	}
	for _, want := range []string{"of 6 planned units 4 were searched, 67 %", "1 of the others were replaced", `"P3" (snags, "R1" in its place), "P4" (no time)`, "no zero"} {
		if !strings.Contains(g.notices[0], want) {
			t.Errorf("%s\nhas no %q", g.notices[0], want)
		}
	}
	if !slices.ContainsFunc(g.summary.Inputs, func(in Input) bool { return in.Name == unsearchedName && in.Table == UnsearchedTable }) {
		t.Error("unsearched.csv is not among the inputs")
	}
	// A unit without a visit and without a reason stays a question.
	g = read("unit,reason,replacement\nP3,snags,R1\n")
	if len(g.faults) > 0 || len(g.questions) != 1 || !strings.HasPrefix(g.questions[0], `plots.csv:5: the unit "P4" was never visited`) || !strings.Contains(g.notices[0], `"P4" (no reason given)`) {
		t.Errorf("faults %v, questions %v, notices %v", g.faults, g.questions, g.notices)
	}
	for _, c := range []struct{ row, want string }{
		{"P9,snags,", `unsearched.csv:2:1: unit: the unit "P9" is not known; write it as in plots or transects, and keep its row there`},
		{"P03,snags,", `unsearched.csv:2:1: unit: the unit "P03" is not known; did you mean "P3"? write it`},
		{",snags,", "unsearched.csv:2:1: unit: is empty"},
		{"P1,snags,", `unsearched.csv:2:1: unit: the unit "P1" was visited on 2031-05-17 (visits.csv:2)`},
		{"P3,,", "unsearched.csv:2:2: reason: is empty"},
		{"P3,snags,R9", `unsearched.csv:2:3: replacement: the unit "R9" is not known`},
		{"P3,snags,P3", "unsearched.csv:2:3: replacement: is the unit itself"},
		{"P3,snags,R1\nP4,snags,R1", `unsearched.csv:3:3: replacement: the unit "R1" stands in for "P3" already`},
		{"P3,snags,R1\nP3,no time,", `unsearched.csv:3:1: unit: the unit "P3" stands on line 2 already`},
	} {
		if g := read("unit,reason,replacement\n" + c.row + "\n"); len(g.faults) != 1 || !strings.HasPrefix(g.faults[0], c.want) {
			t.Errorf("%s: faults\n%s\nwant\n%s", c.row, lines(g.faults), c.want)
		}
	}
}
