package table_test

import (
	"strings"
	"testing"

	"ashtally/pipeline/table"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
	"github.com/apache/arrow/go/v15/arrow/memory"
)

func TestFromArrowRefusesOtherTypes(t *testing.T) {
	for _, other := range []arrow.DataType{
		arrow.PrimitiveTypes.Int32, arrow.PrimitiveTypes.Float32, arrow.BinaryTypes.Binary, arrow.BinaryTypes.LargeString,
		arrow.FixedWidthTypes.Timestamp_ms, arrow.ListOf(arrow.BinaryTypes.String), arrow.Null,
	} {
		s := arrow.NewSchema([]arrow.Field{{Name: "x", Type: other}}, nil)
		if _, err := table.FromArrow(s); err == nil || !strings.HasPrefix(err.Error(), `column "x" is of Arrow type `) {
			t.Errorf("%s: %v", other, err)
		}
	}
}

// A file's format may add metadata of its own, which is nothing of the table.
func TestFromArrowLeavesOutForeignMetadata(t *testing.T) {
	field := arrow.NewMetadata([]string{"PARQUET:field_id", "unit"}, []string{"3", "m"})
	whole := arrow.NewMetadata([]string{"pandas", "table"}, []string{"{}", "sizes"})
	s, err := table.FromArrow(arrow.NewSchema([]arrow.Field{{Name: "x", Type: arrow.PrimitiveTypes.Float64, Metadata: field}}, &whole))
	if err != nil {
		t.Fatal(err)
	}
	if s.Name() != "sizes" || s.Fields()[0].Unit != "m" {
		t.Errorf("name %q, fields %v", s.Name(), s.Fields())
	}
	if got := s.Arrow().String(); strings.Contains(got, "PARQUET") || strings.Contains(got, "pandas") {
		t.Errorf("kept foreign metadata:\n%s", got)
	}
}

// record has one column, of whole numbers with a null.
func record(t *testing.T) arrow.Record {
	t.Helper()
	b := array.NewInt64Builder(memory.DefaultAllocator)
	b.Append(1)
	b.AppendNull()
	s := arrow.NewSchema([]arrow.Field{{Name: "x", Type: arrow.PrimitiveTypes.Int64, Nullable: true}}, nil)
	return array.NewRecord(s, []arrow.Array{b.NewArray()}, 2)
}

func TestFromRecordChecks(t *testing.T) {
	for _, c := range []struct {
		fields []arrow.Field
		fault  string // "" = none
	}{
		{[]arrow.Field{{Name: "x", Type: arrow.PrimitiveTypes.Int64, Nullable: true}}, ""},
		{[]arrow.Field{{Name: "x", Type: arrow.PrimitiveTypes.Int64}}, `column "x" of a batch has nulls`},
		{[]arrow.Field{{Name: "x", Type: arrow.PrimitiveTypes.Float64, Nullable: true}},
			`column "x" of a batch has 2 values of Arrow type int64, not 2 of float64`},
		{nil, "a batch has 1 columns, not 0"},
	} {
		s, err := table.FromArrow(arrow.NewSchema(c.fields, nil))
		if err != nil {
			t.Fatal(err)
		}
		b, err := table.FromRecord(s, record(t))
		if c.fault == "" {
			if err != nil || b.Rows() != 2 || b.Ints("x").At(0).Value != 1 || b.Ints("x").Known(1) {
				t.Errorf("the batch is not the record, error %v", err)
			}
			continue
		}
		if err == nil || err.Error() != c.fault {
			t.Errorf("%v: %v, want %q", c.fields, err, c.fault)
		}
	}
}
