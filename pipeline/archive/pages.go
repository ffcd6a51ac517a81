package archive

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"

	"github.com/apache/arrow/go/v15/parquet/compress"
	"github.com/apache/arrow/go/v15/parquet/metadata"
	"github.com/klauspost/compress/zstd"
)

// pageLimit is the most that a page may hold: it is written when it is full, but
// the thousand longest cells may come into it at once.
const pageLimit = 128 << 20

// deltas is how numbers that rise are packed: how many differences make a block,
// and how many parts it has.
var deltas = [2]uint64{128, 4}

// pages looks through the pages of a file before the library decodes them. It
// makes room for whatever a page says of itself, and a page of a few bytes can
// say that it holds gigabytes; what is asked of a page here is therefore that it
// is as this package writes it and holds what it says.
type pages struct {
	from     io.ReaderAt
	end      int64 // of the file's pages
	unzip    *zstd.Decoder
	packed   []byte
	unpacked []byte
}

func newPages(from io.ReaderAt, end int64) (*pages, error) {
	unzip, err := zstd.NewReader(nil, zstd.WithDecoderConcurrency(1), zstd.WithDecodeAllCapLimit(true))
	return &pages{from: from, end: end, unzip: unzip}, err
}

// check looks through the columns of a row group.
func (p *pages) check(group *metadata.RowGroupMetaData) error {
	if rows := group.NumRows(); rows < 0 || rows > math.MaxInt32 {
		return fmt.Errorf("a row group says that it has %d rows", rows)
	}
	for i := range group.NumColumns() {
		chunk, err := group.ColumnChunk(i)
		if err != nil {
			return err
		}
		if err := p.checkColumn(chunk, group.NumRows()); err != nil {
			return fmt.Errorf("column %d: %w", i+1, err)
		}
	}
	return nil
}

// checkColumn looks through the pages of a column, which are the whole of its
// bytes and hold as many values as there are rows.
func (p *pages) checkColumn(chunk *metadata.ColumnChunkMetaData, rows int64) error {
	start := chunk.DataPageOffset()
	if chunk.HasDictionaryPage() {
		start = min(start, chunk.DictionaryPageOffset())
	}
	size := chunk.TotalCompressedSize()
	if start < 0 || size < 0 || start > p.end || size > p.end-start {
		return errors.New("its pages are not in the file")
	}
	if chunk.Compression() != compress.Codecs.Zstd {
		return errors.New("its pages are compressed in another way")
	}
	if chunk.NumValues() != rows {
		return errors.New("it has not as many values as rows")
	}
	var seen int64
	for at, end := start, start+size; at < end; {
		h, length, err := p.checkPage(at, end)
		if err != nil {
			return err
		}
		at += length
		if h.kind == dataPage {
			seen += int64(h.values)
		} else if seen > 0 {
			return errors.New("a dictionary follows the values that need it")
		}
	}
	if seen != rows {
		return fmt.Errorf("its pages have %d values, and there are %d rows", seen, rows)
	}
	return nil
}

// checkPage looks at the page between at and end, and returns its length with
// its header.
func (p *pages) checkPage(at, end int64) (pageHeader, int64, error) {
	head, err := p.read(at, min(end-at, headerBytes))
	if err != nil {
		return pageHeader{}, 0, err
	}
	h, length, err := parseHeader(head)
	if err != nil {
		return h, 0, err
	}
	if err := h.check(); err != nil {
		return h, 0, err
	}
	whole := int64(length) + int64(h.packed)
	if whole > end-at {
		return h, 0, errors.New("a page is longer than its column")
	}
	body, err := p.read(at+int64(length), int64(h.packed))
	if err != nil {
		return h, 0, err
	}
	content, err := p.content(h, body)
	if err != nil {
		return h, 0, err
	}
	return h, whole, h.checkContent(content)
}

// check holds the header against itself.
func (h pageHeader) check() error {
	levels := int64(h.repeated) + int64(h.absent)
	switch {
	case h.kind != dictionaryPage && h.kind != dataPage:
		return fmt.Errorf("a page is of the unknown kind %d", h.kind)
	case h.unpacked < 0 || h.unpacked > pageLimit:
		return fmt.Errorf("a page says that it holds %d bytes", h.unpacked)
	case h.packed < 0 || h.repeated < 0 || h.absent < 0 || levels > int64(h.packed) || levels > int64(h.unpacked):
		return errors.New("a page is shorter than its own parts")
	case h.values < 0 || h.nulls < 0 || h.nulls > h.values:
		return fmt.Errorf("a page says that %d of its %d values are missing", h.nulls, h.values)
	case h.encoding != plain && h.encoding != deltaPacked && h.encoding != byIndex:
		return fmt.Errorf("a page is in the unknown encoding %d", h.encoding)
	case h.kind == dictionaryPage && (h.encoding != plain || h.values > h.unpacked):
		return fmt.Errorf("a dictionary says that its %d bytes hold %d values", h.unpacked, h.values)
	}
	return nil
}

// content returns what a page holds after its levels.
func (p *pages) content(h pageHeader, body []byte) ([]byte, error) {
	levels := int(h.repeated) + int(h.absent)
	body, size := body[levels:], int(h.unpacked)-levels
	if !h.compressed {
		if len(body) != size {
			return nil, fmt.Errorf("a page of %d bytes says that it has %d", len(body), size)
		}
		return body, nil
	}
	if cap(p.unpacked) < size {
		p.unpacked = make([]byte, 0, size)
	}
	content, err := p.unzip.DecodeAll(body, p.unpacked[:0:size])
	if err == nil && len(content) != size {
		err = errors.New("a page does not hold as many bytes as it says")
	}
	return content, err
}

// checkContent looks at the head of packed differences, which says how much room
// they need.
func (h pageHeader) checkContent(content []byte) error {
	if h.encoding != deltaPacked {
		return nil
	}
	for _, want := range deltas {
		got, n := binary.Uvarint(content)
		if n <= 0 || got != want {
			return errors.New("differences are packed in another way")
		}
		content = content[n:]
	}
	if values, n := binary.Uvarint(content); n <= 0 || values > uint64(h.values) {
		return errors.New("a page has fewer values than differences")
	}
	return nil
}

// read returns size bytes of the file, which are good until the next call.
func (p *pages) read(at, size int64) ([]byte, error) {
	if int64(cap(p.packed)) < size {
		p.packed = make([]byte, size)
	}
	b := p.packed[:size]
	_, err := p.from.ReadAt(b, at)
	return b, err
}
