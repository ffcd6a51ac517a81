package page

import (
	"cmp"
	"slices"
	"strings"

	"ashtally/pipeline/result"
	"ashtally/stats"
)

// titleOf is the heading of a warning's type; of a code that is not declared, its
// words.
func titleOf(w stats.Warning) string {
	if w.Type != nil {
		return w.Type.Title
	}
	return capital(strings.ReplaceAll(strings.TrimPrefix(w.Code, "stratum-"), "-", " "))
}

// Reason says in a few words why a row has no figure; "" without a warning.
func Reason(warnings []stats.Warning) string {
	if len(warnings) == 0 {
		return ""
	}
	return uncapital(titleOf(warnings[0]))
}

// warningGroup is all warnings of one type in the result tables.
type warningGroup struct {
	Code, Title string
	Bears       string
	Rows        int64
	Tables      []string
	Examples    []exampleView

	bears   stats.Bearing
	moves   float64 // the most of its warnings
	carried int64   // of the rows, those that took it over from a stratum
	texts   []string
}

// exampleView is a warning with a link to its row.
type exampleView struct{ Text, Where, Link string }

// InWords says how many rows of which tables have the warning.
func (g warningGroup) InWords() string {
	text := several(g.Rows, "row", "rows") + " of " + strings.Join(g.Tables, ", ")
	if g.carried > 0 {
		text += "; in " + count(g.carried) + " taken over from a stratum"
	}
	return text
}

// mostExamples is how many different sentences stand for a type.
const mostExamples = 3

// warningGroups collects the warnings of all tables by type, the weightiest
// first: by what they bear on, then by how far they could move a figure.
func warningGroups(tables []result.Table) []*warningGroup {
	var groups []*warningGroup
	byCode := map[string]*warningGroup{}
	for _, t := range tables {
		for row := range t.Rows() {
			for _, w := range t.Warnings(row) {
				code := w.Code
				if w.Type != nil {
					code = w.Type.Code
				}
				g := byCode[code]
				if g == nil {
					g = &warningGroup{Code: code, Title: titleOf(w), bears: stats.Coverage}
					if w.Type != nil {
						g.bears = w.Type.Bears
					}
					g.Bears = g.bears.String()
					byCode[code] = g
					groups = append(groups, g)
				}
				g.add(t, row, w)
			}
		}
	}
	slices.SortStableFunc(groups, func(a, b *warningGroup) int {
		return cmp.Or(cmp.Compare(a.bears, b.bears), cmp.Compare(b.moves, a.moves), cmp.Compare(a.Code, b.Code))
	})
	return groups
}

// add takes in a warning of a row. Only the first few that say something new are
// quoted.
func (g *warningGroup) add(t result.Table, row int, w stats.Warning) {
	g.Rows++
	g.moves = max(g.moves, w.Moves)
	if w.Carried {
		g.carried++
	}
	if !slices.Contains(g.Tables, t.Name()) {
		g.Tables = append(g.Tables, t.Name())
	}
	if w.Carried || len(g.Examples) == mostExamples || slices.Contains(g.texts, w.Text) {
		return
	}
	g.texts = append(g.texts, w.Text)
	g.Examples = append(g.Examples, exampleView{sentence(w.Text), where(t, row), rowID(t.Name(), row)})
}

// where names a row by its groups, those that are pooled left out.
func where(t result.Table, row int) string {
	parts := []string{t.Name()}
	for _, k := range t.Key(row) {
		if k != "" && k != result.All {
			parts = append(parts, printable(k))
		}
	}
	return strings.Join(parts, ", ")
}
