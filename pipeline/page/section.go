package page

import (
	"math"
	"slices"
	"strings"

	"ashtally/pipeline/result"
	"ashtally/stats"
)

// Chapter is a section of the report, which several questions may have a part in.
type Chapter int

// The chapters, in the order of the report.
const (
	HowMany Chapter = iota
	Where
	Trees
	When
	Detection
	Harvest
	Change
	chapters
)

// ID is the chapter's anchor.
func (c Chapter) ID() string {
	return [...]string{"how-many", "where", "trees", "when", "detection", "harvest", "change"}[c]
}

// Title is the chapter's heading.
func (c Chapter) Title() string {
	return [...]string{
		"How many", "Where and on which ground", "Which trees, which mode, how long after fire",
		"When", "How much was missed", "What a harvest takes", "What changed",
	}[c]
}

// Section is what one question says. Of a chapter's sections the first with a
// finding leads it, those that ask to lead before the others: its finding, sentences,
// figure and table stand there. Of each other the chapter has the finding alone, or
// the sentences where there is none. The rest stands in the appendix, with what the
// chapter has no room for.
type Section struct {
	Chapter Chapter
	// Question is the heading in the appendix, e.g. "Crop and harvest".
	Question string
	// Lead is a sentence for the head of the report: where, when, who searched
	// how much.
	Lead Text
	// Area is the survey area, for the head of the terminal's table.
	Area *result.Cell
	// Finding is one sentence: the number and its interval first. Empty where the
	// survey says nothing on the question.
	Finding Text
	// Leads asks to lead the chapter before sections of earlier questions.
	Leads bool
	// Text are further sentences, a paragraph each, the most important first.
	Text []Text
	// Details are sentences for the appendix.
	Details []Text
	Figure  *Figure
	// Map stands in the chapter whichever section leads it.
	Map         *Figure
	Table       *Table
	Limitations []Limitation
	// Card is the question's part in the summary; nil for none.
	Card *Card
	// Lines are those of the table on the terminal.
	Lines []Line
	// Appendix are the parts of the appendix beside the full tables.
	Appendix []Part
	// Tables are the question's result tables, for the appendix.
	Tables []result.Table
}

// Card is a part of the summary.
type Card struct {
	Title  Text         // the finding in a few words
	Number *result.Cell // set in large type; nil for none
	Label  string       // what the number is of: "fruit bodies"
	Text   []Text
	Figure *Figure
}

// Line is a line of the table that ends a run.
type Line struct {
	Label string // "crop"
	Text  Text   // "52 t fresh (41-72)"
	// Row in place of Text: an estimate with its interval and what it rests on.
	Row *LineRow
}

// LineRow are the columns of a density on the terminal.
type LineRow struct {
	Part                   bool // of the line before: indented, and left out where there are many
	Estimate, Units, Finds result.Cell
}

// Part is a part of the appendix.
type Part struct {
	Title      string // "How we know"
	Text       []Text
	Formulas   []string
	Figures    []*Figure
	Tables     []Table
	References []string
}

// Limitation is what limits a figure.
type Limitation struct {
	Warning stats.Warning
	Table   string // where the warning stands
	Row     int
}

// weights stand for the share by which a limitation could move a figure where
// nothing tells (common practice, no source): a figure that is missing is worse
// than one of something else, which is worse than an interval that is too narrow.
var weights = map[stats.Bearing]float64{stats.Unavailable: 1, stats.Scope: 0.2, stats.Coverage: 0.1, stats.Note: 0}

// weight is the share by which the limitation could move a figure, as its warning
// tells or else by what it bears on.
func (l Limitation) weight() float64 {
	if l.Warning.Moves != 0 {
		return math.Abs(l.Warning.Moves)
	}
	if l.Warning.Type == nil {
		return weights[stats.Coverage]
	}
	return weights[l.Warning.Type.Bears]
}

// LimitsOf returns the limitations of some rows of a table, those that rows carry
// over from strata left out.
func LimitsOf(t result.Table, rows ...int) []Limitation {
	var list []Limitation
	for _, row := range rows {
		for _, w := range t.Warnings(row) {
			if !carried(w) {
				list = append(list, Limitation{Warning: w, Table: t.Name(), Row: row})
			}
		}
	}
	return list
}

// carried reports whether a warning is a stratum's.
func carried(w stats.Warning) bool {
	return w.Carried || w.Type == nil && strings.HasPrefix(w.Code, "stratum-")
}

// ranked returns the limitations, those that could move a figure most first, each
// type of warning once.
func ranked(list []Limitation) []Limitation {
	sorted := slices.Clone(list)
	slices.SortStableFunc(sorted, func(a, b Limitation) int {
		switch wa, wb := a.weight(), b.weight(); {
		case wa > wb:
			return -1
		case wa < wb:
			return 1
		}
		return 0
	})
	seen := map[string]bool{}
	return slices.DeleteFunc(sorted, func(l Limitation) bool {
		before := seen[l.Warning.Code]
		seen[l.Warning.Code] = true
		return before
	})
}
