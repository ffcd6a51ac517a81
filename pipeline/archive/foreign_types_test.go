package archive_test

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
	"github.com/apache/arrow/go/v15/arrow/memory"
	"github.com/apache/arrow/go/v15/parquet"
	"github.com/apache/arrow/go/v15/parquet/pqarrow"
	parquetgo "github.com/parquet-go/parquet-go"
)

// typed is a column of an Arrow type, with the values in JSON that stand in turn in it.
type typed struct {
	of     arrow.DataType
	values string
	want   string // the cells, or the type that is told as the one that cannot be read
	stored bool   // whether the Arrow schema goes with the file
}

var text = arrow.BinaryTypes.String

// readable is every type that can be read: the cells are the values.
var readable = []typed{
	{of: arrow.PrimitiveTypes.Int8, values: `-128, null, 127`, want: "-128||127"},
	{of: arrow.PrimitiveTypes.Int16, values: `-32768, null, 32767`, want: "-32768||32767"},
	{of: arrow.PrimitiveTypes.Int32, values: `-2147483648, null, 2147483647`, want: "-2147483648||2147483647"},
	{of: arrow.PrimitiveTypes.Int64, values: `-9007199254740993, null, 9223372036854775807`, want: "-9007199254740993||9223372036854775807"},
	{of: arrow.PrimitiveTypes.Uint8, values: `255, null, 0`, want: "255||0"},
	{of: arrow.PrimitiveTypes.Uint16, values: `65535, null, 0`, want: "65535||0"},
	{of: arrow.PrimitiveTypes.Uint32, values: `4294967295, null, 0`, want: "4294967295||0"},
	{of: arrow.PrimitiveTypes.Float32, values: `0.1, null, -16777216`, want: "0.1||-16777216"},
	{of: arrow.PrimitiveTypes.Float64, values: `0.1, null, 1e-7`, want: "0.1||1e-07"},
	{of: arrow.FixedWidthTypes.Boolean, values: `true, null, false`, want: "yes||no"},
	{of: arrow.FixedWidthTypes.Date32, values: `"2031-05-17", null, "1969-12-31"`, want: "2031-05-17||1969-12-31"},
	{of: text, values: `"ä, b", null, ""`, want: "ä, b||"},
	{of: arrow.BinaryTypes.LargeString, values: `"ä, b", null, "c"`, want: "ä, b||c"},
	{of: arrow.BinaryTypes.LargeString, values: `"ä, b", null, "c"`, want: "ä, b||c", stored: true},
	{of: &arrow.DictionaryType{IndexType: arrow.PrimitiveTypes.Int8, ValueType: text}, values: `"ash", null, "oak"`, want: "ash||oak"},
	{of: &arrow.Decimal128Type{Precision: 5, Scale: 2}, values: `"-0.05", null, "123.45"`, want: "-0.05||123.45"},
	{of: &arrow.Decimal128Type{Precision: 18, Scale: 3}, values: `"-1.234", null, "123456789012345.678"`, want: "-1.234||123456789012345.678"},
	{of: &arrow.Decimal128Type{Precision: 19, Scale: 0}, values: `"-1", null, "9223372036854775808"`, want: "-1||9223372036854775808"},
	{of: &arrow.Decimal128Type{Precision: 38, Scale: 1}, values: `"-1234567890123456789012345678901234567.8", null, "0.5"`,
		want: "-1234567890123456789012345678901234567.8||0.5"},
	{of: arrow.Null, values: `null, null, null`, want: "||"},
}

