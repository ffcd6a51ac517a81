package ingest

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"ashtally/pipeline/column"
	"ashtally/pipeline/phrase"
)

// maxCell is the longest text of a cell, in bytes: a page of notes.
const maxCell = 64 << 10

// setter reads the trimmed text of a cell that is not empty into a row, or
// says what is wrong with it and leaves the value unknown.
type setter func(text string) (problem, remedy string)

// cellRules are what the reading of a cell depends on beside its column.
type cellRules struct {
	conversion conversion
	marks      *marks
	line       *int64 // of the row being read
}

// newSetter returns the setter of a column; to is where its value lives.
func newSetter(f column.Field, to any, r cellRules) setter {
	switch f.Form {
	case column.Text, column.ID:
		return setText(to.(*string))
	case column.Number:
		return setNumber(to.(*column.Float), f, r.conversion, r.marks, r.line)
	case column.Whole:
		return setWhole(to.(*column.Int), f, r.marks)
	case column.Day:
		return setDay(to.(*column.Date), f.Bounds)
	case column.Fire:
		return setFire(to.(*string), f.Bounds)
	case column.Truth:
		return setTruth(to.(*column.Bool))
	case column.List:
		return setList(to.(*string))
	case column.Choice:
		return setChoice(to.(*string), f.Words)
	}
	panic(fmt.Sprintf("ingest: column %s has a form that cannot be read, %d", f.Name, f.Form))
}

// newBlank returns what an empty or missing cell does: it gives the column's
// default, or leaves the value unknown.
func newBlank(f column.Field, to any, set setter) func() {
	if f.Default != "" {
		return func() { set(f.Default) }
	}
	switch p := to.(type) {
	case *string:
		return func() { *p = "" }
	case *column.Float:
		return func() { *p = column.Float{} }
	case *column.Int:
		return func() { *p = column.Int{} }
	case *column.Bool:
		return func() { *p = column.Bool{} }
	case *column.Date:
		return func() { *p = column.Date{} }
	}
	panic(fmt.Sprintf("ingest: column %s lives in a type that cannot be read, %T", f.Name, to))
}

// trim takes the spaces from both ends of a cell, among them those without a
// break and without a width, which a spreadsheet shows as nothing.
func trim(s string) string {
	if s == "" || isInk(s[0]) && isInk(s[len(s)-1]) {
		return s
	}
	return strings.TrimFunc(s, func(r rune) bool { return unicode.IsSpace(r) || r == '\u200b' || r == '\ufeff' })
}

func isInk(c byte) bool { return c > ' ' && c < 0x7f }

func setText(p *string) setter {
	return func(text string) (string, string) {
		*p = text
		return "", ""
	}
}

// maxCached is how many texts of a column are remembered with what they mean.
// A season has some dozens of days, a crew few sets of observers.
const maxCached = 1000

func setDay(p *column.Date, years column.Bounds) setter {
	known := map[string]column.Date{}
	return func(text string) (problem, remedy string) {
		var ok bool
		if *p, ok = known[text]; ok {
			return "", ""
		}
		d, err := column.ParseDate(text)
		if err != nil {
			return noDate(text)
		}
		if !years.Hold(float64(d.Year())) {
			return outsideYears(text, years)
		}
		if len(known) < maxCached {
			known[strings.Clone(text)] = d
		}
		*p = d
		return "", ""
	}
}

// outsideYears says that a day or year is none that a survey has.
func outsideYears(text string, years column.Bounds) (problem, remedy string) {
	return fmt.Sprintf("%s does not lie between the years %.0f and %.0f", phrase.Quote(text), years.Min, years.Max), "check the year"
}

// noDate says whether a text has the form of a date at least.
func noDate(text string) (problem, remedy string) {
	if hasShape(text, "dddd-dd-dd") {
		return phrase.Quote(text) + " is not a day of the calendar", "check the month and the day"
	}
	return phrase.Quote(text) + " is not a date of the form YYYY-MM-DD", "write the year, the month and the day, as in 2031-05-17"
}

// hasShape compares a text to a pattern in which d stands for a digit.
func hasShape(text, pattern string) bool {
	if len(text) != len(pattern) {
		return false
	}
	for i := range len(text) {
		isDigit := text[i] >= '0' && text[i] <= '9'
		if pattern[i] == 'd' != isDigit || !isDigit && text[i] != pattern[i] {
			return false
		}
	}
	return true
}

func setFire(p *string, years column.Bounds) setter {
	return func(text string) (problem, remedy string) {
		*p = ""
		if !hasShape(text, "dddd") || text == "0000" {
			if _, err := column.ParseDate(text); err != nil {
				problem, _ := noDate(text)
				return strings.Replace(problem, "a date of the form YYYY-MM-DD", "a year or a date of the form YYYY-MM-DD", 1),
					"write 2030 or 2030-08-14; leave it empty for unburned land"
			}
		}
		if year, _ := strconv.Atoi(text[:4]); !years.Hold(float64(year)) {
			return outsideYears(text, years)
		}
		*p = text
		return "", ""
	}
}

func setTruth(p *column.Bool) setter {
	return func(text string) (problem, remedy string) {
		*p = column.Bool{}
		switch lower := strings.ToLower(text); {
		case slices.Contains(column.Yes, lower):
			*p = column.Bool{Value: true, Known: true}
		case slices.Contains(column.No, lower):
			*p = column.Bool{Value: false, Known: true}
		default:
			return phrase.Quote(text) + " is neither yes nor no", "write yes or no, or leave the cell empty if it was not recorded"
		}
		return "", ""
	}
}

func setList(p *string) setter {
	known := map[string]string{}
	return func(text string) (problem, remedy string) {
		var ok bool
		if *p, ok = known[text]; ok {
			return "", ""
		}
		list, twice := normalList(text)
		if twice != "" {
			return "names " + phrase.Quote(twice) + " twice", "name each once"
		}
		if len(known) < maxCached {
			list = strings.Clone(list)
			known[strings.Clone(text)] = list
		}
		*p = list
		return "", ""
	}
}

// normalList writes a list without spaces and gaps, and returns a name that
// stands in it twice.
func normalList(text string) (list, twice string) {
	var names []string
	for name := range strings.SplitSeq(text, ";") {
		name = trim(name)
		if slices.Contains(names, name) {
			return "", name
		}
		if name != "" {
			names = append(names, name)
		}
	}
	return strings.Join(names, ";"), ""
}

func setChoice(p *string, words []column.Word) setter {
	return func(text string) (problem, remedy string) {
		for i := range words {
			if *p = words[i].Text; text == *p {
				return "", ""
			}
		}
		for _, w := range words {
			if *p = w.Text; strings.EqualFold(text, *p) || slices.Contains(w.Spelt, strings.ToLower(text)) {
				return "", ""
			}
		}
		*p = ""
		known := make([]string, len(words))
		for i, w := range words {
			known[i] = w.Text
		}
		return phrase.Quote(text) + " is not " + phrase.Either(known), meant(text, known)
	}
}
