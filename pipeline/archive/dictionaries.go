package archive

import (
	"bytes"
	"encoding/binary"
	"math"
	"math/bits"

	"ashtally/pipeline/table"

	"github.com/apache/arrow/go/v15/parquet/metadata"
)

// texts is a dictionary of texts. They stand end to end, each after its length: the
// dictionary's page.
type texts struct {
	packed []byte
	ends   []uint32 // of each in packed
	codes  map[string]uint32
	recent [256]uint32 // numbers of texts, from 1, that were met last, by a hash

	inPage      []uint32 // of each, the last page that it stands in, from 1
	page        uint32
	least, most []byte // of the page; nil for none
}

func newTexts() *texts { return &texts{codes: map[string]uint32{}, page: 1} }

func (t *texts) len() int        { return len(t.ends) }
func (t *texts) size() int       { return len(t.packed) }
func (t *texts) encoded() []byte { return t.packed }

// text is the text of a number.
func (t *texts) text(code uint32) []byte {
	from := uint32(0)
	if code > 0 {
		from = t.ends[code-1]
	}
	return t.packed[from+4 : t.ends[code]]
}

func (t *texts) code(to []uint32, r *table.Raw, from, end int) []uint32 {
	for i := from; i < end; i++ {
		if !r.Known(i) {
			continue
		}
		text := r.Texts[r.Ends[i]:r.Ends[i+1]]
		hash := uint32(len(text))
		if len(text) > 0 {
			hash += uint32(text[0])*7 + uint32(text[len(text)/2])*31 + uint32(text[len(text)-1])*5
		}
		recent := &t.recent[hash%uint32(len(t.recent))]
		if *recent == 0 || !bytes.Equal(t.text(*recent-1), text) {
			*recent = t.codeOf(text) + 1
		}
		code := *recent - 1
		if t.inPage[code] != t.page {
			t.inPage[code] = t.page
			t.bound(t.text(code))
		}
		to = append(to, code)
	}
	return to
}

func (t *texts) codeOf(text []byte) uint32 {
	code, ok := t.codes[string(text)]
	if !ok {
		code = uint32(len(t.ends))
		t.codes[string(text)] = code
		t.packed = append(binary.LittleEndian.AppendUint32(t.packed, uint32(len(text))), text...)
		t.ends, t.inPage = append(t.ends, uint32(len(t.packed))), append(t.inPage, 0)
	}
	return code
}

// bound holds a text to the bounds of the page, which have copies: a batch's memory is
// used again.
func (t *texts) bound(text []byte) {
	if t.least == nil || bytes.Compare(text, t.least) < 0 {
		t.least = append([]byte{}, text...)
	}
	if t.most == nil || bytes.Compare(text, t.most) > 0 {
		t.most = append([]byte{}, text...)
	}
}

func (t *texts) plain(to []byte, r *table.Raw, from, end int) []byte {
	for i := from; i < end; i++ {
		if !r.Known(i) {
			continue
		}
		text := r.Texts[r.Ends[i]:r.Ends[i+1]]
		to = append(binary.LittleEndian.AppendUint32(to, uint32(len(text))), text...)
		t.bound(text)
	}
	return to
}

func (t *texts) bounds(s metadata.TypedStatistics) {
	if t.least != nil {
		s.(*metadata.ByteArrayStatistics).SetMinMax(t.least, t.most)
	}
	t.least, t.most = nil, nil
	t.page++
}

// number is the bits of what columns of numbers and days hold.
type number interface{ uint64 | uint32 }

// bytesOf is the size of a number in a file.
func bytesOf[N number]() int { return bits.Len64(uint64(^N(0))) / 8 }

// numbers is a dictionary of numbers by their bits, in which 0 and -0 are two.
type numbers[N number] struct {
	values []N
	places []uint32 // numbers of values, from 1, by a hash; a value stands there or in the next free place
	column func(*table.Raw) []N

	least, most N
	any         bool // whether there are bounds
	less        func(a, b N) bool
	set         func(s metadata.TypedStatistics, least, most N)
}

