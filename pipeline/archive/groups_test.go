package archive

import (
	"bytes"
	"io"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/table"
)

// TestRowsOfGroups: a group that holds fewer rows than it says, or more, is told of. The
// library ends a column without a word.
func TestRowsOfGroups(t *testing.T) {
	type row struct{ count column.Int }
	counts := column.Table[row]{Name: "counts", Columns: []column.Column[row]{
		{Field: column.Field{Name: "count", Form: column.Whole}, At: func(r *row) any { return &r.count }},
	}}
	b := table.FromRows(counts, make([]row, 100))
	for _, c := range []struct {
		further int
		batches int    // that are whole
		fault   string // after them
	}{
		{0, 3, "EOF"},
		{3, 2, `column "count": 3 rows are missing`},
		{50, 2, `column "count": 50 rows are missing`},
		{-3, 2, `column "count": there are too many rows`},
	} {
		var out bytes.Buffer
		e, err := newEncoder(&out, b.Schema())
		if err != nil {
			t.Fatal(err)
		}
		if err := e.write(b); err != nil {
			t.Fatal(err)
		}
		e.group.rows += c.further
		if err := e.close(); err != nil {
			t.Fatal(err)
		}
		var g rowGroups
		if err := g.open(bytes.NewReader(out.Bytes()), 40, func(string) bool { return false }); err != nil {
			t.Fatal(err)
		}
		batches := 0
		for err = g.advance(); err == nil; err = g.advance() {
			batches++
		}
		if batches != c.batches || !strings.Contains(err.Error(), c.fault) || c.further != 0 && err == io.EOF {
			t.Errorf("%d further rows: %v after %d batches", c.further, err, batches)
		}
	}
}
