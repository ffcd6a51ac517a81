package ingest

import (
	"strings"

	"ashtally/pipeline/survey"
)

// maxNames bounds how many different names of one kind are compared. A survey
// has a few dozen; more is a column that holds something else.
const maxNames = 1 << 16

// names are the texts that one kind of thing goes by. Equal texts become one
// string; what is almost equal is asked about once all are known.
type names struct {
	kind  string // "taxon"
	seen  map[string]*name
	order []*name
	last  *name // that was taken
}

// name is one text, where it stood first, and in how many rows it stands.
type name struct {
	text    string
	first   survey.Fault // its place and column
	rows    int
	setting bool // survey.toml has it
}

func newNames(kind string) *names { return &names{kind: kind, seen: map[string]*name{}} }

// take returns the text as one string for all its equals.
func (n *names) take(text string, l *line, column string) string {
	one := n.last
	if one == nil || one.text != text {
		one = n.seen[text]
	}
	if one == nil {
		if one = n.add(text); one == nil {
			return text
		}
	}
	if one.rows == 0 {
		one.first = l.about(column, "", "")
	}
	one.rows++
	n.last = one
	return one.text
}

// add notes a name that is new; nil where there are too many.
func (n *names) add(text string) *name {
	if len(n.seen) >= maxNames {
		return nil
	}
	one := &name{text: strings.Clone(text)} // the text is a part of its whole row
	n.seen[one.text] = one
	n.order = append(n.order, one)
	return one
}

// has reports whether the name stands in the sheets.
func (n *names) has(text string) bool {
	one := n.seen[text]
	return one != nil && one.rows > 0
}

// full reports whether not all names are known.
func (n *names) full() bool { return len(n.seen) >= maxNames }

// others are the names in the sheets that a list of survey.toml does not have.
func (n *names) others(list map[string]bool) []string {
	var texts []string
	for _, one := range n.order {
		if one.rows > 0 && !list[one.text] {
			texts = append(texts, one.text)
		}
	}
	return texts
}
