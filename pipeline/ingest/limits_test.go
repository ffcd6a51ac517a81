package ingest

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"ashtally/pipeline/survey"
)

func asJSON(t testing.TB, v any) string {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// findsOf returns the base with other rows below the header of its finds.
func findsOf(header, rows string) map[string]string {
	return with(map[string]string{"finds.csv": header + "\n" + rows})
}

// TestLimits holds what is said of files too large to write down.
func TestLimits(t *testing.T) {
	const head = "unit,date,taxon,tree"
	const good = "P1,2031-05-17,black morel,birch\n"
	wide := "unit,date,taxon" + strings.Repeat(",c", 998)
	tests := []struct {
		name  string
		files map[string]string
		want  []string
		finds int // that are kept
	}{
		{"cell of 10 MB", findsOf(head, good+"P1,2031-05-17,black morel,"+strings.Repeat("x", 10<<20)+"\n"+good),
			[]string{"finds.csv:3: is longer than 1 MiB; check that the file holds one row per line"}, 2},
		{"row of 10 MB without a line end", findsOf(head, good+strings.Repeat("x,", 5<<20)),
			[]string{"finds.csv:3: is longer than 1 MiB; check that the file holds one row per line"}, 1},
		{"cell over the limit", findsOf(head, good+"P1,2031-05-17,black morel,"+strings.Repeat("x", 64<<10+1)+"\n"+good),
			[]string{"finds.csv:3:4: tree: holds more than 64 KiB; keep long texts in a file of their own"}, 2},
		{"cell at the limit", findsOf(head, "P1,2031-05-17,black morel,"+strings.Repeat("x", 64<<10)+"\n"), nil, 1},
		{"quote open over the limit", findsOf(head, good+"P1,2031-05-17,\"black morel,birch\n"+strings.Repeat(good, 40_000)),
			[]string{"finds.csv:3:3: opens a quote that is not closed within 1 MiB; close it, or double it if it belongs to the text"}, 40_001},
		{"blank lines over the limit", findsOf(head, good+strings.Repeat("\r\n", 1<<20)+good), nil, 2},
		{"header too long", findsOf("unit,date,taxon,"+strings.Repeat("x", 64<<10), ""),
			[]string{"finds.csv:1: has a header longer than 64 KiB; check that the file holds one row per line"}, 0},
		{"too many columns", findsOf(wide, ""),
			[]string{"finds.csv:1: has 1001 columns, more than 1000; check that the file holds one row per line"}, 0},
		{"long settings", with(map[string]string{"survey.toml": "title = \"" + strings.Repeat("x", 256<<10) + "\"\n"}),
			[]string{"survey.toml: is longer than 256 KiB; keep settings alone in it; the data belongs into the CSV files"}, 0},
		{"gzip cut off", with(map[string]string{"finds.csv": gone, "finds.csv.gz": cut(zip(t, base["finds.csv"]), 12)}),
			[]string{"finds.csv.gz: ends early: its gzip data is cut off; copy it again from where it was made"}, 0},
		{"gzip cut off far in", with(map[string]string{"finds.csv": gone, "finds.csv.gz": cut(zip(t, head+"\n"+strings.Repeat(good, 5000)), 4)}),
			[]string{"finds.csv.gz: ends early: its gzip data is cut off (after line 5001); copy it again from where it was made"}, 5000},
		{"gzip damaged", with(map[string]string{"finds.csv": gone, "finds.csv.gz": flip(zip(t, head+"\n"+strings.Repeat(good, 5000)), 6)}),
			[]string{"finds.csv.gz: is damaged: its gzip data does not unpack (after line 5001); copy it again from where it was made"}, 5000},
		{"gzip bomb", with(map[string]string{"finds.csv": gone, "finds.csv.gz": zip(t, head+"\n"+good) + strings.Repeat(zip(t, strings.Repeat("x", 1<<20)), 80)}),
			[]string{"finds.csv.gz:3: is longer than 1 MiB; check that the file holds one row per line",
				"finds.csv.gz: unpacks to more than 250 times its size (after line 3); check where it comes from; unpack it by hand if it is what it should be"}, 1},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := gather(t, write(t, tt.files), Options{})
			if !slices.Equal(got.faults, tt.want) {
				t.Errorf("faults:\n%swant:\n%s", lines(got.faults), lines(tt.want))
			}
			if len(got.finds) != tt.finds {
				t.Errorf("%d finds kept, want %d", len(got.finds), tt.finds)
			}
		})
	}
}

// cut takes bytes from the end of a text.
func cut(s string, n int) string { return s[:len(s)-n] }

