package table

import (
	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
)

// Raw is a column as Arrow holds it, for the package that writes files. What stands
// where a row has no value is left open. None of it may be changed.
type Raw struct {
	Rows, Nulls int
	Valid       []byte // a bit for each row from bit First on, the lowest of a byte first; nil where no value is missing
	First       int

	// One of these is set, by the kind of the column.
	Ends    []int32 // text i stands in Texts from Ends[i] to Ends[i+1]
	Texts   []byte
	Numbers []uint64 // the bits of numbers, whole ones or not
	Days    []uint32
}

// Known reports whether row i has a value.
func (r *Raw) Known(i int) bool {
	i += r.First
	return r.Valid == nil || r.Valid[i>>3]>>(i&7)&1 == 1
}

// Raw returns column i as Arrow holds it; of one of truths, which values are known.
func (b Batch) Raw(i int) Raw {
	column := b.record.Column(i)
	r := Raw{Rows: column.Len(), Nulls: column.NullN(), First: column.Data().Offset()}
	if r.Nulls > 0 {
		r.Valid = column.NullBitmapBytes()
	}
	switch a := column.(type) {
	case *array.String:
		r.Ends, r.Texts = a.ValueOffsets(), textsOf(a)
	case *array.Binary:
		r.Ends, r.Texts = a.ValueOffsets(), textsOf(a)
	case *array.Float64:
		r.Numbers = arrow.Uint64Traits.CastFromBytes(arrow.Float64Traits.CastToBytes(a.Float64Values()))
	case *array.Int64:
		r.Numbers = arrow.Uint64Traits.CastFromBytes(arrow.Int64Traits.CastToBytes(a.Int64Values()))
	case *array.Date32:
		r.Days = arrow.Uint32Traits.CastFromBytes(arrow.Date32Traits.CastToBytes(a.Date32Values()))
	}
	return r
}

func textsOf(a arrow.Array) []byte {
	if b := a.Data().Buffers()[2]; b != nil {
		return b.Bytes()
	}
	return nil
}
