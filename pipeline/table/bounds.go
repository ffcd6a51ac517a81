package table

import (
	"fmt"
	"slices"
	"strconv"

	"ashtally/pipeline/column"
)

// Conform reports whether the values of a batch are such as the given columns
// may hold: numbers and dates within their bounds, of the words one that is
// known, and something wherever a row must have it. The reader of sheets lets no
// others through, but a file may not have come from it.
func (b Batch) Conform(fields []column.Field) error {
	for _, f := range fields {
		if row := b.gap(f); row >= 0 {
			return fmt.Errorf("row %d has nothing in the column %q, where every survey has something", row+1, f.Name)
		}
		if row, value := b.stray(f); row >= 0 {
			return fmt.Errorf("row %d has %s in the column %q, where no survey has it", row+1, value, f.Name)
		}
	}
	return nil
}

// gap returns the first row without a text where every row must have one, -1
// for none. Of other forms the schema lets no row be without a value.
func (b Batch) gap(f column.Field) int {
	if !f.Required || kindOf(f.Form) != texts {
		return -1
	}
	values := b.Texts(f.Name)
	for i := range values.Len() {
		if values.At(i) == "" {
			return i
		}
	}
	return -1
}

// isFire reports whether a text is a year, or a date, within bounds.
func isFire(text string, years column.Bounds) bool {
	if len(text) != len("2031") {
		d, err := column.ParseDate(text)
		return err == nil && years.Hold(float64(d.Year()))
	}
	year, err := strconv.ParseUint(text, 10, 16)
	return err == nil && years.Hold(float64(year))
}

// stray returns the first row whose value the column may not hold, -1 for none.
func (b Batch) stray(f column.Field) (row int, value string) {
	switch f.Form {
	case column.Number:
		values := b.Floats(f.Name)
		for i := range values.Len() {
			if v := values.At(i); v.Known && !f.Bounds.Hold(v.Value) {
				return i, fmt.Sprint(v.Value)
			}
		}
	case column.Whole:
		values := b.Ints(f.Name)
		for i := range values.Len() {
			if v := values.At(i); v.Known && !f.Bounds.Hold(float64(v.Value)) {
				return i, fmt.Sprint(v.Value)
			}
		}
	case column.Day:
		values := b.Dates(f.Name)
		for i := range values.Len() {
			if v := values.At(i); v.Known() && !f.Bounds.Hold(float64(v.Year())) {
				return i, v.String()
			}
		}
	case column.Fire:
		values := b.Texts(f.Name)
		for i := range values.Len() {
			if v := values.At(i); v != "" && !isFire(v, f.Bounds) {
				return i, fmt.Sprintf("%q", v)
			}
		}
	case column.Choice:
		values := b.Texts(f.Name)
		for i := range values.Len() {
			if v := values.At(i); v != "" && !slices.ContainsFunc(f.Words, func(w column.Word) bool { return w.Text == v }) {
				return i, fmt.Sprintf("%q", v)
			}
		}
	}
	return -1, ""
}
