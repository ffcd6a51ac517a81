package table_test

import (
	"reflect"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
	"ashtally/pipeline/table/tabletest"
)

// TestScan takes finds to a batch and back.
func TestScan(t *testing.T) {
	want := tabletest.Finds(500)
	b := table.NewBuilder(survey.Finds, tabletest.FindsOptions())
	for i := range want {
		b.Append(&want[i])
	}
	batch := b.Flush()
	defer batch.Release()
	n := 0
	err := table.Scan(survey.Finds, batch, func(i int, got *survey.Find) error {
		got.Row = want[i].Row // where a row was read is no declared column
		if !reflect.DeepEqual(*got, plainly(want[i])) {
			t.Fatalf("row %d is %+v, want %+v", i, *got, want[i])
		}
		n++
		return nil
	})
	if err != nil || n != len(want) {
		t.Errorf("%d rows, %v", n, err)
	}
}

// plainly takes the values from what is not known: a column does not keep them.
func plainly(f survey.Find) survey.Find {
	for _, c := range survey.Finds.Columns {
		switch v := c.At(&f).(type) {
		case *column.Float:
			if !v.Known {
				*v = column.Float{}
			}
		case *column.Bool:
			if !v.Known {
				*v = column.Bool{}
			}
		}
	}
	return f
}
