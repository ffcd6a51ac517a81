package archive

import (
	"crypto/sha256"
	"io"

	"ashtally/pipeline/table"
)

// Encode writes batches to w as a Writer does to its file.
func Encode(w io.Writer, s table.Schema, batches ...table.Batch) error {
	return EncodeGroups(w, s, groupRows, groupBytes, batches...)
}

// EncodeGroups does the same with row groups of another size.
func EncodeGroups(w io.Writer, s table.Schema, rows, bytes int, batches ...table.Batch) error {
	e, err := newEncoder(w, s)
	if err != nil {
		return err
	}
	e.groupRows, e.groupBytes = rows, bytes
	for _, b := range batches {
		if err := e.write(b); err != nil {
			return err
		}
	}
	return e.close()
}

// Reseal gives a file that was changed the seal of its new content, where it
// still has a footer with room for one.
func Reseal(content []byte, tailBytes int) error {
	h := sha256.New()
	h.Write(content[:len(content)-tailBytes])
	return seal(h, content[len(content)-tailBytes:])
}
