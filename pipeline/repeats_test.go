package pipeline

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/survey"
)

// TestRepeats writes faults as letters: equal letters are equal faults.
func TestRepeats(t *testing.T) {
	for faults, want := range map[string]string{
		"":           "",
		"A":          "A1",
		"AAAA":       "A1+3-4",
		"AB":         "A1 B2",
		"AAA":        "A1 A2 A3",
		"ABABAB":     "A1 A3 A5 B2 B4 B6",
		"ABABABAB":   "A1+3-7 B2+3-8",
		"AABBAA":     "A1+3-6 B3 B4",
		"ABCDEFGHA":  "A1 A9 B2 C3 D4 E5 F6 G7 H8",
		"ABCDEFGHIA": "A1 B2 C3 D4 E5 F6 G7 H8 I9 A10",
	} {
		var told []string
		r := repeats{tell: func(f survey.Fault) { told = append(told, shortly(f)) }}
		for i, letter := range faults {
			r.fault(survey.Fault{Place: survey.Place{File: "finds.csv", Line: int64(i + 1)}, Problem: string(letter)})
		}
		r.flush()
		if got := strings.Join(told, " "); got != want {
			t.Errorf("%s is told as %q, want %q", faults, got, want)
		}
	}
}

// shortly writes a fault as its letter, its line and how many follow.
func shortly(f survey.Fault) string {
	letter, rest, _ := strings.Cut(f.Problem, "; ")
	var more, last int
	if n, _ := fmt.Sscanf(rest, "%d more are like this one, the last on line %d", &more, &last); n == 2 {
		return fmt.Sprintf("%s%d+%d-%d", letter, f.Line, more, last)
	}
	return fmt.Sprintf("%s%d", letter, f.Line)
}

// TestRepeatsKeepColumnsApart: what differs by more than its line is another.
func TestRepeatsKeepColumnsApart(t *testing.T) {
	f := survey.Fault{Place: survey.Place{File: "finds.csv", Line: 2}, Column: 3, Name: "count", Problem: "is empty", Remedy: "fill it in"}
	others := []survey.Fault{f, f, f, f, f}
	others[0].File, others[1].Column, others[2].Name, others[3].Problem, others[4].Remedy = "visits.csv", 4, "mass_g", "is full", "empty it"
	var told []survey.Fault
	r := repeats{tell: func(f survey.Fault) { told = append(told, f) }}
	r.fault(f)
	for _, other := range others {
		r.fault(other)
	}
	r.flush()
	if want := append([]survey.Fault{f}, others...); !slices.Equal(told, want) {
		t.Errorf("told %v, want %v", told, want)
	}
}