// unreadable is every other: its name is told.
var unreadable = []typed{
	{of: arrow.PrimitiveTypes.Uint64, values: `1`, want: "uint64"},
	{of: arrow.FixedWidthTypes.Float16, values: `1`, want: "float16"},
	{of: arrow.BinaryTypes.Binary, values: `"YQ=="`, want: "binary"},
	{of: arrow.BinaryTypes.LargeBinary, values: `"YQ=="`, want: "binary", stored: true},
	{of: &arrow.FixedSizeBinaryType{ByteWidth: 1}, values: `"YQ=="`, want: "fixed_size_binary[1]"},
	{of: &arrow.DictionaryType{IndexType: arrow.PrimitiveTypes.Int8, ValueType: text}, values: `"ash"`,
		want: "dictionary<values=utf8, indices=int8, ordered=false>", stored: true},
	{of: &arrow.Decimal256Type{Precision: 50, Scale: 2}, values: `"1.25"`, want: "decimal256(50, 2)"},
	{of: &arrow.Decimal256Type{Precision: 20, Scale: 2}, values: `"1.25"`, want: "decimal256(20, 2)", stored: true},
	{of: arrow.FixedWidthTypes.Time32ms, values: `"12:00:00"`, want: "time32[ms]"},
	{of: arrow.FixedWidthTypes.Time64us, values: `"12:00:00"`, want: "time64[us]"},
	{of: arrow.FixedWidthTypes.Time64ns, values: `"12:00:00"`, want: "time64[ns]"},
	{of: arrow.FixedWidthTypes.Date64, values: `"2031-05-17"`, want: "timestamp[ms, tz=UTC]"},
	{of: arrow.FixedWidthTypes.Timestamp_s, values: `"2031-05-17"`, want: "timestamp[ms, tz=UTC]"},
	{of: arrow.FixedWidthTypes.Timestamp_ms, values: `"2031-05-17"`, want: "timestamp[ms, tz=UTC]"},
	{of: arrow.FixedWidthTypes.Timestamp_us, values: `"2031-05-17"`, want: "timestamp[us, tz=UTC]"},
	{of: &arrow.TimestampType{Unit: arrow.Microsecond, TimeZone: "Asia/Tokyo"}, values: `"2031-05-17T00:00:00+09:00"`,
		want: "timestamp[us, tz=UTC]", stored: true},
	{of: arrow.FixedWidthTypes.Timestamp_ns, values: `"2031-05-17"`, want: "timestamp[ns, tz=UTC]"},
	{of: arrow.ListOf(text), values: `["ash"]`},
	{of: arrow.StructOf(arrow.Field{Name: "a", Type: text, Nullable: true}), values: `{"a": "ash"}`},
	{of: arrow.MapOf(text, text), values: `[{"key": "a", "value": "b"}]`},
}

// write writes the values over and over, by the writer of the Parquet library.
func (c typed) write(t *testing.T, times int, options ...parquet.WriterProperty) string {
	t.Helper()
	json := "[" + strings.TrimSuffix(strings.Repeat(c.values+",", times), ",") + "]"
	column, _, err := array.FromJSON(memory.DefaultAllocator, c.of, strings.NewReader(json), array.WithUseNumber())
	if err != nil {
		t.Fatalf("%s: %v", c.of, err)
	}
	schema := arrow.NewSchema([]arrow.Field{{Name: "x", Type: c.of, Nullable: column.NullN() > 0 || c.of.ID() == arrow.NULL}}, nil)
	arrowOptions := []pqarrow.WriterOption{pqarrow.WithDeprecatedInt96Timestamps(c.of == arrow.FixedWidthTypes.Timestamp_ns)}
	if c.stored {
		arrowOptions = append(arrowOptions, pqarrow.WithStoreSchema())
	}
	var out bytes.Buffer
	w, err := pqarrow.NewFileWriter(schema, &out, parquet.NewWriterProperties(options...), pqarrow.NewArrowWriterProperties(arrowOptions...))
	if err != nil {
		t.Fatalf("%s: %v", c.of, err)
	}
	if err := w.Write(array.NewRecord(schema, []arrow.Array{column}, -1)); err != nil {
		t.Fatalf("%s: %v", c.of, err)
	}
	if err := w.Close(); err != nil {
		t.Fatalf("%s: %v", c.of, err)
	}
	return onDisk(t, out.Bytes())
}

// TestForeignTypes reads every type that can be read, in several batches and row groups, by
// dictionary and without, in pages of both versions, with missing values and without.
func TestForeignTypes(t *testing.T) {
	for _, way := range []struct {
		times   int // that the values stand in a file: 2,100 are more rows than are decoded at once
		options []parquet.WriterProperty
	}{
		{20, nil},
		{20, []parquet.WriterProperty{parquet.WithDictionaryDefault(false), parquet.WithStats(false)}},
		{20, []parquet.WriterProperty{parquet.WithStoreDecimalAsInteger(true)}},
		{2100, []parquet.WriterProperty{parquet.WithDataPageVersion(parquet.DataPageV2), parquet.WithMaxRowGroupLength(5000), parquet.WithDataPageSize(1000)}},
	} {
		for _, c := range readable {
			required := c // the same without the row that has no value
			if c.of != arrow.Null {
				required.values = strings.Replace(c.values, ", null", "", 1)
				required.want = strings.Replace(c.want, "||", "|", 1)
			}
			for _, c := range []typed{c, required} {
				_, rows, err := readForeign(t, c.write(t, way.times, way.options...))
				want := slices.Repeat(strings.Split(c.want, "|"), way.times)
				if got := slices.Concat(rows...); err != nil || !slices.Equal(got, want) {
					t.Errorf("%s, %d times: %d cells of %d, %q, %v", c.of, way.times, len(got), len(want), got[:min(len(got), 3)], err)
				}
			}
		}
	}
}

