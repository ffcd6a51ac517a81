package ingest

import (
	"errors"
	"fmt"
	"io"
	"runtime"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/survey"
)

// rowReader is what both readers of rows have.
type rowReader interface {
	next() (cells []string, line int64, f *flaw, err error)
	close()
}

// rowsOf lists what a reader gives of rows, flaws and its error, one text for each.
func rowsOf(r rowReader) (list []string) {
	defer r.close()
	for {
		cells, line, f, err := r.next()
		if err != nil {
			return append(list, err.Error())
		}
		shown := fmt.Sprintf("%d %.1000q", line, cells) // how much there is of a row that is too long depends on the reads
		if f != nil {
			shown += fmt.Sprintf(" %+v", *f)
		}
		list = append(list, shown)
	}
}

// twoReads gives the text up to a place by one read, and the rest by the next ones.
type twoReads struct {
	text string
	at   int
	err  error
}

func (r *twoReads) Read(p []byte) (int, error) {
	end := len(r.text)
	if r.at > 0 {
		end = r.at
	}
	if end == 0 {
		return 0, r.err
	}
	n := copy(p, r.text[:end])
	r.text, r.at = r.text[n:], max(r.at-n, 0)
	return n, nil
}

var divided = map[string]string{
	"plain":            "a,b,c\n1,2,3\n4,5,6\n7,8,9\n",
	"no last line end": "a,b,c\n1,2,3\n4,5,",
	"CRLF":             "a,b\r\n1,2\r\n\r\n3,4\r\n,\r\n",
	"CR alone":         "a,b\r1,2\r\r3,\r\n\"4\r5\",6\r",
	"quotes":           "a,\"b\",c\n\"1,\"\"2\",\"\"\"\",3\n\"\",\"\",\"\"\n4,\"5\r\n\r\n6\",\"7\n\"\r\n8,9,\"10\"",
	"blank lines":      "\n\na,b\n\n\n1,2\n\n",
	"bare quote":       "a,b\n1,2\n3,4\"\n5,6\n7,\"8\n9\"\n10,11\n",
	"after quote":      "a,b\n1,2\n\"3\"x,4\n5,6\n\"7\n8\"\"\",9\n10,\"11\"\n12,\"x\"\r",
	"never closed":     "a,b\n1,2\n3,\"4\n5,6\n7,8\n",
	"closed too late":  "a,b\n1,\"2\n3,4\"5\n6,7\n8,\"9\"\n",
	"two flaws":        "a,b\n1,x\"y\n2,\"3\n\"4,5\n6,7\n",
	"empty":            "",
	"one quote":        "\"",
	"semicolon":        "a;b\n1,5;\"2;3\"\n",
	"not ASCII":        "名,b\n\"日\n本\",é\r\n",
}

// TestBlocks holds the rows that are divided ahead to those of records alone, with the
// end of a block at every place of a text, in blocks of every size, on one core and
// on two.
func TestBlocks(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	for name, text := range divided {
		comma := byte(',')
		if name == "semicolon" {
			comma = ';'
		}
		for _, end := range []error{io.EOF, errors.New("the disk is gone")} {
			want := rowsOf(newRecords(&twoReads{text: text, err: end}, rune(comma)))
			for _, cores := range []int{1, 2} {
				runtime.GOMAXPROCS(cores)
				for at := range len(text) + 1 {
					if got := rowsOf(newBlocks(&twoReads{text: text, at: at, err: end}, comma, len(text)+1, nil, nil)); !slices.Equal(got, want) {
						t.Fatalf("%s, %d cores, %v, a block ends at %d:\n%s\nwant\n%s", name, cores, end, at, strings.Join(got, "\n"), strings.Join(want, "\n"))
					}
					if got := rowsOf(newBlocks(&twoReads{text: text, err: end}, comma, at+1, nil, nil)); !slices.Equal(got, want) {
						t.Fatalf("%s, %d cores, %v, blocks of %d:\n%s\nwant\n%s", name, cores, end, at+1, strings.Join(got, "\n"), strings.Join(want, "\n"))
					}
				}
			}
		}
	}
}

