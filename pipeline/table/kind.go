package table

import (
	"fmt"

	"ashtally/pipeline/column"

	"github.com/apache/arrow/go/v15/arrow"
)

// kind is what a column's values are once they are in Arrow.
type kind int

const (
	texts kind = iota
	floats
	ints
	dates
	bools
	blobs // written to files of other formats, and never read back
)

func (k kind) String() string {
	return [...]string{"text", "numbers", "whole numbers", "dates", "yes or no", "bytes"}[k]
}

func kindOf(form column.Form) kind {
	switch form {
	case column.Text, column.ID, column.Fire, column.List, column.Choice:
		return texts
	case column.Number:
		return floats
	case column.Whole:
		return ints
	case column.Day:
		return dates
	case column.Truth:
		return bools
	case column.Binary:
		return blobs
	}
	panic(fmt.Sprintf("table: no Arrow type for form %d", form))
}

// form returns the plainest form of a column of the kind.
func (k kind) form() column.Form {
	return [...]column.Form{column.Text, column.Number, column.Whole, column.Day, column.Truth, column.Binary}[k]
}

func (k kind) arrow() arrow.DataType {
	return [...]arrow.DataType{
		arrow.BinaryTypes.String,
		arrow.PrimitiveTypes.Float64,
		arrow.PrimitiveTypes.Int64,
		arrow.FixedWidthTypes.Date32,
		arrow.FixedWidthTypes.Boolean,
		arrow.BinaryTypes.Binary,
	}[k]
}

func kindOfArrow(t arrow.DataType) (k kind, known bool) {
	for k := texts; k <= bools; k++ {
		if arrow.TypeEqual(t, k.arrow()) {
			return k, true
		}
	}
	return texts, false
}
