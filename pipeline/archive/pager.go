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
	z, err := zstd.NewWriter(nil, zstd.WithZeroFrames(true), zstd.WithLowerEncoderMem(true), zstd.WithEncoderLevel(zstd.EncoderLevelFromZstd(level)))
	if err != nil {
		panic("archive: " + err.Error()) // of options, which are as above
	}
	return z
})

// pager holds the pages of a column of a row group, with their headers, until all
// columns are complete. It implements file.PageWriter for columns without a dictionary.
type pager struct {
	file.PageWriter // WriteDictionaryPage and Reset, which are not called

	meta       *metadata.ColumnChunkMetaDataBuilder
	dictionary bytes.Buffer // which comes before all else
	pages      bytes.Buffer
	info       metadata.ChunkMetaInfo // offsets from the beginning of the column
	of         metadata.EncodingStats // pages by encoding

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

// addDictionary adds the dictionary, which holds so many values.
func (p *pager) addDictionary(values int, content []byte, encoding parquet.Encoding) (int64, error) {
	p.of.DictEncodingStats[encoding]++
	return p.add(&p.dictionary, len(content), func(h *headerWriter) {
		h.i32(1, dictionaryPage)
		h.sizes()
		h.structure(7, func() {
			h.i32(1, int32(values))
			h.i32(2, int32(encoding))
			h.boolean(3, false) // whether it is sorted
		})
	}, zipper().EncodeAll(content, nil))
}

// page is one of values.
type page struct {
	values, nulls, rows int32
	encoding            parquet.Encoding
	unpacked            int // bytes before compression, levels and all
	levels              int // bytes of definition levels, which come first
	statistics          metadata.EncodedStatistics
}

// WriteDataPage adds a page of values, compressed before.
func (p *pager) WriteDataPage(one file.DataPage) (int64, error) {
	data := one.(*file.DataPageV2) // the version that layout.go asks for
	return p.addPage(page{
		values: data.NumValues(), nulls: data.NumNulls(), rows: data.NumRows(), encoding: parquet.Encoding(data.Encoding()),
		unpacked: int(data.UncompressedSize()), levels: int(data.DefinitionLevelByteLen()), statistics: data.Statistics(),
	}, data.Data())
}

// addPage adds a page of which some parts are its body.
func (p *pager) addPage(one page, body ...[]byte) (int64, error) {
	if p.info.NumValues == 0 {
		p.info.DataPageOffset = int64(p.pages.Len())
	}
	p.info.NumValues += int64(one.values)
	p.of.DataEncodingStats[one.encoding]++
	return p.add(&p.pages, one.unpacked, func(h *headerWriter) {
		h.i32(1, dataPage)
		h.sizes()
		h.structure(8, func() {
			h.i32(1, one.values)
			h.i32(2, one.nulls)
			h.i32(3, one.rows)
			h.i32(4, int32(one.encoding))
			h.i32(5, int32(one.levels))
			h.i32(6, 0) // of repetition
			h.field("statistics", thrift.STRUCT, 8)
			h.note(one.statistics.ToThrift().Write(h.ctx, h.out))
		})
	}, body...)
}

// add adds a page after its header, and returns the length of both.
func (p *pager) add(to *bytes.Buffer, unpacked int, fields func(*headerWriter), body ...[]byte) (int64, error) {
	packed := 0
	for _, part := range body {
		packed += len(part)
	}
	before := to.Len()
	h := newHeaderWriter(to, unpacked, packed)
	fields(h)
	if err := h.end(); err != nil {
		return 0, err
	}
	long := to.Len() - before
	for _, part := range body {
		to.Write(part)
	}
	p.info.UncompressedSize += int64(unpacked + long)
	p.info.CompressedSize += int64(packed + long)
	return int64(packed + long), nil
}

// Close ends the pages of the column.
func (p *pager) Close(hasDictionary, fellBack bool) error {
	p.hasDictionary, p.fellBack = hasDictionary, fellBack
	return nil
}

// place completes the column, which comes to stand at a place in the file, and
// returns the parts of it in their order.
func (p *pager) place(at int64) (parts [2][]byte, err error) {
	info := p.info
	info.IndexPageOffset = -1
	info.DataPageOffset += at + int64(p.dictionary.Len())
	if p.dictionary.Len() > 0 {
		info.DictPageOffset = at
	}
	if err := p.meta.Finish(info, p.hasDictionary, p.fellBack, p.of, nil); err != nil {
		return parts, err
	}
	// Where a dictionary was given up, the library lists the pages of both encodings in
	// the order of a map, another one each time.
	pages := p.meta.Contents().MetaData.EncodingStats
	sort.SliceStable(pages, func(i, j int) bool {
		return pages[i].PageType == pages[j].PageType && pages[i].Encoding < pages[j].Encoding
	})
	return [2][]byte{p.dictionary.Bytes(), p.pages.Bytes()}, nil
}
