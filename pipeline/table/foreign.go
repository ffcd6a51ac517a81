package table

import (
	"fmt"
	"strconv"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
	"github.com/apache/arrow/go/v15/arrow/memory"
)

// Foreign hands the cells of a record that another program wrote, row by row, to
// take, as a CSV of this program has them: what is not known is empty. The cells
// are good until take returns.
//
// Whole numbers, numbers of either width, dates, truths and texts can be read;
// [ForeignColumns] says so of a schema beforehand.
func Foreign(record arrow.Record, take func(cells []string) error) error {
	var print []func(row int) string
	for _, c := range record.Columns() {
		print = append(print, foreignCell(c))
	}
	cells := make([]string, len(print))
	for row := range int(record.NumRows()) {
		for i, cell := range print {
			cells[i] = cell(row)
		}
		if err := take(cells); err != nil {
			return err
		}
	}
	return nil
}

// ForeignColumns names the columns that [Foreign] gives the cells of. It is an error
// for one to be of a type that no cell can be read from.
func ForeignColumns(s *arrow.Schema) ([]string, error) {
	var names []string
	for _, f := range s.Fields() {
		empty := array.MakeArrayOfNull(memory.DefaultAllocator, f.Type, 0)
		known := foreignCell(empty) != nil
		empty.Release()
		if !known {
			return nil, fmt.Errorf("its column %q is of type %s, which no column here has; cast it to text, a whole number, a number, a date or a truth", f.Name, f.Type)
		}
		names = append(names, f.Name)
	}
	return names, nil
}

// IsPlace reports whether a column of that name says where a row was read. That of
// another program's file is left out: the file is where its rows are read now.
func IsPlace(name string) bool { return name == SourceFile || name == SourceLine }

// foreignCell returns what gives the cell of a row as text; nil for a type that no
// column of this program can be read from.
func foreignCell(column arrow.Array) func(row int) string {
	switch a := column.(type) {
	case *array.String:
		return func(row int) string { return Texts{a}.At(row) }
	case *array.Int32:
		return wholeCell(a)
	case *array.Uint32:
		return wholeCell(a)
	case *array.Float32:
		return validCell(a, func(row int) string { return strconv.FormatFloat(float64(a.Value(row)), 'f', -1, 32) })
	case *array.Decimal128:
		return validCell(a, a.ValueStr)
	case *array.Null:
		return func(int) string { return "" }
	}
	if print := printer(column); print != nil {
		var text []byte
		return func(row int) string { text = print(text[:0], row); return string(text) }
	}
	return nil
}

func validCell(a interface{ IsValid(int) bool }, text func(row int) string) func(row int) string {
	return func(row int) string {
		if !a.IsValid(row) {
			return ""
		}
		return text(row)
	}
}

func wholeCell[N int32 | uint32](a interface {
	IsValid(int) bool
	Value(int) N
}) func(row int) string {
	return validCell(a, func(row int) string { return strconv.FormatInt(int64(a.Value(row)), 10) })
}
