// Package column says once what a column of a table is: its name, unit,
// meaning and bounds, and where its value sits in a row. The reader of CSV
// files, the Arrow schema, the written results and the documentation all work
// from the same declaration.
//
// The package is the lowest of the pipeline and imports nothing of it.
package column

import "math"

// Field describes a column without saying whose it is.
type Field struct {
	// Name is the column's header, in lower case, ending in its unit if it has one.
	Name string
	// Unit is the unit the value is stored in: "m", "m2", "ha", "g", "percent",
	// "deg", "fruit bodies", or "" for a column without one.
	Unit string
	// About says in one sentence what the column holds.
	About string
	// Form says how the text of a cell is read and checked.
	Form Form
	// Required columns must be in the header, and their cells may not be empty.
	Required bool
	// Default is what an empty or missing cell is read as; "" leaves it unknown.
	Default string
	// Words are the texts a Word column accepts; other forms ignore them.
	Words []Word
	// Bounds hold the value of a Number or Whole column, and the year of a Day
	// or Fire column.
	Bounds Bounds
}

// Word is one text that a column accepts, with other spellings read as it.
type Word struct {
	Text  string
	Spelt []string // other accepted spellings, in lower case
}

// Yes and No are the spellings, in lower case, that are read as yes and as no in
// every column that has them.
var (
	Yes = []string{"yes", "y", "true", "1"}
	No  = []string{"no", "n", "false", "0"}
)

// Bounds is a range of allowed values. The zero value allows every finite number.
type Bounds struct {
	Set      bool    // whether the range applies at all
	Min, Max float64 // ends of the range; Max may be +Inf
	Above    bool    // whether Min itself is outside the range
	// Least is the resolution of a range around or from 0: a value nearer to 0
	// than this is outside, unless it is 0. No measurement is finer.
	Least float64
}

// Hold reports whether a value is finite and within the range.
func (b Bounds) Hold(v float64) bool {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return false
	}
	return !b.Set || v >= b.Min && v <= b.Max && !(b.Above && v == b.Min) && (v == 0 || math.Abs(v) >= b.Least)
}

// Form is the way a cell's text is read.
type Form int

// The forms of a column, each with the type that its place in a row points to.
const (
	Text   Form = iota // any text, trimmed: *string
	ID                 // text that names a row, compared as it is written: *string
	Number             // a finite decimal number: *Float
	Whole              // a whole number: *Int
	Day                // an ISO 8601 calendar date: *Date
	Fire               // an ISO 8601 date or a year, kept as text: *string
	Truth              // yes or no: *Bool
	List               // texts divided by ";", kept as one normalised text: *string
	Choice             // one of Words: *string
	Binary             // bytes of another format, in files that are exported: *[]byte
)

// Column is a Field and its place in a row of type R. At returns a pointer
// into the row, of the type that the Form names; reading and writing go
// through the same pointer, so that neither can disagree with the other.
type Column[R any] struct {
	Field
	At func(*R) any
}

// Table is the ordered columns of one kind of row.
type Table[R any] struct {
	Name    string // "finds": the file's, the archive's and the result's base name
	About   string // one sentence: what one row is
	Columns []Column[R]
}

// Fields returns the descriptions of the table's columns, in order.
func (t Table[R]) Fields() []Field {
	fields := make([]Field, len(t.Columns))
	for i, c := range t.Columns {
		fields[i] = c.Field
	}
	return fields
}
