package archive

import (
	"bytes"
	"sort"
	"sync"

	"github.com/apache/arrow/go/v15/parquet"
	"github.com/apache/arrow/go/v15/parquet/file"
	"github.com/apache/arrow/go/v15/parquet/metadata"
	"github.com/apache/thrift/lib/go/thrift"
	"github.com/klauspost/compress/zstd"
)

// zipper compresses all pages of all files. The library's own page writer makes an
// encoder for each, which takes a megabyte to clear and on small tables most of the
// time.
var zipper = sync.OnceValue(func() *zstd.Encoder {
	z, err := zstd.NewWriter(nil, zstd.WithZeroFrames(true), zstd.WithEncoderLevel(zstd.EncoderLevelFromZstd(level)))
	if err != nil {
		panic("archive: " + err.Error()) // of options, which are as above
	}
	return z
})

// pager holds the pages of a column of a row group, with their headers, until all
// columns are complete. It implements file.PageWriter.
type pager struct {
	file.PageWriter // Reset, which is not called

	meta  *metadata.ColumnChunkMetaDataBuilder
	bytes bytes.Buffer
	info  metadata.ChunkMetaInfo // offsets from the beginning of bytes
	of    metadata.EncodingStats // pages by encoding

	hasDictionary, fellBack bool // whether one was tried and given up
}

func newPager(meta *metadata.ColumnChunkMetaDataBuilder) *pager {
	return &pager{meta: meta, of: metadata.EncodingStats{DictEncodingStats: map[parquet.Encoding]int32{}, DataEncodingStats: map[parquet.Encoding]int32{}}}
}

func (p *pager) HasCompressor() bool { return true }

// Compress uses the room of the buffer.
func (p *pager) Compress(buffer *bytes.Buffer, src []byte) []byte {
	return zipper().EncodeAll(src, buffer.Bytes()[:0])
}

// WriteDictionaryPage adds the dictionary, which comes before all else.
func (p *pager) WriteDictionaryPage(page *file.DictionaryPage) (int64, error) {
	p.of.DictEncodingStats[parquet.Encoding(page.Encoding())]++
	return p.add(len(page.Data()), zipper().EncodeAll(page.Data(), nil), func(h *headerWriter) {
		h.i32(1, dictionaryPage)
		h.sizes()
		h.structure(7, func() {
			h.i32(1, page.NumValues())
			h.i32(2, int32(page.Encoding()))
			h.boolean(3, page.IsSorted())
		})
	})
}

// WriteDataPage adds a page of values, compressed before.
func (p *pager) WriteDataPage(page file.DataPage) (int64, error) {
	data := page.(*file.DataPageV2) // the version that layout.go asks for
	if p.info.NumValues == 0 {
		p.info.DataPageOffset = int64(p.bytes.Len())
	}
	p.info.NumValues += int64(data.NumValues())
	p.of.DataEncodingStats[parquet.Encoding(data.Encoding())]++
	return p.add(int(data.UncompressedSize()), data.Data(), func(h *headerWriter) {
		h.i32(1, dataPage)
		h.sizes()
		h.structure(8, func() {
			h.i32(1, data.NumValues())
			h.i32(2, data.NumNulls())
			h.i32(3, data.NumRows())
			h.i32(4, int32(data.Encoding()))
			h.i32(5, data.DefinitionLevelByteLen())
			h.i32(6, data.RepetitionLevelByteLen())
			if !data.IsCompressed() { // else it goes without saying
				h.boolean(7, false)
			}
			statistics := data.Statistics()
			h.field("statistics", thrift.STRUCT, 8)
			h.note(statistics.ToThrift().Write(h.ctx, h.out))
		})
	})
}

// add adds a page after its header, and returns the length of both.
func (p *pager) add(unpacked int, packed []byte, fields func(*headerWriter)) (int64, error) {
	before := p.bytes.Len()
	h := newHeaderWriter(&p.bytes, unpacked, len(packed))
	fields(h)
	if err := h.end(); err != nil {
		return 0, err
	}
	long := p.bytes.Len() - before
	p.bytes.Write(packed)
	p.info.UncompressedSize += int64(unpacked + long)
	p.info.CompressedSize += int64(len(packed) + long)
	return int64(len(packed) + long), nil
}

// Close ends the pages of the column.
func (p *pager) Close(hasDictionary, fellBack bool) error {
	p.hasDictionary, p.fellBack = hasDictionary, fellBack
	return nil
}

// place completes the column, which comes to stand at a place in the file, and
// returns its bytes.
func (p *pager) place(at int64) ([]byte, error) {
	info := p.info
	info.IndexPageOffset = -1
	info.DataPageOffset += at
	if len(p.of.DictEncodingStats) > 0 {
		info.DictPageOffset += at
	}
	if err := p.meta.Finish(info, p.hasDictionary, p.fellBack, p.of, nil); err != nil {
		return nil, err
	}
	// Where a dictionary was given up, the library lists the pages of both encodings in
	// the order of a map, another one each time.
	pages := p.meta.Contents().MetaData.EncodingStats
	sort.SliceStable(pages, func(i, j int) bool {
		return pages[i].PageType == pages[j].PageType && pages[i].Encoding < pages[j].Encoding
	})
	return p.bytes.Bytes(), nil
}