// TestBlocksLongRow reads rows about as long as one may be.
func TestBlocksLongRow(t *testing.T) {
	for _, size := range []int{maxRecord - 2, maxRecord + 2*chunk, 3 * maxRecord} {
		for _, cell := range []string{strings.Repeat("x", size), `"` + strings.Repeat(strings.Repeat("y", 1<<12)+"\n", size>>12) + `"`} {
			text := "a,b\n1,2\n" + cell + ",3\n4,\"5\"\n"
			want := rowsOf(newRecords(strings.NewReader(text), ','))
			if got := rowsOf(newBlocks(strings.NewReader(text), ',', blockBytes, nil, nil)); !slices.Equal(got, want) {
				for i := range min(len(got), len(want)) {
					if got[i] != want[i] {
						t.Errorf("a row of %d bytes: %d rows and flaws, want %d, and %d is %.60q...%q, want %.60q...%q", size, len(got), len(want),
							i, got[i], got[i][max(0, len(got[i])-100):], want[i], want[i][max(0, len(want[i])-100):])
						break
					}
				}
			}
		}
	}
}

// TestBlocksOfSurvey reads a survey with flawed rows in blocks of several sizes, on one
// core and on two: rows, faults, notices and the progress are the same.
func TestBlocksOfSurvey(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	files := map[string]string{
		"survey.toml": "title = \"Blocks\"\n",
		"strata.csv":  "stratum,area_ha,fire_date\nburn,1200,2030-08-14\n",
		"plots.csv":   "plot,stratum,radius_m\r\nP1,burn,5\r\nP2,burn,5\r\n\"P\"\"3\",burn,5\r\nP4,burn\r\nP5,burn,x\r\n",
		"visits.csv":  "unit,date\nP1,2031-05-17\nP2,2031-05-17\n\"P\"\"3\",2031-05-17\nP1,2031-05-17\n",
		"finds.csv": "unit,date,taxon,note,mass_g,seen_by,tree\n" + strings.Repeat("P1,2031-05-17,black morel,\"a\nb\",,,\n"+
			"P2,2031-05-17,\"black \"\"morel\"\"\",,1.5,,oak\nP2,2031-05-17, ,\x01,1.5,,\nP2,2031-05-17,,,x,,\nP2,2031-05-17,,,x,A;A,\n,,,,,,\n"+
			"P2,2031-05-17,black morel,,7\nP1,2031-02-30,black morel,\xff,1.5,,ok\nP1,2031-05-17,black morel,,1.5,,oak\n", 9) +
			"\"P1\"x,2031-05-17,black morel,\nP9,2031-05-17,black morel,,x,,\n,,,\nP1,2031-05-17,\"black morel,\n",
	}
	dir := write(t, files)
	read := func(size int) string {
		folder, faults, err := Open(dir)
		if err != nil || len(faults) > 0 {
			t.Fatal(faults, err)
		}
		var said strings.Builder
		say := func(f survey.Fault) error { fmt.Fprintln(&said, f); return nil }
		var last int64
		summary, err := folder.Read(t.Context(), Sink{
			Find:  func(f *survey.Find) error { fmt.Fprintf(&said, "%+v\n", *f); return nil },
			Plot:  func(p *survey.Plot) error { fmt.Fprintf(&said, "%+v\n", *p); return nil },
			Fault: say, Notice: say,
			Question: func(q survey.Question) error { return say(q.Fault) },
		}, Options{SetAside: true, blockBytes: size, Progress: func(done, total int64) { last = total - done }})
		return fmt.Sprintf("%s%+v %v, %d bytes to go", &said, summary, err, last)
	}
	want := read(0)
	if !strings.Contains(want, "opens a quote that is never closed") || !strings.Contains(want, "after the closing quote") || !strings.HasSuffix(want, "<nil>, 0 bytes to go") {
		t.Error(want)
	}
	for _, cores := range []int{1, 2} {
		runtime.GOMAXPROCS(cores)
		for _, size := range []int{1, 7, 64, 100, 1000, 1 << 20} {
			if got := read(size); got != want {
				t.Errorf("blocks of %d bytes, %d cores:\n%s\nwant\n%s", size, cores, got, want)
			}
		}
	}
}
