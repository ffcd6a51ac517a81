package archive

import (
	"testing"

	"ashtally/pipeline/table"
)

// TestBoundsOutliveTheirBatch: the least and the greatest text of a page stay what they
// were when the memory that they came from holds another batch.
func TestBoundsOutliveTheirBatch(t *testing.T) {
	for name, hold := range map[string]func(d *texts, r *table.Raw){
		"numbered": func(d *texts, r *table.Raw) { d.code(nil, r, 0, r.Rows) },
		"plain":    func(d *texts, r *table.Raw) { d.plain(nil, r, 0, r.Rows) },
	} {
		r := table.Raw{Rows: 3, Ends: []int32{0, 3, 6, 11}, Texts: []byte("oakashbirch")}
		d := newTexts()
		hold(d, &r)
		clear(r.Texts)
		if string(d.least) != "ash" || string(d.most) != "oak" {
			t.Errorf("%s: from %q to %q", name, d.least, d.most)
		}
	}
}
