package archive

import (
	"bytes"
	"encoding/binary"
	"math"

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

// bound holds a text to the bounds of the page.
func (t *texts) bound(text []byte) {
	if t.least == nil || bytes.Compare(text, t.least) < 0 {
		t.least = text
	}
	if t.most == nil || bytes.Compare(text, t.most) > 0 {
		t.most = text
	}
}

func (t *texts) plain(to []byte, r *table.Raw, from, end int) []byte {
	for i := from; i < end; i++ {
		if !r.Known(i) {
			continue
		}
		text := r.Texts[r.Ends[i]:r.Ends[i+1]]
		to = append(binary.LittleEndian.AppendUint32(to, uint32(len(text))), text...)
		if t.least == nil || bytes.Compare(text, t.least) < 0 {
			t.least = append([]byte{}, text...) // the batch will be gone
		}
		if t.most == nil || bytes.Compare(text, t.most) > 0 {
			t.most = append([]byte{}, text...)
		}
	}
	return to
}

func (t *texts) bounds(s metadata.TypedStatistics) {
	if t.least != nil {
		s.(*metadata.ByteArrayStatistics).SetMinMax(bytes.Clone(t.least), bytes.Clone(t.most))
	}
	t.least, t.most = nil, nil
	t.page++
}

// number is what columns of numbers and days hold.
type number interface{ float64 | int64 | int32 }

// numbers is a dictionary of numbers.
type numbers[T number] struct {
	values []T
	places []uint32 // numbers of values, from 1, by a hash; a value stands there or in the next free place
	column func(*table.Raw) []T
	bits   func(T) uint64
	wide   int // bytes of one

	least, most T
	any         bool // whether there are bounds
	set         func(s metadata.TypedStatistics, least, most T)
}

func newFloats() *numbers[float64] {
	return &numbers[float64]{wide: 8, bits: math.Float64bits, column: func(r *table.Raw) []float64 { return r.Floats },
		set: func(s metadata.TypedStatistics, least, most float64) {
			s.(*metadata.Float64Statistics).SetMinMax(least, most)
		}}
}

func newWholes() *numbers[int64] {
	return &numbers[int64]{wide: 8, bits: func(v int64) uint64 { return uint64(v) }, column: func(r *table.Raw) []int64 { return r.Wholes },
		set: func(s metadata.TypedStatistics, least, most int64) {
			s.(*metadata.Int64Statistics).SetMinMax(least, most)
		}}
}

func newDays() *numbers[int32] {
	return &numbers[int32]{wide: 4, bits: func(v int32) uint64 { return uint64(uint32(v)) }, column: func(r *table.Raw) []int32 { return r.Days },
		set: func(s metadata.TypedStatistics, least, most int32) {
			s.(*metadata.Int32Statistics).SetMinMax(least, most)
		}}
}

func (n *numbers[T]) len() int  { return len(n.values) }
func (n *numbers[T]) size() int { return n.wide * len(n.values) }

func (n *numbers[T]) code(to []uint32, r *table.Raw, from, end int) []uint32 {
	values := n.column(r)
	var last uint32 // from 1
	var lastValue T
	for i := from; i < end; i++ {
		if !r.Known(i) {
			continue
		}
		v := values[i]
		if last == 0 || !same(v, lastValue) {
			last, lastValue = n.codeOf(v), v
			n.bound(v)
		}
		to = append(to, last-1)
	}
	return to
}

// bitsOf is the bits of a number as a float, which tell all but large whole numbers apart.
func bitsOf[T number](v T) uint64 { return math.Float64bits(float64(v)) }

// same reports whether two numbers are, 0 and -0 being two.
func same[T number](a, b T) bool { return a == b && bitsOf(a) == bitsOf(b) }

// codeOf is the number of a value, from 1.
func (n *numbers[T]) codeOf(v T) uint32 {
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
func (n *numbers[T]) place(v T) *uint32 {
	last := uint64(len(n.places) - 1) // their number is a power of two
	for i := bitsOf(v) * 0x9e3779b97f4a7c15 >> 32; ; i++ {
		p := &n.places[i&last]
		if *p == 0 || same(n.values[*p-1], v) {
			return p
		}
	}
}

func (n *numbers[T]) bound(v T) {
	if !n.any || v < n.least {
		n.least = v
	}
	if !n.any || v > n.most {
		n.most = v
	}
	n.any = true
}

func (n *numbers[T]) plain(to []byte, r *table.Raw, from, end int) []byte {
	values := n.column(r)
	for i := from; i < end; i++ {
		if r.Known(i) {
			n.bound(values[i])
			to = n.append(to, values[i])
		}
	}
	return to
}

func (n *numbers[T]) append(to []byte, v T) []byte {
	if n.wide == 4 {
		return binary.LittleEndian.AppendUint32(to, uint32(n.bits(v)))
	}
	return binary.LittleEndian.AppendUint64(to, n.bits(v))
}

func (n *numbers[T]) encoded() []byte {
	out := make([]byte, 0, n.size())
	for _, v := range n.values {
		out = n.append(out, v)
	}
	return out
}

func (n *numbers[T]) bounds(s metadata.TypedStatistics) {
	if n.any {
		n.set(s, n.least, n.most)
	}
	n.any = false
}