// flip changes a byte near the end of a text: the checksum of gzip data.
func flip(s string, fromEnd int) string {
	b := []byte(s)
	b[len(b)-fromEnd] ^= 0x40
	return string(b)
}

// TestSizeOfTheSurvey holds surveys of too many strata or groups to a fault.
func TestSizeOfTheSurvey(t *testing.T) {
	strata := "stratum,area_ha,fire_date\nburn,12,2030-08-14\ngreen,8,\n"
	for i := range survey.MostStrata {
		strata += fmt.Sprintf("s%d,1,\n", i)
	}
	finds := "unit,date,taxon,tree\n"
	for i := range 300 {
		finds += fmt.Sprintf("P1,2031-05-17,taxon %d,tree %d\n", i, i)
	}
	tests := []struct {
		name  string
		files map[string]string
		want  string
	}{
		{"strata", map[string]string{"strata.csv": strata},
			"strata.csv:302: stratum: is stratum 301 of 302, more than 300; join strata that are estimated together, or divide the survey"},
		{"groups", map[string]string{"finds.csv": finds},
			"finds.csv: 300 taxa with 300 trees in 2 strata make 1087212 densities, more than 500000; check the columns taxon and tree for notes and numbers, or name the taxa that matter under taxa.target in survey.toml"},
		{"groups, few of them wanted", map[string]string{"finds.csv": finds, "survey.toml": base["survey.toml"] + "[taxa]\ntarget = [\"taxon 7\"]\n"}, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := gather(t, write(t, with(tt.files)), Options{SetAside: true})
			if told := strings.TrimSuffix(lines(got.faults), "\n"); told != tt.want || (got.summary.Blocking == 0) != (tt.want == "") {
				t.Errorf("faults:\n%s\nwant:\n%s", told, tt.want)
			}
		})
	}
}

func TestFilesThatCannotBeRead(t *testing.T) {
	outside := filepath.Join(t.TempDir(), "finds.csv")
	if err := os.WriteFile(outside, []byte(base["finds.csv"]), 0o644); err != nil {
		t.Fatal(err)
	}
	link := func(target string) func(string) error {
		return func(dir string) error { return os.Symlink(target, filepath.Join(dir, "finds.csv")) }
	}
	tests := []struct {
		name string
		make func(dir string) error
		want string
	}{
		{"folder in place of a file", func(dir string) error { return os.Mkdir(filepath.Join(dir, "finds.csv"), 0o755) },
			"finds.csv: is not a file; put a file in its place"},
		{"link out of the folder", link(outside),
			"finds.csv: is a link that leads out of the survey folder; put the file in its place, or link to it by a relative path within the folder"},
		{"link up and out", link("../" + filepath.Base(filepath.Dir(outside)) + "/finds.csv"),
			"finds.csv: is a link that leads out of the survey folder; put the file in its place, or link to it by a relative path within the folder"},
		{"link to nothing", link("nothing.csv"),
			"finds.csv: is a link to a file that is not there; put the file in its place"},
		{"folder that is a link out", func(dir string) error {
			settings := base["survey.toml"] + "[files]\nfinds = \"linked/finds.csv\"\n"
			return errors.Join(os.Symlink(filepath.Dir(outside), filepath.Join(dir, "linked")), os.WriteFile(filepath.Join(dir, "survey.toml"), []byte(settings), 0o644))
		}, `survey.toml:3: files.finds: "linked/finds.csv" is not in the folder; did you mean "linked"?`},
		{"pattern through a link out", func(dir string) error {
			settings := base["survey.toml"] + "[files]\nfinds = \"linked/*.csv\"\n"
			return errors.Join(os.Symlink(filepath.Dir(outside), filepath.Join(dir, "linked")), os.WriteFile(filepath.Join(dir, "survey.toml"), []byte(settings), 0o644))
		}, `survey.toml:3: files.finds: "linked/*.csv" matches no file in the folder; did you mean "linked"?`},
		{"link to another table", link("visits.csv"),
			"finds.csv: is the same file as visits.csv, as visits and as finds; name each file once under [files] in survey.toml"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			dir := write(t, with(map[string]string{"finds.csv": gone}))
			if err := tt.make(dir); err != nil {
				t.Skip("cannot be made here: ", err)
			}
			got := gather(t, dir, Options{})
			if lines(got.faults) != tt.want+"\n" {
				t.Errorf("faults:\n%swant:\n%s", lines(got.faults), tt.want)
			}
		})
	}
}

