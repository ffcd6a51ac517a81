package archive_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"ashtally/pipeline/archive"
)

// FuzzFile opens any bytes as an archive file: they are what was written, or
// they are told as damage, and nothing else happens.
func FuzzFile(f *testing.F) {
	content := encoded(f, built(sampleRows(20), 10)...)
	f.Add(content)
	f.Add(content[:len(content)/2])
	f.Add([]byte("PAR1PAR1"))
	f.Add([]byte("PAR1" + "\xff\xff\xff\x7f" + "PAR1"))
	path := filepath.Join(f.TempDir(), "finds.parquet")
	f.Fuzz(func(t *testing.T, bad []byte) {
		if err := os.WriteFile(path, bad, 0o600); err != nil {
			t.Fatal(err)
		}
		rows, err := readAll(path)
		if bytes.Equal(bad, content) {
			return
		}
		if !errors.Is(err, archive.ErrDamaged) || len(rows) > 0 {
			t.Errorf("%d rows, error %v", len(rows), err)
		}
	})
}

// FuzzPages writes any bytes over the pages of a file and seals it again: there
// are rows or there is damage, and never a crash. The footer is left alone, as
// in TestSealedDamageDoesNotCrash.
func FuzzPages(f *testing.F) {
	content := encoded(f, built(sampleRows(200), 100)...)
	tail := int(binary.LittleEndian.Uint32(content[len(content)-8:])) + 8
	f.Add(uint16(4), []byte{0})
	f.Add(uint16(100), bytes.Repeat([]byte{0xff}, 16))
	f.Add(uint16(1000), []byte("\x15\x04\x15"))
	path := filepath.Join(f.TempDir(), "finds.parquet")
	f.Fuzz(func(t *testing.T, at uint16, over []byte) {
		bad := slices.Clone(content)
		pages := bad[:len(bad)-tail]
		copy(pages[int(at)%len(pages):], over)
		if err := archive.Reseal(bad, tail); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, bad, 0o600); err != nil {
			t.Fatal(err)
		}
		hung := time.AfterFunc(10*time.Second, func() { panic("a file of a few kilobytes takes forever") })
		defer hung.Stop()
		if _, err := readAll(path); err != nil && !errors.Is(err, archive.ErrDamaged) {
			t.Errorf("not told as damage: %v", err)
		}
	})
}