func newFloats() *numbers[uint64] {
	return &numbers[uint64]{
		column: func(r *table.Raw) []uint64 { return r.Numbers },
		less:   func(a, b uint64) bool { return math.Float64frombits(a) < math.Float64frombits(b) },
		set: func(s metadata.TypedStatistics, least, most uint64) {
			s.(*metadata.Float64Statistics).SetMinMax(math.Float64frombits(least), math.Float64frombits(most))
		},
	}
}

func newWholes() *numbers[uint64] {
	return &numbers[uint64]{
		column: func(r *table.Raw) []uint64 { return r.Numbers },
		less:   func(a, b uint64) bool { return int64(a) < int64(b) },
		set: func(s metadata.TypedStatistics, least, most uint64) {
			s.(*metadata.Int64Statistics).SetMinMax(int64(least), int64(most))
		},
	}
}

func newDays() *numbers[uint32] {
	return &numbers[uint32]{
		column: func(r *table.Raw) []uint32 { return r.Days },
		less:   func(a, b uint32) bool { return int32(a) < int32(b) },
		set: func(s metadata.TypedStatistics, least, most uint32) {
			s.(*metadata.Int32Statistics).SetMinMax(int32(least), int32(most))
		},
	}
}

func (n *numbers[N]) len() int { return len(n.values) }
func (n *numbers[N]) size() int {
	return bytesOf[N]() * len(n.values)
}

func (n *numbers[N]) code(to []uint32, r *table.Raw, from, end int) []uint32 {
	values := n.column(r)
	var last uint32 // from 1
	var lastValue N
	for i := from; i < end; i++ {
		if !r.Known(i) {
			continue
		}
		if v := values[i]; last == 0 || v != lastValue {
			last, lastValue = n.codeOf(v), v
			n.bound(v)
		}
		to = append(to, last-1)
	}
	return to
}

// codeOf is the number of a value, from 1.
func (n *numbers[N]) codeOf(v N) uint32 {
	if 2*len(n.values) >= len(n.places) {
		n.places = make([]uint32, max(64, 2*len(n.places)))
		for i, old := range n.values {
			*n.place(old) = uint32(i + 1)
		}
	}
	place := n.place(v)
	if *place == 0 {
		n.values = append(n.values, v)
		*place = uint32(len(n.values))
	}
	return *place
}

// place is where the number of a value stands or is to stand. The hash is by the odd
// number next to 2^64 divided by the golden ratio (Knuth, The Art of Computer
// Programming 3, section 6.4).
func (n *numbers[N]) place(v N) *uint32 {
	last := uint64(len(n.places) - 1) // their number is a power of two
	for i := uint64(v) * 0x9e3779b97f4a7c15 >> 32; ; i++ {
		p := &n.places[i&last]
		if *p == 0 || n.values[*p-1] == v {
			return p
		}
	}
}

func (n *numbers[N]) bound(v N) {
	if !n.any || n.less(v, n.least) {
		n.least = v
	}
	if !n.any || n.less(n.most, v) {
		n.most = v
	}
	n.any = true
}

func (n *numbers[N]) plain(to []byte, r *table.Raw, from, end int) []byte {
	values := n.column(r)
	for i := from; i < end; i++ {
		if r.Known(i) {
			n.bound(values[i])
			to = appendNumber(to, values[i])
		}
	}
	return to
}

func appendNumber[N number](to []byte, v N) []byte {
	if bytesOf[N]() == 4 {
		return binary.LittleEndian.AppendUint32(to, uint32(v))
	}
	return binary.LittleEndian.AppendUint64(to, uint64(v))
}

func (n *numbers[N]) encoded() []byte {
	out := make([]byte, 0, n.size())
	for _, v := range n.values {
		out = appendNumber(out, v)
	}
	return out
}

func (n *numbers[N]) bounds(s metadata.TypedStatistics) {
	if n.any {
		n.set(s, n.least, n.most)
	}
	n.any = false
}
