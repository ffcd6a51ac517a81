package report

import (
	"fmt"
	"strings"
	"testing"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
	"ashtally/stats"
)

// TestEveryCodeAppears holds the page to naming every warning of the results.
func TestEveryCodeAppears(t *testing.T) {
	p := inventedPage()
	codes := map[string]bool{}
	newWriter(p).eachWarned(func(_ string, _ func() string, warnings []stats.Warning) {
		for _, w := range warnings {
			codes[w.Code] = true
		}
	})
	if len(codes) < 10 {
		t.Fatalf("the fixture has only %d codes", len(codes))
	}
	html := written(t, p)
	for code := range codes {
		if !strings.Contains(html, "("+code+"; ") && !strings.Contains(html, "("+code+", ") && !strings.Contains(html, ", "+code+"; ") {
			t.Errorf("the page does not name %s", code)
		}
	}
}

// TestOneLineForManyRows gives 500 rows the same warning.
func TestOneLineForManyRows(t *testing.T) {
	var r analyze.Results
	for i := range 500 {
		row := inStratum(headlineRow("plot", 12, 5, estimated(5, 1, 9)), fmt.Sprintf("stratum %d", i))
		row.Warnings = []stats.Warning{{Code: "few-units", Text: fmt.Sprintf("%d units are few", i%7)}}
		r.Density = append(r.Density, row)
	}
	doubts := newWriter(Page{Settings: survey.Defaults(), Results: r}).doubts()
	if len(doubts) != 1 {
		t.Fatalf("%d doubts", len(doubts))
	}
	d := doubts[0]
	if spaced(d.InWords()) != "few-units; 500 rows of density" || len(d.Examples) != mostExamples || d.Examples[1].String() != "Plots, stratum 1: 1 units are few." {
		t.Errorf("%s, %q", d.InWords(), d.Examples)
	}
}