func TestFileWithoutPermission(t *testing.T) {
	if os.Geteuid() == 0 {
		t.Skip("nothing is forbidden to root")
	}
	dir := write(t, base)
	if err := os.Chmod(filepath.Join(dir, "finds.csv"), 0); err != nil {
		t.Fatal(err)
	}
	got := gather(t, dir, Options{})
	if want := "finds.csv: may not be read; give yourself the permission to read it\n"; lines(got.faults) != want {
		t.Errorf("faults:\n%swant:\n%s", lines(got.faults), want)
	}
}

func TestFolderThatCannotBeOpened(t *testing.T) {
	dir := write(t, base)
	for _, path := range []string{filepath.Join(dir, "missing"), filepath.Join(dir, "finds.csv")} {
		if _, _, err := Open(path); err == nil || !strings.Contains(err.Error(), "the survey folder") {
			t.Errorf("Open(%s) = %v", path, err)
		}
	}
}

func TestDigests(t *testing.T) {
	files := with(map[string]string{"finds.csv": gone, "finds.csv.gz": zip(t, base["finds.csv"])})
	got := gather(t, write(t, files), Options{})
	var names []string
	for _, in := range got.summary.Inputs {
		names = append(names, in.Name)
		sum := sha256.Sum256([]byte(files[in.Name]))
		if in.SHA256 != hex.EncodeToString(sum[:]) || in.Bytes != int64(len(files[in.Name])) {
			t.Errorf("%+v is not the digest of its %d bytes", in, len(files[in.Name]))
		}
	}
	if want := []string{"survey.toml", "strata.csv", "plots.csv", "transects.csv", "visits.csv", "finds.csv.gz"}; !slices.Equal(names, want) {
		t.Errorf("inputs = %q, want %q", names, want)
	}
}

func TestProgressEndsAtTheTotal(t *testing.T) {
	var last, total int64
	gather(t, write(t, base), Options{Progress: func(d, n int64) {
		if d < last {
			t.Errorf("progress goes back from %d to %d", last, d)
		}
		last, total = d, n
	}})
	if last != total || total == 0 {
		t.Errorf("progress ends at %d of %d", last, total)
	}
}

func TestReadingStops(t *testing.T) {
	errFull := errors.New("disk full")
	many := "unit,date,taxon\n" + strings.Repeat("P1,2031-05-17,black morel\n", 10_000) + strings.Repeat("P9,x,black morel\n", 10_000)
	dir := write(t, with(map[string]string{"finds.csv": many}))
	folder, _, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	tests := []struct {
		name  string
		limit int // how often the sink may be called once it has failed
		sink  func(calls *int) Sink
		want  error
	}{
		{"by a find", 1, func(calls *int) Sink {
			return Sink{Find: func(*survey.Find) error { *calls++; return errFull }}
		}, errFull},
		{"by a fault", 1, func(calls *int) Sink {
			return Sink{Fault: func(survey.Fault) error { *calls++; return errFull }}
		}, errFull},
		{"by the context", 300, func(calls *int) Sink {
			return Sink{Find: func(*survey.Find) error { *calls++; cancel(); return nil }}
		}, context.Canceled},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			calls := 0
			_, err := folder.Read(ctx, tt.sink(&calls), Options{})
			if !errors.Is(err, tt.want) || calls > tt.limit {
				t.Errorf("Read = %v after %d calls, want %v", err, calls, tt.want)
			}
		})
	}
}

func TestFileChangedAfterOpen(t *testing.T) {
	dir := write(t, base)
	folder, _, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	changed := "unit,date,tree,taxon\nP1,2031-05-17,black morel,birch\n"
	if err := os.WriteFile(filepath.Join(dir, "finds.csv"), []byte(changed), 0o644); err != nil {
		t.Fatal(err)
	}
	var faults []string
	s, err := folder.Read(t.Context(), Sink{Fault: func(f survey.Fault) error { faults = append(faults, f.String()); return nil }}, Options{})
	if want := "finds.csv: was changed while it was read; run again once nothing writes to it\n"; err != nil || lines(faults) != want || s.Blocking != 1 {
		t.Errorf("faults:\n%s(%d blocking, %v), want:\n%s", lines(faults), s.Blocking, err, want)
	}
}

