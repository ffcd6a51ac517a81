package report

import (
	"cmp"
	"slices"
	"strings"

	"ashtally/pipeline/analyze"
	"ashtally/stats"
)

// doubt is all warnings of one kind: 500 rows with the same one are one line,
// and so are those that the land takes over from its strata.
type doubt struct {
	Codes    []string
	Title    string
	Rows     int64 // rows that carry it
	Tables   []string
	Examples []example

	code  string
	rank  int
	moves float64  // the most of its warnings
	texts []string // of the examples, as they came
}

// example is one row's warning.
type example struct{ Where, Text string }

// String names the row before its warning.
func (e example) String() string {
	if e.Where == "" {
		return e.Text
	}
	return e.Where + ": " + e.Text
}

// InWords says by what codes how many rows of which tables carry the doubt.
func (d doubt) InWords() string {
	return strings.Join(d.Codes, ", ") + "; " + several(d.Rows, "row", "rows") + " of " + and(d.Tables)
}

// mostExamples is how many different sentences stand for a code.
const mostExamples = 3

// doubts groups the warnings of all results, the weightiest first: by what they bear
// on, and of those that bear on the same by how far they could move a figure.
func (w writer) doubts() []doubt {
	var list []doubt
	at := map[string]int{}
	w.eachWarned(func(table string, where func() string, warnings []stats.Warning) {
		var counted []int // a row may have several warnings of one kind
		for _, warning := range warnings {
			own, _ := fromStratum(warning.Code)
			i, ok := at[own]
			if !ok {
				i = len(list)
				at[own] = i
				list = append(list, doubt{Title: kindOf(own).title, code: own, rank: kindOf(own).rank})
			}
			list[i].add(table, where, warning)
			if !slices.Contains(counted, i) {
				counted = append(counted, i)
				list[i].Rows++
			}
		}
	})
	slices.SortStableFunc(list, func(a, b doubt) int {
		return cmp.Or(cmp.Compare(a.rank, b.rank), cmp.Compare(b.moves, a.moves), strings.Compare(a.code, b.code))
	})
	return list
}

// add takes in a warning. Only the first few that say something new are put in
// words, those of a stratum rather than what the land takes over from it.
func (d *doubt) add(table string, where func() string, w stats.Warning) {
	d.moves = max(d.moves, w.Moves)
	if code := words(w.Code); !slices.Contains(d.Codes, code) {
		d.Codes = append(d.Codes, code)
	}
	if !slices.Contains(d.Tables, table) {
		d.Tables = append(d.Tables, table)
	}
	if len(d.Examples) == mostExamples || w.Code != d.code || slices.Contains(d.texts, w.Text) {
		return
	}
	d.texts = append(d.texts, w.Text)
	d.Examples = append(d.Examples, example{where(), sentence(words(w.Text))})
}

// takeWarned takes the warnings of a row.
type takeWarned func(table string, where func() string, warnings []stats.Warning)

// eachWarned goes through the rows of all result tables in their order.
func (w writer) eachWarned(take takeWarned) {
	w.missedWarned(take)
}

// where names a row by its groups, those that are pooled left out.
func where(method, stratum, years, mode, tree, taxon string) string {
	var parts []string
	add := func(group string, write func(string) string) {
		if group != "" && group != analyze.All {
			parts = append(parts, write(group))
		}
	}
	add(method, func(m string) string { return capital(methodOf(m).many) })
	add(stratum, func(s string) string {
		if s == analyze.Reached {
			return "strata reached"
		}
		return name(s)
	})
	add(mode, name)
	add(tree, treeName)
	add(taxon, name)
	add(years, yearsInWords)
	return strings.Join(parts, ", ")
}

// mostWeighty is how many doubts stand beside the answers.
const mostWeighty = 6

// weightiest are the doubts that bear on the answers themselves: those of the
// rows that the answers quote, and those that say that something is wrong
// with the survey rather than with a row.
func (w writer) weightiest(doubts []doubt) []string {
	quoted := map[string]string{} // code to the sentence of the quoted row
	var strata []string
	for _, warning := range w.quotedWarnings() {
		if own, ok := fromStratum(warning.Code); ok {
			strata = append(strata, uncapital(kindOf(own).title))
		} else if quoted[warning.Code] == "" {
			quoted[warning.Code] = warning.Text
		}
	}
	var list []string
	for _, d := range doubts {
		text, ok := quoted[d.code]
		switch {
		case d.code == "land-not-reached" || len(list) == mostWeighty: // the first the answers say themselves
		case ok:
			list = append(list, sentence(words(text)))
		case d.rank == graveRank && len(d.Examples) > 0:
			list = append(list, d.Examples[0].String())
		}
	}
	if len(strata) > 0 {
		slices.Sort(strata)
		list = append(list, strataDoubts(slices.Compact(strata)))
	}
	return list
}

// quotedWarnings are those of the rows behind the answers.
func (w writer) quotedWarnings() []stats.Warning {
	var all []stats.Warning
	for _, m := range w.correctedMethods() {
		if r, ok := w.correctedOver(m); ok && r.Corrected.Value.Known {
			all = append(all, r.Warnings...)
		}
	}
	return all
}
