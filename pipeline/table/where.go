package table

import (
	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
	"github.com/apache/arrow/go/v15/arrow/memory"
)

// Where returns the rows that are kept, in their order, as a batch of its own.
func (b Batch) Where(keep func(row int) bool) (Batch, error) {
	var from, to []int // of each run of rows that are kept
	n := 0
	for row := range b.Rows() {
		if !keep(row) {
			continue
		}
		if n++; len(to) > 0 && to[len(to)-1] == row {
			to[len(to)-1]++
			continue
		}
		from, to = append(from, row), append(to, row+1)
	}
	if n == 0 {
		return b.Slice(0, 0), nil
	}
	columns := make([]arrow.Array, b.record.NumCols())
	for i := range columns {
		column, err := joined(b.record.Column(i), from, to)
		if err != nil {
			return Batch{}, err
		}
		defer column.Release() // the record holds it
		columns[i] = column
	}
	return Batch{record: array.NewRecord(b.record.Schema(), columns, int64(n))}, nil
}

// joined is the runs of an array's values, one after another.
func joined(a arrow.Array, from, to []int) (arrow.Array, error) {
	runs := make([]arrow.Array, len(from))
	for i := range runs {
		runs[i] = array.NewSlice(a, int64(from[i]), int64(to[i]))
		defer runs[i].Release()
	}
	return array.Concatenate(runs, memory.DefaultAllocator)
}
