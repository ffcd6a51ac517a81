package table

import (
	"fmt"
	"slices"

	"ashtally/pipeline/column"
)

// Conform reports whether the values of a batch are such as the given columns
// may hold: numbers within their bounds, and of the words one that is known. The
// reader of sheets lets no others through, but a file may not have come from it.
func (b Batch) Conform(fields []column.Field) error {
	for _, f := range fields {
		if row, value := b.stray(f); row >= 0 {
			return fmt.Errorf("row %d has %s in the column %q, where no survey has it", row+1, value, f.Name)
		}
	}
	return nil
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
