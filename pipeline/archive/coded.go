package archive

import (
	"encoding/binary"
	"math/bits"

	"ashtally/pipeline/table"

	"github.com/apache/arrow/go/v15/parquet"
	"github.com/apache/arrow/go/v15/parquet/metadata"
	"github.com/apache/arrow/go/v15/parquet/schema"
)

// coded is a chunk whose pages hold numbers into a dictionary and, once that has grown
// too large, the values themselves. It makes the pages that the Parquet library would,
// byte for byte, and looks up a value that is the same as one before without a hash or
// an allocation, which take the library most of its time.
type coded struct {
	pager      *pager
	properties *parquet.WriterProperties
	path       string
	optional   bool
	ordered    bool // whether Min and Max of the statistics are to be set beside MinValue and MaxValue
	dictionary dictionary

	// Of the page that is being filled:
	rows, nulls int
	known       bitmap
	codes       codes  // of those that are known
	values      []byte // once the dictionary was given up

	step                    []uint32 // room for the codes of some rows
	encoded, zipped, levels []byte   // room for them
	page, all               metadata.TypedStatistics
	fellBack                bool
	waiting, written        int64
}

// dictionary is the values of a chunk that differ, in the order they were met.
type dictionary interface {
	// code appends the numbers of the values of some rows, adding those that are new.
	code(to []uint32, r *table.Raw, from, end int) []uint32
	// plain appends these values as they are.
	plain(to []byte, r *table.Raw, from, end int) []byte
	// encoded is all values, as the dictionary's page has them.
	encoded() []byte
	len() int
	// size is the bytes of encoded.
	size() int
	// bounds adds the least and the greatest value since the last call.
	bounds(metadata.TypedStatistics)
}

func newCoded(p *pager, properties *parquet.WriterProperties, optional bool, d dictionary) *coded {
	descr := p.meta.Descr()
	return &coded{
		pager: p, properties: properties, optional: optional, dictionary: d, path: descr.Path(), ordered: descr.SortOrder() == schema.SortSIGNED,
		page: metadata.NewStatistics(descr, properties.Allocator()), all: metadata.NewStatistics(descr, properties.Allocator()),
	}
}

// write adds the values of a column, some rows at a time: after each the page may be full.
func (c *coded) write(b table.Batch, column int) error {
	r := b.Raw(column)
	step := int(c.properties.WriteBatchSize())
	for from := 0; from < r.Rows; from += step {
		end := min(from+step, r.Rows)
		c.add(&r, from, end)
		if c.pageBytes() >= int(c.properties.DataPageSize()) {
			if err := c.endPage(); err != nil {
				return err
			}
		}
		if !c.fellBack && c.dictionary.size() >= int(c.properties.DictionaryPageSizeLimit()) {
			if err := c.giveUp(); err != nil {
				return err
			}
		}
	}
	return nil
}

func (c *coded) add(r *table.Raw, from, end int) {
	known := end - from
	if c.fellBack {
		c.values = c.dictionary.plain(c.values, r, from, end)
		for i := from; r.Valid != nil && i < end; i++ {
			if !r.Known(i) {
				known--
			}
		}
	} else {
		c.step = c.dictionary.code(c.step[:0], r, from, end)
		c.codes.add(c.step, c.dictionary.len())
		known = len(c.step)
	}
	if c.optional {
		c.known.add(r.Valid, r.First+from, end-from)
	}
	c.rows += end - from
	c.nulls += end - from - known
}

// width is the bits of a number into the dictionary.
func (c *coded) width() int {
	if n := c.dictionary.len(); n != 1 {
		return bits.Len32(uint32(max(n-1, 0)))
	}
	return 1
}

// pageBytes is the most that the values of the page may take.
func (c *coded) pageBytes() int {
	if c.fellBack {
		return len(c.values)
	}
	// As the library has it: all in groups, or all in runs of eight, and a longest one of either.
	width, eights := c.width(), (c.codes.len()+7)/8
	value := (width + 7) / 8
	return 1 + eights*(1+max(width, value)) + max(1+64*width, binary.MaxVarintLen32+value)
}

// endPage adds the page that was filled.
func (c *coded) endPage() error {
	if c.rows == 0 {
		return nil
	}
	one := page{values: int32(c.rows), nulls: int32(c.nulls), rows: int32(c.rows), encoding: parquet.Encodings.Plain}
	values := c.values
	if !c.fellBack {
		one.encoding = c.properties.DictionaryIndexEncoding()
		c.encoded = c.codes.appendTo(c.encoded[:0], c.width())
		values = c.encoded
	}
	c.levels = c.levels[:0]
	if c.optional {
		c.levels = c.known.appendBits(c.levels)
	}
	c.zipped = zipper().EncodeAll(values, c.zipped[:0])
	c.page.IncNulls(int64(c.nulls))
	c.page.IncNumValues(int64(c.rows - c.nulls))
	c.dictionary.bounds(c.page)
	var err error
	if one.statistics, err = c.statistics(c.page); err != nil {
		return err
	}
	c.all.Merge(c.page)
	c.page.Reset()
	one.unpacked, one.levels = len(c.levels)+len(values), len(c.levels)
	n, err := c.pager.addPage(one, c.levels, c.zipped)
	if c.waiting += int64(len(c.levels) + len(c.zipped)); c.fellBack {
		c.written += n
	}
	c.rows, c.nulls, c.values = 0, 0, c.values[:0]
	c.codes.reset()
	c.known.reset()
	return err
}

func (c *coded) statistics(of metadata.TypedStatistics) (metadata.EncodedStatistics, error) {
	s, err := of.Encode()
	s.ApplyStatSizeLimits(int(c.properties.MaxStatsSizeFor(c.path)))
	s.Signed = c.ordered
	return s, err
}

// giveUp ends the dictionary; what follows is written as it is.
func (c *coded) giveUp() error {
	if err := c.endPage(); err != nil {
		return err
	}
	err := c.endDictionary()
	c.fellBack = true
	return err
}

func (c *coded) endDictionary() error {
	_, err := c.pager.addDictionary(c.dictionary.len(), c.dictionary.encoded(), c.properties.DictionaryPageEncoding())
	c.waiting, c.written = 0, c.pager.info.CompressedSize
	return err
}

// size is what the library would say: what awaits the dictionary, without heads, and what does not.
func (c *coded) size() int64 { return c.waiting + c.written }

func (c *coded) close() error {
	if err := c.endPage(); err != nil {
		return err
	}
	if !c.fellBack {
		if err := c.endDictionary(); err != nil {
			return err
		}
	}
	c.waiting = 0
	s, err := c.statistics(c.all)
	if err != nil {
		return err
	}
	c.pager.meta.SetStats(s)
	return c.pager.Close(true, c.fellBack)
}
