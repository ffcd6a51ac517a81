package page

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"ashtally/pipeline/survey"
)

// What comes from the data may be any text: the templates escape its markup, and
// the functions here keep it from turning the direction of a line, breaking it,
// or filling a page.

const (
	longestName = 64  // runes of a name; both ends tell long names apart
	nameTail    = 20  // runes kept of the end of a name that is too long
	longestText = 600 // runes of a sentence that holds names
)

// printable makes a name from the data fit to stand in a line.
func printable(s string) string {
	s = survey.Printable(s)
	if strings.TrimSpace(s) == "" {
		return "(no name)"
	}
	if n := utf8.RuneCountInString(s); n > longestName {
		runes := []rune(s)
		s = string(runes[:longestName-nameTail-1]) + "…" + string(runes[n-nameTail:])
	}
	return isolate(s)
}

// sentence makes a sentence that may hold names fit to be printed: it begins
// with a capital letter and ends with a full stop.
func sentence(s string) string {
	s = strings.TrimSpace(survey.Printable(s))
	if utf8.RuneCountInString(s) > longestText {
		s = string([]rune(s)[:longestText]) + "…"
	}
	if s != "" && !strings.HasSuffix(s, ".") && !strings.HasSuffix(s, "…") {
		s += "."
	}
	return isolate(capital(s))
}

// capital makes the first letter a capital one.
func capital(s string) string {
	r, size := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[size:]
}

// uncapital makes the first letter a small one.
func uncapital(s string) string {
	r, size := utf8.DecodeRuneInString(s)
	return string(unicode.ToLower(r)) + s[size:]
}

// isolate keeps text that runs from right to left from reordering what stands
// beside it. Printable text holds no such mark of its own.
func isolate(s string) string {
	const first, pop = "\u2068", "\u2069"
	if strings.IndexFunc(s, rightToLeft) < 0 {
		return s
	}
	return first + s + pop
}

// rightToLeft reports whether r may be of a script that runs from right to
// left: the Unicode blocks from Hebrew to Arabic Extended-A, their presentation
// forms, and the blocks set aside for such scripts in the supplementary plane.
func rightToLeft(r rune) bool {
	switch {
	case r >= 0x0590 && r <= 0x08FF, r >= 0xFB1D && r <= 0xFDFF, r >= 0xFE70 && r <= 0xFEFF,
		r >= 0x10800 && r <= 0x10FFF, r >= 0x1E800 && r <= 0x1EFFF:
		return true
	}
	return false
}
