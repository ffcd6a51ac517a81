package archive

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"strings"

	"ashtally/pipeline/table"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/decimal128"
	"github.com/apache/arrow/go/v15/arrow/ipc"
	"github.com/apache/arrow/go/v15/parquet"
	"github.com/apache/arrow/go/v15/parquet/metadata"
	"github.com/apache/arrow/go/v15/parquet/schema"
)

// Types of columns in Parquet and in Arrow are matched as the library's own package for
// it does, parquet/pqarrow. That would bring Arrow's compute kernels and gRPC into the
// command: 22 MB, and 80 of 275 processor seconds of a fresh build.

// schemaKey is the key of the Arrow schema among the metadata of a file.
const schemaKey = "ARROW:schema"

// stored is how values of the types that tables have are written.
var stored = map[arrow.Type]struct {
	physical parquet.Type
	logical  schema.LogicalType
}{
	arrow.BINARY:  {parquet.Types.ByteArray, schema.NoLogicalType{}},
	arrow.STRING:  {parquet.Types.ByteArray, schema.StringLogicalType{}},
	arrow.FLOAT64: {parquet.Types.Double, schema.NoLogicalType{}},
	arrow.INT64:   {parquet.Types.Int64, schema.NewIntLogicalType(64, true)},
	arrow.DATE32:  {parquet.Types.Int32, schema.DateLogicalType{}},
	arrow.BOOL:    {parquet.Types.Boolean, schema.NoLogicalType{}},
}

// parquetSchema is the schema of a table as its file has it.
func parquetSchema(s table.Schema, properties *parquet.WriterProperties) (*schema.Schema, error) {
	var nodes schema.FieldList
	for _, f := range s.Arrow().Fields() {
		repetition := parquet.Repetitions.Required
		if f.Nullable {
			repetition = parquet.Repetitions.Optional
		}
		as := stored[f.Type.ID()]
		nodes = append(nodes, schema.MustPrimitive(schema.NewPrimitiveNodeLogical(f.Name, repetition, as.logical, as.physical, -1, -1)))
	}
	root, err := schema.NewGroupNode(properties.RootName(), properties.RootRepetition(), nodes, -1)
	if err != nil {
		return nil, err
	}
	return schema.NewSchema(root), nil
}

// arrowSchema is the schema of a file in Arrow, with the metadata that its writer may have
// left with an Arrow schema of its own.
func arrowSchema(file *metadata.FileMetaData) (*arrow.Schema, error) {
	root := file.Schema.Root()
	fields := make([]arrow.Field, root.NumFields())
	for i := range fields {
		n, flat := root.Field(i).(*schema.PrimitiveNode)
		if !flat || n.RepetitionType() == parquet.Repetitions.Repeated {
			return nil, fmt.Errorf("its column %q has lists or columns in it, which no column here has; cast it to text", root.Field(i).Name())
		}
		fields[i] = arrow.Field{Name: n.Name(), Type: typeOf(n), Nullable: n.RepetitionType() == parquet.Repetitions.Optional}
	}
	own, err := ownSchema(file.KeyValueMetadata())
	if own == nil || err != nil || own.NumFields() != len(fields) {
		return arrow.NewSchema(fields, nil), err
	}
	for i, f := range own.Fields() {
		fields[i].Metadata = f.Metadata
		if has := fields[i].Type.ID(); f.Type.ID() == arrow.DICTIONARY && has == arrow.STRING || f.Type.ID() == arrow.DECIMAL256 && has == arrow.DECIMAL128 {
			fields[i].Type = f.Type
		}
	}
	all := own.Metadata()
	return arrow.NewSchema(fields, &all), nil
}

// ownSchema is the Arrow schema that its writer left in a file; nil for none.
func ownSchema(pairs metadata.KeyValueMetadata) (*arrow.Schema, error) {
	encoded := pairs.FindValue(schemaKey)
	if encoded == nil {
		return nil, nil
	}
	message, err := base64.RawStdEncoding.DecodeString(strings.TrimRight(*encoded, "="))
	if err != nil {
		return nil, err
	}
	r, err := ipc.NewReader(bytes.NewReader(message))
	if err != nil {
		return nil, err
	}
	defer r.Release()
	return r.Schema(), nil
}

// plainTypes are the types of values that have no logical type.
var plainTypes = map[parquet.Type]arrow.DataType{
	parquet.Types.Boolean:   arrow.FixedWidthTypes.Boolean,
	parquet.Types.Int32:     arrow.PrimitiveTypes.Int32,
	parquet.Types.Int64:     arrow.PrimitiveTypes.Int64,
	parquet.Types.Int96:     arrow.FixedWidthTypes.Timestamp_ns,
	parquet.Types.Float:     arrow.PrimitiveTypes.Float32,
	parquet.Types.Double:    arrow.PrimitiveTypes.Float64,
	parquet.Types.ByteArray: arrow.BinaryTypes.Binary,
}

// typeOf is the type of a column. Whole numbers of 8 and of 16 bits have the 32 that they
// fill in the file.
func typeOf(n *schema.PrimitiveNode) arrow.DataType {
	switch l := n.LogicalType().(type) {
	case schema.NullLogicalType, schema.UnknownLogicalType:
		return arrow.Null
	case schema.StringLogicalType:
		return arrow.BinaryTypes.String
	case schema.DateLogicalType:
		return arrow.FixedWidthTypes.Date32
	case schema.Float16LogicalType:
		return arrow.FixedWidthTypes.Float16
	case *schema.IntLogicalType:
		switch {
		case l.BitWidth() == 64 && !l.IsSigned():
			return arrow.PrimitiveTypes.Uint64
		case l.BitWidth() == 32 && !l.IsSigned():
			return arrow.PrimitiveTypes.Uint32
		}
	case *schema.DecimalLogicalType:
		if l.Precision() > decimal128.MaxPrecision {
			return &arrow.Decimal256Type{Precision: l.Precision(), Scale: l.Scale()}
		}
		return &arrow.Decimal128Type{Precision: l.Precision(), Scale: l.Scale()}
	case *schema.TimeLogicalType:
		if n.PhysicalType() == parquet.Types.Int32 {
			return arrow.FixedWidthTypes.Time32ms
		}
		return &arrow.Time64Type{Unit: unitOf(l.TimeUnit())}
	case *schema.TimestampLogicalType:
		return &arrow.TimestampType{Unit: unitOf(l.TimeUnit()), TimeZone: "UTC"}
	}
	if t, ok := plainTypes[n.PhysicalType()]; ok {
		return t
	}
	return &arrow.FixedSizeBinaryType{ByteWidth: n.TypeLength()}
}

// unitOf is a unit of time: both count them, Arrow from seconds, Parquet from milliseconds.
func unitOf(u schema.TimeUnitType) arrow.TimeUnit {
	return arrow.Millisecond + arrow.TimeUnit(u-schema.TimeUnitMillis)
}