// TestFileChangedWhileRead writes to a file, or takes it away, while its rows
// or those of a table before it are read.
func TestFileChangedWhileRead(t *testing.T) {
	many := "unit,date,taxon\n" + strings.Repeat("P1,2031-05-17,black morel\n", 10_000)
	const changed = "finds.csv: was changed while it was read; run again once nothing writes to it\n"
	tests := []struct {
		name string
		at   string // the table at whose first row it happens
		do   func(path string) error
		want string
	}{
		{"a row more", "finds", func(path string) error {
			return os.WriteFile(path, []byte(many+"P1,2031-05-18,black morel\n"), 0o644)
		}, changed},
		{"other digits", "finds", func(path string) error {
			return os.WriteFile(path, []byte(strings.ReplaceAll(many, "05-17", "05-16")), 0o644)
		}, changed},
		{"cut off", "finds", func(path string) error { return os.Truncate(path, 100) }, changed},
		{"gone", "strata", os.Remove, "finds.csv: was there and is gone; put it back, and run again\n"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			dir := write(t, with(map[string]string{"finds.csv": many}))
			path := filepath.Join(dir, "finds.csv")
			long := time.Now().Add(-time.Hour) // clocks of some disks count seconds
			if err := os.Chtimes(path, long, long); err != nil {
				t.Fatal(err)
			}
			folder, _, err := Open(dir)
			if err != nil {
				t.Fatal(err)
			}
			done := false
			once := func(table string) error {
				if done || table != tt.at {
					return nil
				}
				done = true
				return tt.do(path)
			}
			var faults []string
			s, err := folder.Read(t.Context(), Sink{
				Stratum: func(*survey.Stratum) error { return once("strata") },
				Find:    func(*survey.Find) error { return once("finds") },
				Fault: func(f survey.Fault) error {
					if f.Line == 0 { // not those of rows
						faults = append(faults, f.String())
					}
					return nil
				},
			}, Options{})
			if err != nil || lines(faults) != tt.want || s.Blocking != 1 {
				t.Errorf("faults:\n%s(%d blocking, %v), want:\n%s", lines(faults), s.Blocking, err, tt.want)
			}
		})
	}
}

// TestMemoryDoesNotGrow reads many finds and faults and looks at what is kept.
func TestMemoryDoesNotGrow(t *testing.T) {
	var rows strings.Builder
	rows.WriteString("unit,date,taxon\n")
	for i := range maxNames + 100 {
		fmt.Fprintf(&rows, "P1,2031-05-17,taxon %d\nQ%d,2031-05-17,black morel\n", i, i)
	}
	folder, _, err := Open(write(t, with(map[string]string{"finds.csv": rows.String()})))
	if err != nil {
		t.Fatal(err)
	}
	root, err := os.OpenRoot(folder.dir)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	r := newReading(t.Context(), folder, root, Sink{}, Options{})
	if err := r.run(); err != nil {
		t.Fatal(err)
	}
	if n := len(r.names("taxon").seen); n != maxNames {
		t.Errorf("%d taxa are remembered, want %d", n, maxNames)
	}
	if n := len(r.told) + len(r.known.units); n > 10 {
		t.Errorf("%d things are remembered of rows at fault", n)
	}
	// One of each row, and one for so many taxa.
	if want := maxNames + 100 + 1; r.summary.Faults != want {
		t.Errorf("%d faults, want %d", r.summary.Faults, want)
	}
}

// TestManyBadRows reads more bad rows in succession than a row may be long.
func TestManyBadRows(t *testing.T) {
	const row = "P1,2031-05-17,black 12\" morel\n"
	n := 2*maxRecord/len(row) + 1
	got := gather(t, write(t, findsOf("unit,date,taxon", strings.Repeat(row, n))), Options{})
	want := fmt.Sprintf("finds.csv:%d:3: has a quote inside a cell that does not begin with one; %s", n+1, quoteRemedy)
	if len(got.faults) != n || got.faults[n-1] != want {
		t.Errorf("%d faults, the last %q, want %d and %q", len(got.faults), got.faults[len(got.faults)-1], n, want)
	}
}

// TestGuardInSmallPieces reads line ends that fall on the edges of reads.
func TestGuardInSmallPieces(t *testing.T) {
	const text = "a\r\nb\rc\n\r\r\nd\r"
	const want = "a\r\nb\nc\n\n\r\nd\n"
	for size := 1; size <= len(text); size++ {
		g := newGuard(&pieces{text: text, size: size})
		got, err := io.ReadAll(g)
		if err != nil || string(got) != want {
			t.Errorf("in pieces of %d: %q, %v, want %q", size, got, err, want)
		}
	}
}

// pieces gives a text in reads of a fixed size.
type pieces struct {
	text string
	size int
}

// Read gives the next piece.
func (p *pieces) Read(b []byte) (int, error) {
	if p.text == "" {
		return 0, io.EOF
	}
	n := copy(b, p.text[:min(p.size, len(p.text))])
	p.text = p.text[n:]
	return n, nil
}
