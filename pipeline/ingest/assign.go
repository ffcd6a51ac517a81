package ingest

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"ashtally/pipeline/column"
	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

// assign puts a decoded TOML value where a setting lives, or says why it
// cannot stand there; the setting then keeps what it had.
func assign(to, value any, k survey.Key) (problem string) {
	switch p := to.(type) {
	case *string:
		return put(p, k, value, asText)
	case *[]string:
		return put(p, k, value, asNames)
	case *[]float64:
		return put(p, k, value, asNumbers)
	case *survey.Range:
		return put(p, k, value, asRange)
	case *column.Date:
		return put(p, k, value, asDate)
	case *float64:
		return put(p, k, value, asNumber)
	case *uint64:
		if n, ok := value.(int64); ok && n < 0 {
			return phrase.Outside(strconv.FormatInt(n, 10), float64(n), k.Bounds, "")
		}
		return put(p, k, value, asCount)
	case *int:
		return put(p, k, value, asWhole)
	}
	panic(fmt.Sprintf("ingest: setting %s has a type that cannot be read, %T", k.Path(), to))
}

// put converts a value and holds it to what the key allows.
func put[T any](to *T, k survey.Key, value any, convert func(value any, words []string) (T, string)) string {
	v, problem := convert(value, k.Words)
	if problem == "" {
		problem = k.Problem(&v)
	}
	if problem == "" {
		*to = v
	}
	return problem
}

// asWord trims a text, and spells it as the words do.
func asWord(text string, words []string) string {
	text = strings.TrimSpace(text)
	if i := slices.IndexFunc(words, func(w string) bool { return strings.EqualFold(w, text) }); i >= 0 {
		return words[i]
	}
	return text
}

func asText(value any, words []string) (string, string) {
	text, ok := value.(string)
	if !ok {
		return "", "is " + kindOf(value) + ", not a text in quotes"
	}
	return asWord(text, words), ""
}

func asNames(value any, words []string) ([]string, string) {
	list, ok := value.([]any)
	if !ok {
		return nil, "is " + kindOf(value) + `, not a list like ["one", "two"]`
	}
	names := make([]string, len(list))
	for i, v := range list {
		text, ok := v.(string)
		if !ok {
			return nil, "holds " + kindOf(v) + ", not only texts in quotes"
		}
		names[i] = asWord(text, words)
	}
	return names, ""
}

func asNumbers(value any, _ []string) ([]float64, string) {
	list, ok := value.([]any)
	if !ok {
		return nil, "is " + kindOf(value) + ", not a list like [0, 1, 2]"
	}
	numbers := make([]float64, len(list))
	for i, v := range list {
		n, problem := asNumber(v, nil)
		if problem != "" {
			return nil, "holds " + kindOf(v) + ", not only numbers"
		}
		numbers[i] = n
	}
	return numbers, ""
}

func asDate(value any, _ []string) (column.Date, string) {
	text, ok := value.(string)
	if d, isDate := value.(toml.LocalDate); isDate {
		text, ok = d.String(), true
	}
	if !ok {
		return column.Date{}, "is " + kindOf(value) + ", not a date like 2031-05-17"
	}
	d, err := column.ParseDate(text)
	if err != nil {
		return column.Date{}, phrase.Quote(text) + " is not a date of the form YYYY-MM-DD"
	}
	return d, ""
}

func asNumber(value any, _ []string) (float64, string) {
	switch v := value.(type) {
	case float64:
		return v, ""
	case int64:
		return float64(v), ""
	}
	return 0, "is " + kindOf(value) + ", not a number"
}

// asRange reads a number, or a list of two.
func asRange(value any, _ []string) (survey.Range, string) {
	numbers, problem := asNumbers(value, nil)
	if n, notNumber := asNumber(value, nil); notNumber == "" {
		numbers, problem = []float64{n}, ""
	}
	if problem != "" {
		return survey.Range{}, "is " + kindOf(value) + ", not a number or a list of two like [7, 14]"
	}
	r, err := survey.NewRange(numbers...)
	if err != nil {
		return survey.Range{}, err.Error()
	}
	return r, ""
}

func asWhole(value any, _ []string) (int, string) {
	n, ok := value.(int64)
	if !ok || int64(int(n)) != n {
		return 0, "is " + kindOf(value) + ", not a whole number"
	}
	return int(n), ""
}

// asCount reads a whole number from 0.
func asCount(value any, _ []string) (uint64, string) {
	n, ok := value.(int64)
	if !ok {
		return 0, "is " + kindOf(value) + ", not a whole number"
	}
	return uint64(n), ""
}
