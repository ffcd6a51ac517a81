package archive

import (
	"errors"
	"io"
	"strings"
	"testing"

	"github.com/apache/arrow/go/v15/parquet/pqarrow"
)

// shortRecords end before the rows of their group do, as those of a group with a column
// that is too short.
type shortRecords struct {
	pqarrow.RecordReader
	err error
}

func (shortRecords) Next() bool   { return false }
func (r shortRecords) Err() error { return r.err }

// TestMissingRows: a group that ends early is told of, by what the library says of it
// or, where it says nothing, by the number of rows.
func TestMissingRows(t *testing.T) {
	broken := errors.New("a page is broken")
	for _, c := range []struct{ err, fault error }{{nil, nil}, {io.EOF, nil}, {broken, broken}} {
		g := rowGroups{left: 3, records: shortRecords{err: c.err}}
		err := g.advance()
		if err == nil || !strings.Contains(err.Error(), "3 rows are missing") || err == io.EOF {
			t.Errorf("after %v: %v", c.err, err)
		}
		if fault := g.fault(); fault != c.fault {
			t.Errorf("after %v the fault is %v, want %v", c.err, fault, c.fault)
		}
	}
	g := rowGroups{}
	if err := g.advance(); err != io.EOF {
		t.Errorf("without groups: %v", err)
	}
}
