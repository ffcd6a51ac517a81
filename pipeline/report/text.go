package report

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/survey"
)

// What comes from the data may be any text: the template escapes its markup,
// and the functions here keep it from turning the direction of a line,
// breaking it, or filling a page.

const (
	longestName = 64  // runes of a name in a table; both ends tell long names apart
	longestText = 600 // runes of a sentence that holds names
	nameTail    = 20  // runes kept of the end of a name that is too long
)

// name makes a name from the data fit to stand in a line.
func name(s string) string {
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

// words makes a sentence that may hold names fit to be printed.
func words(s string) string {
	s = survey.Printable(s)
	if utf8.RuneCountInString(s) > longestText {
		s = string([]rune(s)[:longestText]) + "…"
	}
	return isolate(s)
}

// isolate keeps text that runs from right to left from reordering what stands
// beside it. Text from the data holds no such mark of its own by now.
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

// names returns each name fit to be printed.
func names(list []string) []string {
	out := make([]string, len(list))
	for i, s := range list {
		out[i] = name(s)
	}
	return out
}

// and joins parts as a sentence does: "a, b and c".
func and(parts []string) string {
	if len(parts) < 2 {
		return strings.Join(parts, "")
	}
	last := len(parts) - 1
	return strings.Join(parts[:last], ", ") + " and " + parts[last]
}

// several writes n things: "1 plot", "201 plots".
func several(n int64, one, many string) string {
	if n == 1 {
		return "1" + noBreak + one
	}
	return count(n) + noBreak + many
}

// capital makes the first letter a capital one.
func capital(s string) string {
	r, size := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[size:]
}

// sentence begins s with a capital letter and ends it with a full stop.
func sentence(s string) string {
	s = capital(strings.TrimSpace(s))
	if s == "" || strings.HasSuffix(s, ".") {
		return s
	}
	return s + "."
}

// method is a way of searching, in words.
type method struct{ one, many string }

func methodOf(name string) method {
	switch name {
	case analyze.PlotMethod:
		return method{"plot", "plots"}
	case analyze.AdaptiveMethod:
		return method{"adaptive cluster plot", "adaptive cluster plots"}
	case analyze.AddedMethod:
		return method{"added plot", "added plots"}
	case analyze.StripMethod:
		return method{"strip transect", "strip transects"}
	case analyze.LineMethod:
		return method{"line transect", "line transects"}
	}
	return method{words(name) + " unit", words(name) + " units"}
}

// MethodName is a method as a figure's key names it.
func MethodName(method string) string {
	if method == analyze.AdaptiveMethod {
		return "adaptive cluster"
	}
	return method
}

// yearsInWords says a class of years since fire within a sentence.
func yearsInWords(years string) string {
	switch years {
	case analyze.All:
		return "all years"
	case analyze.Unburned:
		return "unburned"
	case "0":
		return "in the year of the fire"
	case "1":
		return "1" + noBreak + "year after fire"
	}
	return words(years) + noBreak + "years after fire"
}

// uncapital makes the first letter a small one.
func uncapital(s string) string {
	r, size := utf8.DecodeRuneInString(s)
	return string(unicode.ToLower(r)) + s[size:]
}
