package ingest

import (
	"strings"
	"unicode"

	"ashtally/pipeline/ingest/plausible"
)

// maxNearest is the longest text that a near name is looked for, in runes:
// longer ones are no names, and the comparison is quadratic.
const maxNearest = 64

// nearest returns the candidate that a crew most likely meant by the text, or
// "" where none is near. The first of equals wins.
func nearest(text string, candidates []string) string {
	return closest(text, candidates, max(1, len(letters(text))/3))
}

// closest is nearest with a limit of its own to the changes between the two.
func closest(text string, candidates []string, limit int) string {
	word := letters(text)
	if len(word) == 0 || len(word) > maxNearest {
		return ""
	}
	best, least := "", limit+1
	for _, c := range candidates {
		other := letters(c)
		if len(other) == 0 || len(other) > maxNearest {
			continue
		}
		d := plausible.EditDistance(word, other)
		if begins(word, other) || begins(other, word) {
			d = min(d, 1)
		}
		if d < least {
			best, least = c, d
		}
	}
	return best
}

// letters folds a name to the runes that tell it apart: case, spaces and
// punctuation are what headers differ by without a difference in meaning.
func letters(s string) []rune {
	var out []rune
	for _, r := range strings.ToLower(s) {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			out = append(out, r)
		}
	}
	return out
}

// begins reports whether long starts with short, for a short of three runes at
// least: "plotno" is near "plot", but "x1" is not near "x".
func begins(long, short []rune) bool {
	return len(short) >= 3 && len(short) < len(long) && string(long[:len(short)]) == string(short)
}
