package plausible

import (
	"slices"
	"strings"
	"unicode"
)

// EditDistance is the least number of insertions, deletions, substitutions and
// transpositions of neighbours that make b of a, no part being edited twice: the
// optimal string alignment distance (Damerau 1964, Communications of the ACM 7:
// 171-176; Wagner & Fischer 1974, Journal of the ACM 21: 168-173).
func EditDistance(a, b []rune) int {
	before := make([]int, len(b)+1)
	last := make([]int, len(b)+1)
	row := make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := range a {
		row[0] = i + 1
		for j := range b {
			cost := 1
			if a[i] == b[j] {
				cost = 0
			}
			row[j+1] = min(last[j]+cost, last[j+1]+1, row[j]+1)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(b)]
}

// Key folds a name to what tells it apart: letters in lower case and numbers
// without leading zeros. Case, spaces, hyphens and dots are how one name comes
// to be written in two ways. Signs that stand between two digits count.
func Key(name string) string { return strings.Join(words(name), "") }

// words divides a name into its words and numbers, in lower case, numbers
// without leading zeros.
func words(name string) []string {
	var list []string
	var word []rune
	kind := 0 // of word: 0 none, 1 letters, 2 digits
	end := func() {
		if text := string(word); kind == 2 {
			// "1" after "2" must not become "21".
			if n := len(list); n > 0 && isNumber(list[n-1]) {
				list = append(list, "-")
			}
			if text = strings.TrimLeft(text, "0"); text == "" {
				text = "0"
			}
			list = append(list, text)
		} else if kind == 1 {
			list = append(list, text)
		}
		word, kind = word[:0], 0
	}
	for _, r := range strings.ToLower(name) {
		now := 0
		switch {
		case unicode.IsDigit(r):
			now = 2
		case unicode.IsLetter(r) || unicode.IsMark(r):
			now = 1
		}
		if now != kind {
			end()
		}
		if now > 0 {
			word, kind = append(word, r), now
		}
	}
	end()
	return list
}

func isNumber(word string) bool { return isDigit(rune(word[0])) }

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

// Misread is the key of an id with the letters that are read as digits made
// digits: O and 0, I or l and 1.
func Misread(name string) string {
	return Key(strings.NewReplacer("o", "0", "i", "1", "l", "1").Replace(strings.ToLower(name)))
}

// Name is a name prepared to be compared with many others.
type Name struct {
	Text  string
	key   string
	words [][]rune
	total int // letters
	// numbers is a hash of those of the words that are numbers, but for a first of two,
	// which may be an initial: what has others is another name.
	numbers uint64
}

// NewName prepares a name.
func NewName(text string) Name {
	n := Name{Text: text}
	all := words(text)
	for i, w := range all {
		if isNumber(w) && (i > 0 || len(all) != 2) {
			n.numbers = n.numbers*31 + Digest([]string{w}) + uint64(i)
		}
		n.words = append(n.words, []rune(w))
		n.total += len([]rune(w))
		n.key += w
	}
	return n
}

// The length from which a word may differ from another by one edit and be the
// same word misspelt, and by two. Shorter words that differ are other words: pine
// and vine, red and bed (common practice, no source).
const (
	oneEdit  = 5
	twoEdits = 8
)

// Alike reports whether two names that are not equal may be one: equal but for
// case, spaces and signs; the first word of one cut to its initial; or as many
// words, all equal but for one or two edits in a long word that begins alike.
// Numbers must be equal: P11 is not P12.
func (n Name) Alike(o Name) bool {
	if n.key == "" || n.Text == o.Text {
		return false
	}
	if n.key == o.key {
		return true
	}
	if n.numbers != o.numbers || len(n.words) != len(o.words) || n.total-o.total > longest || o.total-n.total > longest {
		return false
	}
	edits := 0
	for i, a := range n.words {
		b := o.words[i]
		if slices.Equal(a, b) {
			continue
		}
		if i == 0 && len(n.words) == 2 && a[0] == b[0] && (len(a) == 1 || len(b) == 1) && slices.Equal(n.words[1], o.words[1]) && len(n.words[1]) >= oneEdit {
			return true
		}
		d, ok := misspelt(a, b)
		if edits += d; !ok || edits > 2 {
			return false
		}
	}
	return true
}

// longest bounds the difference of two names in length: that of a genus and its
// initial.
const longest = 20

// misspelt reports whether two words that differ may be one, and by how many edits.
func misspelt(a, b []rune) (edits int, ok bool) {
	short := min(len(a), len(b))
	if short < oneEdit || max(len(a), len(b))-short > 2 || isDigit(a[0]) || a[0] != b[0] {
		return 0, false
	}
	edits = EditDistance(a, b)
	return edits, edits == 1 || edits == 2 && short >= twoEdits
}
