package archive

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"strings"
)

// ErrDamaged is the error for a file that is damaged or was not written by
// this package.
var ErrDamaged = errors.New("damaged, or not an archive file of this program")

// errNoSeal is the error for a file without a seal.
var errNoSeal = fmt.Errorf("%w: it has no seal", ErrDamaged)

const (
	sealKey    = "ashtally.seal"
	sealDigits = 2 * sha256.Size

	// A footer is followed by its length in four bytes and the magic number.
	trailerBytes = 8
	magic        = "PAR1"
)

// unsealed stands in the footer until the seal is known, and in the hash always.
var unsealed = strings.Repeat("0", sealDigits)

// sealMark comes before the seal's digits. The footer is in Thrift's compact
// protocol, where a key-value pair is a struct of two strings: 0x18 begins a
// string field, and its length follows in one byte.
var sealMark = []byte("\x18" + string(rune(len(sealKey))) + sealKey + "\x18" + string(rune(sealDigits)))

// seal hashes the tail of a file, from its footer on, after all that came
// before, and puts the digits of the hash into the tail.
func seal(h hash.Hash, tail []byte) error {
	digits, err := findSeal(tail)
	if err != nil {
		return err
	}
	copy(digits, unsealed)
	h.Write(tail)
	hex.Encode(digits, h.Sum(nil))
	return nil
}

// findSeal returns the part of the tail that holds the seal's digits. The seal
// is the last of the key-value pairs, so that no column's name or description
// can stand for it.
func findSeal(tail []byte) ([]byte, error) {
	at := bytes.LastIndex(tail, sealMark)
	if at < 0 || at+len(sealMark)+sealDigits > len(tail) {
		return nil, errNoSeal
	}
	at += len(sealMark)
	return tail[at : at+sealDigits], nil
}

// verify reports whether a file of the given size has the seal of its content.
func verify(r io.ReaderAt, size int64) error {
	tail, err := readTail(r, size)
	if err != nil {
		return err
	}
	digits, err := findSeal(tail)
	if err != nil {
		return err
	}
	found := string(digits)
	h := sha256.New()
	if _, err := io.Copy(h, io.NewSectionReader(r, 0, size-int64(len(tail)))); err != nil {
		return err
	}
	if err := seal(h, tail); err != nil {
		return err
	}
	if found != string(digits) {
		return fmt.Errorf("%w: its content does not match its seal", ErrDamaged)
	}
	return nil
}

// readTail returns the file from its footer on.
func readTail(r io.ReaderAt, size int64) ([]byte, error) {
	if size < int64(len(magic))+trailerBytes {
		return nil, fmt.Errorf("%w: it has only %d bytes", ErrDamaged, size)
	}
	var trailer [trailerBytes]byte
	if _, err := r.ReadAt(trailer[:], size-trailerBytes); err != nil {
		return nil, err
	}
	footer := int64(binary.LittleEndian.Uint32(trailer[:]))
	if string(trailer[4:]) != magic || footer > size-trailerBytes-int64(len(magic)) {
		return nil, fmt.Errorf("%w: it does not end as a Parquet file does", ErrDamaged)
	}
	tail := make([]byte, footer+trailerBytes)
	if _, err := r.ReadAt(tail, size-int64(len(tail))); err != nil {
		return nil, err
	}
	return tail, nil
}
