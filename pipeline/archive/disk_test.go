package archive_test

import (
	"errors"
	"testing"

	"ashtally/pipeline/archive"
)

var errFull = errors.New("no space left on device")

// disk takes so many bytes and then no more.
type disk struct{ room int }

func (d *disk) Write(p []byte) (int, error) {
	if len(p) > d.room {
		n := d.room
		d.room = 0
		return n, errFull
	}
	d.room -= len(p)
	return len(p), nil
}

// A disk that fills up at any byte of the file is an error, at the latest when
// the file is closed. The library passes some of these on, panics at others
// and loses the rest.
func TestFullDisk(t *testing.T) {
	batches := built(sampleRows(1_000), 500)
	size := len(encoded(t, batches...))
	if err := archive.Encode(&disk{room: size}, sampleSchema, batches...); err != nil {
		t.Fatalf("with just enough room: %v", err)
	}
	rooms := []int{0, 1, 3, 4, 5, size - 1, size - 8, size - 100}
	for room := 0; room < size; room += size / 8 {
		rooms = append(rooms, room)
	}
	for _, room := range rooms {
		if err := archive.Encode(&disk{room: room}, sampleSchema, batches...); !errors.Is(err, errFull) {
			t.Errorf("with room for %d of %d bytes: %v", room, size, err)
		}
	}
}
