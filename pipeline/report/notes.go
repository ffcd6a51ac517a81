package report

import (
	"fmt"
	"slices"
	"strings"

	"ashtally/stats"
)

// note is a footnote: one kind of warning in one table.
type note struct {
	Mark string
	Text string

	code  string
	texts []string // distinct, in order of appearance
	rows  int64
}

// notebook collects the footnotes of a table.
type notebook struct{ notes []*note }

// marks notes the warnings of a row and returns their marks.
func (b *notebook) marks(warnings []stats.Warning) []string {
	var marks []string
	for _, w := range warnings {
		if own, ok := fromStratum(w.Code); ok {
			w = stats.Warning{Code: strataCode, Text: uncapital(kindOf(own).title)}
		}
		n := b.noteOf(w.Code)
		if !slices.Contains(marks, n.Mark) {
			marks = append(marks, n.Mark)
			n.rows++
		}
		if !slices.Contains(n.texts, w.Text) {
			n.texts = append(n.texts, w.Text)
		}
	}
	slices.Sort(marks)
	return marks
}

func (b *notebook) noteOf(code string) *note {
	for _, n := range b.notes {
		if n.code == code {
			return n
		}
	}
	n := &note{Mark: letter(len(b.notes)), code: code}
	b.notes = append(b.notes, n)
	return n
}

// all returns the footnotes with their sentences. Where the rows give one kind
// of warning in different words, the first stands for them.
func (b *notebook) all() []*note {
	for _, n := range b.notes {
		if n.code == strataCode {
			n.Text = strataDoubts(n.texts)
			continue
		}
		n.Text = sentence(words(n.texts[0]))
		if len(n.texts) > 1 && n.rows > 1 {
			n.Text += fmt.Sprintf(" (Likewise %s, each with its own figures.)", several(n.rows-1, "more row", "more rows"))
		}
	}
	return b.notes
}

// strataCode stands for all that the land takes over from its strata.
const strataCode = "stratum-"

// strataDoubts names the kinds of doubt that strata bring to the land.
func strataDoubts(titles []string) string {
	return "Strata behind such a figure bring doubts of their own: " + strings.Join(titles, ", ") + "."
}

// letter returns a, b, ... z, aa, ab ...
func letter(i int) string {
	const letters = "abcdefghijklmnopqrstuvwxyz"
	if i < len(letters) {
		return letters[i : i+1]
	}
	return letter(i/len(letters)-1) + letter(i%len(letters))
}