func TestDoubtsAreOrdered(t *testing.T) {
	r := analyze.Results{Density: []analyze.DensityRow{{Warnings: []stats.Warning{
		{Code: "roadside-apart", Text: "d"}, {Code: "a-new-code", Text: "c"}, {Code: "unequal-visits", Text: "b"}, {Code: "target-not-hollow", Text: "a"},
		{Code: "visits-of-one", Text: "e", Moves: 0.1}, {Code: "visits-of-one", Text: "f"}, {Code: "visits-of-one", Text: "g", Moves: 0.3}, {Code: "sight-varies", Text: "h", Moves: 0.2},
	}}}}
	var titles []string
	for _, d := range newWriter(Page{Settings: survey.Defaults(), Results: r}).doubts() {
		titles = append(titles, d.Title)
	}
	want := "Target finds that were not hollow; Visits with a single observer; Detection probability that varies among finds; Units searched unequally often; A new code; Roadsides left out"
	if got := strings.Join(titles, "; "); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

// TestWeightiest holds what stands beside the answers to the rows that they
// quote and to what is wrong with the survey.
func TestWeightiest(t *testing.T) {
	quoted := headlineRow("plot", 12, 15, estimated(5, 1, 9), stats.Warning{Code: "few-finds", Text: "15 finds are few"}, stats.Warning{Code: "land-not-reached", Text: "saddle"})
	other := inStratum(headlineRow("plot", 3, 2, estimated(5, 1, 9)), "upper")
	other.Warnings = []stats.Warning{{Code: "few-finds", Text: "2 finds are few"}, {Code: "few-units", Text: "3 units are few"}}
	r := analyze.Results{
		Density: []analyze.DensityRow{quoted, other},
	}
	w := newWriter(Page{Settings: survey.Defaults(), Results: r})
	got := strings.Join(w.weightiest(w.doubts()), " ")
	want := "15 finds are few."
	if spaced(got) != want {
		t.Errorf("got  %s\nwant %s", spaced(got), want)
	}
}

func TestNotes(t *testing.T) {
	var b notebook
	few := func(n int) stats.Warning {
		return stats.Warning{Code: "few-finds", Text: fmt.Sprintf("%d finds are few", n)}
	}
	none := stats.Warning{Code: "no-units", Text: "no plot was searched"}
	var got []string
	for _, row := range [][]stats.Warning{{few(3)}, {none, few(4)}, nil, {none}} {
		got = append(got, strings.Join(b.marks(row), ""))
	}
	if strings.Join(got, "|") != "a|ab||b" {
		t.Errorf("marks are %q", got)
	}
	notes := b.all()
	if len(notes) != 2 || spaced(notes[0].Text) != "3 finds are few. (Likewise 1 more row, each with its own figures.)" || notes[1].Text != "No plot was searched." {
		t.Errorf("notes are %q and %q", notes[0].Text, notes[1].Text)
	}
	for i, want := range map[int]string{0: "a", 25: "z", 26: "aa", 27: "ab", 701: "zz", 702: "aaa"} {
		if got := letter(i); got != want {
			t.Errorf("mark %d is %q, want %q", i, got, want)
		}
	}
}

// TestTakenOver holds what the land takes over from its strata to one note, one
// line and one bullet.
func TestTakenOver(t *testing.T) {
	land := headlineRow("plot", 15, 17, estimated(5, 1, 9),
		stats.Warning{Code: "stratum-few-units", Text: "in a stratum: 3 units are few"}, stats.Warning{Code: "stratum-few-finds", Text: "in a stratum: 2 finds are few"},
		stats.Warning{Code: "stratum-few-units", Text: "in a stratum: 4 units are few"}, stats.Warning{Code: "stratum-without-se", Text: "a stratum has no standard error"})
	upper := inStratum(headlineRow("plot", 3, 2, estimated(5, 1, 9)), "upper")
	upper.Warnings = []stats.Warning{{Code: "few-units", Text: "3 units are few"}}
	w := newWriter(Page{Settings: survey.Defaults(), Results: analyze.Results{Density: []analyze.DensityRow{land, upper}}})
	const taken = "Strata behind such a figure bring doubts of their own: few finds, few units."

	var b notebook
	if marks := strings.Join(b.marks(land.Warnings), ""); marks != "ab" {
		t.Errorf("marks are %q", marks)
	}
	if notes := b.all(); len(notes) != 2 || notes[0].Text != "Strata behind such a figure bring doubts of their own: few units, few finds." {
		t.Errorf("notes are %q", notes[0].Text)
	}
	if got := strings.Join(w.weightiest(w.doubts()), " "); got != "A stratum has no standard error. "+taken {
		t.Errorf("beside the answers: %s", got)
	}
	for _, d := range w.doubts() {
		if d.Title == "Few units" && (spaced(d.InWords()) != "stratum-few-units, few-units; 2 rows of density" || len(d.Examples) != 1 || d.Examples[0].String() != "Plots, upper: 3 units are few.") {
			t.Errorf("few units: %s, %q", spaced(d.InWords()), d.Examples)
		}
	}
}

func TestNoticesAreCut(t *testing.T) {
	var list []survey.Fault
	for i := range 250 {
		list = append(list, survey.Fault{Place: survey.Place{File: "finds.csv", Line: int64(i + 2)}, Problem: "is not known"})
	}
	lines, more := faults(list, 1000)
	if len(lines) != mostListed || more != "900" || lines[0] != "finds.csv:2: is not known" {
		t.Errorf("%d lines, %q more, first %q", len(lines), more, lines[0])
	}
	if lines, more := faults(list[:3], 3); len(lines) != 3 || more != "" {
		t.Errorf("%d lines, %q more", len(lines), more)
	}
}

func TestUnknownRowsAreNoDoubts(t *testing.T) {
	if d := newWriter(Page{Settings: survey.Defaults(), Results: analyze.Results{Density: []analyze.DensityRow{headlineRow("plot", 1, 1, analyze.Estimate{Value: column.Finite(1)})}}}).doubts(); len(d) != 0 {
		t.Errorf("doubts of nothing: %v", d)
	}
}
