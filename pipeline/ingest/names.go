package ingest

import (
	"strings"

	"ashtally/pipeline/survey"
)

// maxNames bounds how many different names of one kind are compared. A survey
// has a few dozen; more is a column that holds something else.
const maxNames = 1 << 16

// names are the texts that one kind of thing goes by. Equal texts become one
// string; texts that differ only by case or spaces are told, as they are most
// likely one thing.
type names struct {
	kind   string // "taxon"
	seen   map[string]string
	folded map[string]named
}

type named struct {
	text  string
	place survey.Place
}

func newNames(kind string) *names {
	return &names{kind: kind, seen: map[string]string{}, folded: map[string]named{}}
}

// take returns the text as one string for all its equals. Where it is new and
// like another, like is that one.
func (n *names) take(text string, place survey.Place) (one string, like *named) {
	if one, ok := n.seen[text]; ok {
		return one, nil
	}
	if len(n.seen) >= maxNames {
		return text, nil
	}
	one = strings.Clone(text) // the text is a part of its whole row
	n.seen[one] = one
	key := fold(one)
	if other, ok := n.folded[key]; ok {
		return one, &other
	}
	n.folded[key] = named{one, place}
	return one, nil
}

// has reports whether the name was taken.
func (n *names) has(text string) bool {
	_, ok := n.seen[text]
	return ok
}