func TestForeignTypesRefused(t *testing.T) {
	for _, c := range unreadable {
		_, _, err := readForeign(t, c.write(t, 10, parquet.WithVersion(parquet.V2_LATEST)))
		want := fmt.Sprintf("its column %q is of type %s, which no column here has", "x", c.want)
		if arrow.IsNested(c.of.ID()) {
			want = fmt.Sprintf("its column %q has lists or columns in it", "x")
		}
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", c.of, err, want)
		}
	}
}

// TestForeignTypesOfOthers reads what pqarrow does not write.
func TestForeignTypesOfOthers(t *testing.T) {
	for _, c := range []struct {
		of    parquetgo.Node
		value parquetgo.Value
		want  string // the cell in its row, or what is wrong
	}{
		{parquetgo.Decimal(2, 5, parquetgo.ByteArrayType), parquetgo.ByteArrayValue([]byte{0xff, 0x38}), "[[-2]]"},                        // -200 in two bytes
		{parquetgo.Decimal(2, 5, parquetgo.ByteArrayType), parquetgo.ByteArrayValue([]byte{1, 0, 0, 0, 0, 0, 0, 0, 0}), "[[1.8447e+17]]"}, // 2^64
		{parquetgo.Optional(parquetgo.Decimal(2, 5, parquetgo.ByteArrayType)), parquetgo.ByteArrayValue([]byte{0, 0xc8}).Level(0, 1, 0), "[[2]]"},
		{parquetgo.Optional(parquetgo.Decimal(2, 5, parquetgo.ByteArrayType)), parquetgo.NullValue().Level(0, 0, 0), "[[]]"},
		{parquetgo.Decimal(2, 5, parquetgo.ByteArrayType), parquetgo.ByteArrayValue(nil), "a decimal has 0 bytes"},
		{parquetgo.Decimal(2, 5, parquetgo.ByteArrayType), parquetgo.ByteArrayValue(make([]byte, 17)), "a decimal has 17 bytes"},
		{parquetgo.Encoded(parquetgo.String(), &parquetgo.DeltaByteArray), parquetgo.ByteArrayValue([]byte("ash")), "[[ash]]"},
		{parquetgo.Encoded(parquetgo.Int(64), &parquetgo.DeltaBinaryPacked), parquetgo.Int64Value(-7), "[[-7]]"},
		{parquetgo.Encoded(parquetgo.Leaf(parquetgo.DoubleType), &parquetgo.ByteStreamSplit), parquetgo.DoubleValue(1), "it cannot be decoded as Parquet"},
		{parquetgo.Enum(), parquetgo.ByteArrayValue([]byte("ash")), "is of type binary"},
		{parquetgo.JSON(), parquetgo.ByteArrayValue([]byte("{}")), "is of type binary"},
		{parquetgo.UUID(), parquetgo.FixedLenByteArrayValue(make([]byte, 16)), "is of type fixed_size_binary[16]"},
		{parquetgo.Repeated(parquetgo.Int(64)), parquetgo.Int64Value(1).Level(0, 1, 0), "has lists or columns in it"},
		{parquetgo.Group{"a": parquetgo.Int(64)}, parquetgo.Int64Value(1), "has lists or columns in it"},
	} {
		var out bytes.Buffer
		w := parquetgo.NewWriter(&out, parquetgo.NewSchema("rows", parquetgo.Group{"x": c.of}))
		if _, err := w.WriteRows([]parquetgo.Row{{c.value}}); err != nil {
			t.Fatal(err)
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		_, rows, err := readForeign(t, onDisk(t, out.Bytes()))
		if got := fmt.Sprint(rows, err); !strings.Contains(got, c.want) {
			t.Errorf("%s: %s, want %s", c.of, got, c.want)
		}
	}
}
