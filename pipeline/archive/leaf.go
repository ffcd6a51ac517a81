package archive

import (
	"encoding/binary"
	"fmt"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
	"github.com/apache/arrow/go/v15/arrow/decimal128"
	"github.com/apache/arrow/go/v15/arrow/memory"
	"github.com/apache/arrow/go/v15/parquet"
	"github.com/apache/arrow/go/v15/parquet/file"
)

// leaf is a column of a row group that is being read: of a type that [table.Foreign] or a
// table has. Others are refused by their schema.
type leaf struct {
	of   arrow.DataType
	from records
}

// records is what reads values, their levels and pages.
type records interface {
	file.RecordReader
	Err() error
}

func openLeaf(in *file.Reader, group, column int, of arrow.DataType) (leaf, error) {
	descr := in.MetaData().Schema.Column(column)
	levels := file.LevelInfo{NullSlotUsage: 1}
	levels.Increment(descr.SchemaNode())
	pages, err := in.RowGroup(group).GetColumnPageReader(column)
	if err != nil {
		return leaf{}, err
	}
	from := file.NewRecordReader(descr, levels, of, memory.DefaultAllocator, in.BufferPool())
	from.SetPageReader(pages)
	return leaf{of, from.(records)}, nil
}

// next decodes so many rows, or what there is left of them.
func (l leaf) next(rows int64) (arrow.Array, error) {
	l.from.Reset()
	if err := l.from.Reserve(rows); err != nil {
		return nil, err
	}
	read := int64(0)
	for read < rows {
		n, err := l.from.ReadRecords(rows - read)
		if err != nil {
			return nil, err
		}
		if n == 0 {
			break
		}
		read += n
	}
	if err := l.from.Err(); err != nil {
		return nil, err
	}
	return l.array(int(read))
}

// array is what was decoded.
func (l leaf) array(rows int) (arrow.Array, error) {
	switch l.of.ID() {
	case arrow.NULL:
		return array.NewNull(rows), nil
	case arrow.STRING:
		return array.MakeFromData(l.bytes().Data()), nil
	case arrow.DECIMAL128:
		return l.decimals(rows)
	case arrow.BOOL: // a byte each
		packed := make([]byte, (rows+7)/8)
		for i, truth := range l.from.Values()[:rows] {
			if truth != 0 {
				packed[i/8] |= 1 << (i % 8)
			}
		}
		return l.numbers(rows, packed), nil
	case arrow.INT32, arrow.UINT32, arrow.INT64, arrow.FLOAT32, arrow.FLOAT64, arrow.DATE32: // as Arrow has them
		return l.numbers(rows, l.from.ReleaseValues().Bytes()), nil
	}
	return nil, fmt.Errorf("values of type %s are not read", l.of)
}

// bytes are values that are strings of bytes.
func (l leaf) bytes() arrow.Array { return l.from.(file.BinaryRecordReader).GetBuilderChunks()[0] }

// numbers are values of a fixed size.
func (l leaf) numbers(rows int, values []byte) arrow.Array {
	return l.arrayOf(rows, l.from.ReleaseValidBits(), int(l.from.NullCount()), values)
}

func (l leaf) arrayOf(rows int, valid *memory.Buffer, nulls int, values []byte) arrow.Array {
	data := array.NewData(l.of, rows, []*memory.Buffer{valid, memory.NewBufferBytes(values)}, nil, nulls, 0)
	defer data.Release()
	return array.MakeFromData(data)
}

// decimals are values without their point, in whole numbers or in bytes, the highest first.
func (l leaf) decimals(rows int) (arrow.Array, error) {
	out := make([]decimal128.Num, rows)
	switch l.from.Type() {
	case parquet.Types.Int32:
		for i, v := range arrow.Int32Traits.CastFromBytes(l.from.Values())[:rows] {
			out[i] = decimal128.FromI64(int64(v))
		}
	case parquet.Types.Int64:
		for i, v := range arrow.Int64Traits.CastFromBytes(l.from.Values())[:rows] {
			out[i] = decimal128.FromI64(v)
		}
	default:
		values := l.bytes()
		for i := range out {
			if values.IsNull(i) {
				continue
			}
			var err error
			if out[i], err = decimalOf(values.(interface{ Value(int) []byte }).Value(i)); err != nil {
				return nil, err
			}
		}
		return l.arrayOf(rows, values.Data().Buffers()[0], values.NullN(), arrow.Decimal128Traits.CastToBytes(out)), nil
	}
	return l.numbers(rows, arrow.Decimal128Traits.CastToBytes(out)), nil
}

// decimalOf is a number of up to 16 bytes in two's complement.
func decimalOf(b []byte) (decimal128.Num, error) {
	var all [16]byte
	if len(b) < 1 || len(b) > len(all) {
		return decimal128.Num{}, fmt.Errorf("a decimal has %d bytes, not 1 to %d", len(b), len(all))
	}
	if b[0]&0x80 != 0 {
		for i := range all {
			all[i] = 0xff
		}
	}
	copy(all[len(all)-len(b):], b)
	return decimal128.New(int64(binary.BigEndian.Uint64(all[:8])), binary.BigEndian.Uint64(all[8:])), nil
}
