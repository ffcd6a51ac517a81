package ingest

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"ashtally/pipeline/survey"
)

// TestSheetNamedTwice: a sheet that is named twice, or linked to from another
// name by either kind of link, is read once, and that is told.
func TestSheetNamedTwice(t *testing.T) {
	sheet := "unit,date,taxon\nP1,2031-05-17,black morel\n"
	for _, c := range []struct {
		name string
		make func(dir string) error
		want string
	}{
		{"link", func(dir string) error { return os.Symlink("finds-1.csv", filepath.Join(dir, "finds-2.csv")) },
			"finds-2.csv: is the same file as finds-1.csv, through a link; it is read once"},
		{"link before it", func(dir string) error { return os.Symlink("finds-1.csv", filepath.Join(dir, "finds-0.csv")) },
			"finds-1.csv: is the same file as finds-0.csv, through a link; it is read once"},
		{"hard link", func(dir string) error {
			return os.Link(filepath.Join(dir, "finds-1.csv"), filepath.Join(dir, "finds-2.csv"))
		}, "finds-2.csv: is the same file as finds-1.csv, through a link; it is read once"},
		{"name", func(dir string) error {
			settings := base["survey.toml"] + "[files]\nfinds = [\"finds-1.csv\", \"finds-*.csv\"]\n"
			return os.WriteFile(filepath.Join(dir, "survey.toml"), []byte(settings), 0o644)
		}, "finds-1.csv: is named twice under [files]; it is read once"},
	} {
		dir := write(t, with(map[string]string{
			"finds.csv": gone, "finds-1.csv": sheet, "survey.toml": base["survey.toml"] + "[files]\nfinds = \"finds-*.csv\"\n",
		}))
		if err := c.make(dir); err != nil {
			t.Skip("no links here: ", err)
		}
		got := gather(t, dir, Options{})
		if len(got.faults) > 0 || lines(got.notices) != c.want+"\n" {
			t.Errorf("%s: faults:\n%snotices:\n%s", c.name, lines(got.faults), lines(got.notices))
		}
		for _, count := range got.summary.Tables {
			if count.Name == "finds" && count.Read != 1 {
				t.Errorf("%s: %d finds, want 1", c.name, count.Read)
			}
		}
	}
}

// TestCompressedCopy: a sheet beside its compressed copy would count twice.
func TestCompressedCopy(t *testing.T) {
	sheet := "unit,date,taxon\nP1,2031-05-17,black morel\n"
	var packed bytes.Buffer
	gz := gzip.NewWriter(&packed)
	if _, err := gz.Write([]byte(sheet)); err != nil {
		t.Fatal(err)
	}
	if err := gz.Close(); err != nil {
		t.Fatal(err)
	}
	dir := write(t, with(map[string]string{
		"finds.csv": gone, "finds-1.csv": sheet, "finds-1.csv.gz": packed.String(), "survey.toml": base["survey.toml"] + "[files]\nfinds = \"finds-*\"\n",
	}))
	want := "finds-1.csv.gz: is a copy of finds-1.csv, byte for byte: its rows would count twice; remove one of the two, or name one alone under [files] in survey.toml\n"
	if got := gather(t, dir, Options{}); lines(got.faults) != want {
		t.Errorf("faults:\n%swant:\n%s", lines(got.faults), want)
	}
}

// TestTooManyFiles: a pattern that takes in thousands of files is one fault.
func TestTooManyFiles(t *testing.T) {
	files := map[string]string{"finds.csv": gone, "survey.toml": base["survey.toml"] + "[files]\nfinds = \"f*.csv\"\n"}
	for i := range maxFiles + 5 {
		files[fmt.Sprintf("f%04d.csv", i)] = fmt.Sprintf("unit,date,taxon\nP1,2031-05-17,taxon %d\n", i%7)
	}
	folder, faults, err := Open(write(t, with(files)))
	if err != nil {
		t.Fatal(err)
	}
	want := "f2000.csv: is file 2001 of 2005 of finds, more than 2000; join files, and check the pattern under [files] in survey.toml\n"
	if texts(faults) != want || len(folder.Files()) > maxFiles+8 {
		t.Errorf("%d files, faults:\n%s", len(folder.Files()), texts(faults))
	}
}

func texts(faults []survey.Fault) string {
	var list []string
	for _, f := range faults {
		list = append(list, f.String())
	}
	return lines(list)
}
