package ingest

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
)

// assign puts a decoded TOML value where a setting lives, or says why it
// cannot stand there; the setting then keeps its default.
func assign(to, value any, k survey.Key) (problem string) {
	switch p := to.(type) {
	case *string:
		return assignText(p, value, k.Words)
	case *[]string:
		return assignList(p, value, k.Words)
	case *[]float64:
		return assignNumbers(p, value, k.Bounds)
	case *column.Date:
		return assignDate(p, value)
	case *float64:
		v, problem := number(value, k.Bounds)
		if problem == "" {
			*p = v
		}
		return problem
	case *uint64:
		v, problem := whole(value, k.Bounds)
		if problem == "" {
			*p = uint64(v)
		}
		return problem
	case *int:
		v, problem := whole(value, k.Bounds)
		if problem == "" {
			*p = int(v)
		}
		return problem
	}
	panic(fmt.Sprintf("ingest: setting %s has a type that cannot be read, %T", k.Path(), to))
}

func assignText(p *string, value any, words []string) string {
	text, ok := value.(string)
	if !ok {
		return "is " + kindOf(value) + ", not a text in quotes"
	}
	text = strings.TrimSpace(text)
	if words == nil {
		*p = text
		return ""
	}
	i := slices.IndexFunc(words, func(w string) bool { return strings.EqualFold(w, text) })
	if i < 0 {
		return quote(text) + " is not " + either(words)
	}
	*p = words[i]
	return ""
}

func assignNumbers(p *[]float64, value any, b column.Bounds) string {
	list, ok := value.([]any)
	if !ok {
		return "is " + kindOf(value) + ", not a list like [0, 1, 2]"
	}
	numbers := make([]float64, 0, len(list))
	for _, v := range list {
		_, real := v.(float64)
		if _, integral := v.(int64); !real && !integral {
			return "holds " + kindOf(v) + ", not only numbers"
		}
		n, problem := number(v, b)
		if problem != "" {
			return "holds a number that cannot be: " + problem
		}
		numbers = append(numbers, n)
	}
	*p = numbers
	return ""
}

func assignList(p *[]string, value any, words []string) string {
	list, ok := value.([]any)
	if !ok {
		return "is " + kindOf(value) + `, not a list like ["one", "two"]`
	}
	names := make([]string, 0, len(list))
	for _, v := range list {
		text, ok := v.(string)
		if !ok {
			return "holds " + kindOf(v) + ", not only texts in quotes"
		}
		if text = strings.TrimSpace(text); text == "" {
			return "holds an empty name"
		}
		if words != nil {
			i := slices.IndexFunc(words, func(w string) bool { return strings.EqualFold(w, text) })
			if i < 0 {
				return "holds " + quote(text) + ", which is not " + either(words)
			}
			text = words[i]
		}
		if words != nil && slices.Contains(names, text) {
			return "names " + quote(text) + " twice"
		}
		names = append(names, text)
	}
	*p = names
	return ""
}

func assignDate(p *column.Date, value any) string {
	text, ok := value.(string)
	if d, isDate := value.(toml.LocalDate); isDate {
		text, ok = d.String(), true
	}
	if !ok {
		return "is " + kindOf(value) + ", not a date like 2031-05-17"
	}
	d, err := column.ParseDate(text)
	if err != nil {
		return quote(text) + " is not a date of the form YYYY-MM-DD"
	}
	*p = d
	return ""
}

func number(value any, b column.Bounds) (float64, string) {
	v, ok := value.(float64)
	if n, isWhole := value.(int64); isWhole {
		v, ok = float64(n), true
	}
	if !ok {
		return 0, "is " + kindOf(value) + ", not a number"
	}
	if !b.Hold(v) {
		return 0, outside(decimal(v), v, b, "")
	}
	return v, ""
}

func whole(value any, b column.Bounds) (int64, string) {
	n, ok := value.(int64)
	if !ok {
		return 0, "is " + kindOf(value) + ", not a whole number"
	}
	if !b.Hold(float64(n)) {
		return 0, outside(strconv.FormatInt(n, 10), float64(n), b, "")
	}
	return n, ""
}

// outside says how a value that is not within its bounds breaks them. The text
// is how the value stands there, the unit that of the bounds.
func outside(text string, v float64, b column.Bounds, unit string) string {
	if unit != "" {
		unit = " " + unit
	}
	switch {
	case math.IsNaN(v) || math.IsInf(v, 0):
		return text + " is not a finite number"
	case b.Above && math.IsInf(b.Max, 1):
		return text + " is not above " + decimal(b.Min) + unit
	case math.IsInf(b.Max, 1):
		return text + " is below " + decimal(b.Min) + unit
	case v >= b.Min && v <= b.Max && math.Abs(v) < b.Least:
		return text + " is finer than " + decimal(b.Least) + unit + ", and not 0"
	}
	return text + " is not between " + decimal(b.Min) + " and " + decimal(b.Max) + unit
}

// decimal writes a number without an exponent where people would.
func decimal(v float64) string {
	if a := math.Abs(v); a >= 1e-5 && a < 1e15 || v == 0 {
		return strconv.FormatFloat(v, 'f', -1, 64)
	}
	return strconv.FormatFloat(v, 'g', -1, 64)
}
