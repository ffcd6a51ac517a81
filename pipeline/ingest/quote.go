package ingest

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

// meant says which known name is near a text, as a part of a remedy.
func meant(text string, candidates []string) string {
	if name := nearest(text, candidates); name != "" {
		return "did you mean " + phrase.Quote(name) + "?"
	}
	return ""
}

// join puts the parts of a remedy together, leaving out those that are empty.
func join(parts ...string) string {
	var some []string
	for _, p := range parts {
		if p != "" {
			some = append(some, p)
		}
	}
	return strings.Join(some, " ")
}

// at names a place within a sentence.
func at(p survey.Place) string {
	if p.Line == 0 {
		return p.File
	}
	return fmt.Sprintf("%s:%d", p.File, p.Line)
}

// plain reports whether the text is printable ASCII, as nearly every cell is.
func plain(s string) bool {
	for i := range len(s) {
		if c := s[i]; c < 0x20 || c >= 0x7f {
			return false
		}
	}
	return true
}

// unreadable says what keeps a cell from being text, or "".
func unreadable(s string) string {
	if strings.IndexByte(s, 0) >= 0 {
		return "holds a NUL byte"
	}
	if utf8.ValidString(s) {
		return ""
	}
	for i := 0; i < len(s); {
		r, size := utf8.DecodeRuneInString(s[i:])
		if r == utf8.RuneError && size == 1 {
			return fmt.Sprintf("is not UTF-8: byte %d of the cell is %#02x", i+1, s[i])
		}
		i += size
	}
	return ""
}
