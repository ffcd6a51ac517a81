package archive_test

import (
	"encoding/binary"
	"errors"
	"math/rand/v2"
	"os"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/archive"
)

// harm returns the content with one bit flipped, or cut off.
func harm(r *rand.Rand, content []byte) []byte {
	if r.IntN(5) == 0 {
		return slices.Clone(content[:r.IntN(len(content))])
	}
	out := slices.Clone(content)
	out[r.IntN(len(out))] ^= 1 << r.IntN(8)
	return out
}

// Damage is found, all of it: what is read is right or is not read.
func TestDamageIsFound(t *testing.T) {
	r := rand.New(rand.NewPCG(4127, 1))
	content := encoded(t, built(sampleRows(500), 250)...)
	path := onDisk(t, content)
	for i := range 200 {
		if err := os.WriteFile(path, harm(r, content), 0o666); err != nil {
			t.Fatal(err)
		}
		rows, err := readAll(path)
		if !errors.Is(err, archive.ErrDamaged) || len(rows) > 0 {
			t.Errorf("damage %d: %d rows, error %v", i, len(rows), err)
		}
		if err != nil && !strings.HasPrefix(err.Error(), path) {
			t.Errorf("damage %d: the error does not name the file: %v", i, err)
		}
	}
}

// Behind the seal stands a reader that gets by with any pages: where damage
// was sealed in, there is an error or there are rows, and never a crash. The
// footer is not harmed here, since a single bit of it can make the library ask
// for more memory than there is, which ends a process. Nothing but the seal
// helps against that.
func TestSealedDamageDoesNotCrash(t *testing.T) {
	r := rand.New(rand.NewPCG(4127, 2))
	want := sampleRows(500)
	content := encoded(t, built(want, 250)...)
	tail := int(binary.LittleEndian.Uint32(content[len(content)-8:])) + 8
	path := onDisk(t, content)
	failed, changed := 0, 0
	for range 200 {
		bad := slices.Clone(content)
		bad[r.IntN(len(bad)-tail)] ^= 1 << r.IntN(8)
		if err := archive.Reseal(bad, tail); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, bad, 0o666); err != nil {
			t.Fatal(err)
		}
		rows, err := readAll(path)
		switch {
		case errors.Is(err, archive.ErrDamaged):
			failed++
		case err != nil:
			t.Errorf("not told as damage: %v", err)
		case !reflect.DeepEqual(rows, want):
			changed++
		}
	}
	if failed == 0 || changed == 0 {
		t.Errorf("%d errors and %d changes: the seal was not needed", failed, changed)
	}
	t.Logf("of 200 flipped bits, %d gave errors and %d other rows", failed, changed)
}

// A page that says of itself that it holds two gigabytes is not given them.
func TestBoastfulPages(t *testing.T) {
	content := encoded(t, built(sampleRows(500), 250)...)
	tail := int(binary.LittleEndian.Uint32(content[len(content)-8:])) + 8
	path := onDisk(t, content)
	for name, header := range map[string]string{ // of the first page, a dictionary
		"bytes":         "\x15\x04\x15\xfe\xff\xff\xff\x0f",
		"packed bytes":  "\x15\x04\x15\x20\x15\xfe\xff\xff\xff\x0f",
		"values":        "\x15\x04\x15\x20\x15\x20\x4c\x15\xfe\xff\xff\xff\x0f\x15\x00\x00\x00",
		"negative":      "\x15\x04\x15\x01",
		"unknown kind":  "\x15\x02",
		"data":          "\x15\x06\x15\xfe\xff\xff\xff\x0f",
		"endless field": "\x18\xff\xff\xff\xff\x07",
	} {
		bad := slices.Clone(content)
		copy(bad[4:], header)
		if err := archive.Reseal(bad, tail); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, bad, 0o666); err != nil {
			t.Fatal(err)
		}
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err := readAll(path)
		runtime.ReadMemStats(&after)
		if !errors.Is(err, archive.ErrDamaged) {
			t.Errorf("%s: not told as damage: %v", name, err)
		}
		if took := after.TotalAlloc - before.TotalAlloc; took > 64<<20 {
			t.Errorf("%s: took %d MiB", name, took>>20)
		}
	}
}

func TestForeignFiles(t *testing.T) {
	sealed := encoded(t, built(sampleRows(3), 0)...)
	for name, content := range map[string][]byte{
		"empty":         nil,
		"short":         []byte("PAR1PAR1"),
		"text":          []byte(strings.Repeat("unit,date,taxon\n", 100)),
		"long footer":   []byte("PAR1" + "\xff\xff\xff\x7f" + "PAR1"),
		"without seal":  []byte("PAR1" + "footer" + "\x06\x00\x00\x00" + "PAR1"),
		"two in one":    append(slices.Clone(sealed), sealed...),
		"with one byte": append(slices.Clone(sealed), 0),
	} {
		if _, err := readAll(onDisk(t, content)); !errors.Is(err, archive.ErrDamaged) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A header or a description of the crew's may look like a seal.
func TestFalseSeal(t *testing.T) {
	rows := sampleRows(1)
	rows[0].note = "\x18\x0dashtally.seal\x18\x40" + strings.Repeat("0", 64)
	got, err := readAll(onDisk(t, encoded(t, built(rows, 0)...)))
	if err != nil {
		t.Fatal(err)
	}
	same(t, got, rows)
}
