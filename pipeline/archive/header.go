package archive

import (
	"bytes"
	"context"
	"fmt"

	"github.com/apache/thrift/lib/go/thrift"
)

// The kinds of page and the encodings of the Parquet format that this package
// writes, by their numbers in it.
const (
	dictionaryPage = 2
	dataPage       = 3 // of version 2

	plain       = 0
	deltaPacked = 5
	byIndex     = 8 // of the dictionary
)

// pageHeader is what a page says of itself.
type pageHeader struct {
	kind             int32
	unpacked, packed int32 // bytes
	values, nulls    int32
	encoding         int32
	repeated, absent int32 // bytes of levels, which are never compressed
	compressed       bool
}

// headerBytes is the longest header of a page: the least and the greatest value
// of a page stand in it, up to 4 KiB of each, and twice.
const headerBytes = 64 << 10

// parseHeader reads the header at the beginning of b, in Thrift's compact
// protocol, and returns its length.
func parseHeader(b []byte) (h pageHeader, length int, err error) {
	b = b[:min(len(b), headerBytes)]
	buffer := &thrift.TMemoryBuffer{Buffer: bytes.NewBuffer(b)}
	in := thrift.NewTCompactProtocolConf(buffer, &thrift.TConfiguration{MaxMessageSize: headerBytes})
	h.compressed = true // where nothing is said
	err = fields(in, func(id int16) (handled bool, err error) {
		switch id {
		case 1:
			return whole(in, &h.kind)
		case 2:
			return whole(in, &h.unpacked)
		case 3:
			return whole(in, &h.packed)
		case 7:
			return true, fields(in, func(id int16) (bool, error) { return h.ofDictionary(in, id) })
		case 8:
			return true, fields(in, func(id int16) (bool, error) { return h.ofData(in, id) })
		}
		return false, nil
	})
	return h, len(b) - buffer.Len(), err
}

func (h *pageHeader) ofDictionary(in thrift.TProtocol, id int16) (bool, error) {
	switch id {
	case 1:
		return whole(in, &h.values)
	case 2:
		return whole(in, &h.encoding)
	}
	return false, nil
}

func (h *pageHeader) ofData(in thrift.TProtocol, id int16) (handled bool, err error) {
	switch id {
	case 1:
		return whole(in, &h.values)
	case 2:
		return whole(in, &h.nulls)
	case 4:
		return whole(in, &h.encoding)
	case 5:
		return whole(in, &h.absent)
	case 6:
		return whole(in, &h.repeated)
	case 7:
		h.compressed, err = in.ReadBool(context.Background())
		return true, err
	}
	return false, nil
}

// fields reads a struct: each field by take, which says whether it did, and
// those that it leaves are passed over.
func fields(in thrift.TProtocol, take func(id int16) (bool, error)) error {
	ctx := context.Background()
	if _, err := in.ReadStructBegin(ctx); err != nil {
		return err
	}
	for {
		_, kind, id, err := in.ReadFieldBegin(ctx)
		if err != nil {
			return fmt.Errorf("a page has no header: %w", err)
		}
		if kind == thrift.STOP {
			return in.ReadStructEnd(ctx)
		}
		handled, err := take(id)
		if err == nil && !handled {
			err = in.Skip(ctx, kind)
		}
		if err != nil {
			return fmt.Errorf("a page has no header: %w", err)
		}
	}
}

// whole reads a whole number.
func whole(in thrift.TProtocol, to *int32) (handled bool, err error) {
	*to, err = in.ReadI32(context.Background())
	return true, err
}
