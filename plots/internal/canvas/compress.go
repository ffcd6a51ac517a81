package canvas

import (
	"cmp"
	"encoding/binary"
	"hash/adler32"
	"slices"
	"sync"
)

// compress is the zlib stream of an image in rows of stride bytes (RFC 1950, RFC
// 1951). What it looks for is what drawings are made of: pixels like the one
// before, and rows like the one above. A general compressor searches all of the
// last 32 kilobytes for the same, and takes ten times as long.
func compress(pix []byte, stride int) []byte {
	t := tokens{stride: stride}
	if kept, ok := tokenLists.Get().(*[]uint32); ok {
		t.list = (*kept)[:0]
	}
	defer func() { tokenLists.Put(&t.list) }()
	t.take(pix)
	out := bits{to: []byte{0x78, 0x01}} // deflate with a window of 32 KiB, fast
	t.write(&out)
	return binary.BigEndian.AppendUint32(out.end(), adler32.Checksum(pix))
}

// tokenLists keeps the memory of tokens for the next image.
var tokenLists sync.Pool

const (
	leastCopy = 3   // match of deflate
	mostCopy  = 258 // match of deflate
	endBlock  = 256 // the symbol that ends a block
)

// tokens are an image as single bytes and as copies of the byte before or of the
// row above. A token is a byte, or the length of a copy above one of the marks.
type tokens struct {
	stride int
	list   []uint32
}

const (
	copyByte = 1 << 16
	copyRow  = 2 << 16
)

func (t *tokens) take(pix []byte) {
	for at := 0; at < len(pix); {
		run, row := 0, 0
		if at > 0 {
			run = alike(pix, at, 1)
		}
		// A copy of the row above costs a dozen bits, a run few.
		if at >= t.stride && run < mostCopy {
			row = alike(pix, at, t.stride)
		}
		switch {
		case row >= 4 && row > run+8:
			t.copies(copyRow, row)
			at += row
		case run >= leastCopy:
			t.copies(copyByte, run)
			at += run
		default:
			t.list = append(t.list, uint32(pix[at]))
			at++
		}
	}
}

// alike is how many bytes from at on are those of so far before.
func alike(pix []byte, at, before int) int {
	i := at
	for i+8 <= len(pix) && binary.LittleEndian.Uint64(pix[i:]) == binary.LittleEndian.Uint64(pix[i-before:]) {
		i += 8
	}
	for i < len(pix) && pix[i] == pix[i-before] {
		i++
	}
	return i - at
}

// copies divides a copy into those that are as long as may be, and none too short.
func (t *tokens) copies(of uint32, n int) {
	for ; n >= mostCopy+leastCopy; n -= mostCopy {
		t.list = append(t.list, of|mostCopy)
	}
	if n > mostCopy {
		t.list = append(t.list, of|uint32(n-leastCopy))
		n = leastCopy
	}
	t.list = append(t.list, of|uint32(n))
}

// write writes the tokens as one block, by Huffman codes of its own.
func (t *tokens) write(out *bits) {
	var often [286]int
	often[endBlock] = 1
	for _, k := range t.list {
		often[symbol(k)]++
	}
	lengths := codeLengths(often[:])
	codes := codesOf(lengths)
	rowSymbol, rowExtra, rowBits := distance(t.stride)

	out.add(1, 1)         // the last block
	out.add(2, 2)         // with codes of its own
	out.add(286-257, 5)   // symbols of bytes and lengths
	out.add(rowSymbol, 5) // symbols of distances, less one
	out.add(19-4, 4)      // lengths of the code of lengths:
	out.add(0, 9)         // none for repetitions,
	for range 16 {
		out.add(4, 3) // and 4 bits for each of 0 to 15
	}
	for _, n := range lengths {
		out.add(reversed(uint32(n), 4), 4)
	}
	for s := range rowSymbol + 1 { // two distances: one bit each
		n := uint32(0)
		if s == 0 || s == rowSymbol {
			n = 1
		}
		out.add(reversed(n, 4), 4)
	}
	for _, k := range t.list {
		s := symbol(k)
		out.add(codes[s], lengths[s])
		if k < copyByte {
			continue
		}
		n := k & 0xffff
		base, more := lengthCode(s)
		out.add(n-base, more)
		if k&copyRow != 0 {
			out.add(1|rowExtra<<1, 1+rowBits)
		} else {
			out.add(0, 1)
		}
	}
	out.add(codes[endBlock], lengths[endBlock])
}

// symbol is that of a byte or of the length of a copy.
func symbol(token uint32) int {
	if token < copyByte {
		return int(token)
	}
	return int(lengthSymbols[token&0xffff])
}

// lengthCode is the least length of a symbol and the number of bits that say the rest.
func lengthCode(s int) (base uint32, more uint8) {
	k := s - 257
	switch {
	case k < 8:
		return uint32(k + leastCopy), 0
	case k == 28:
		return mostCopy, 0
	}
	more = uint8(k/4 - 1)
	return uint32(leastCopy + (4+k%4)<<more), more
}

// lengthSymbols are the symbols of all lengths.
var lengthSymbols = func() (symbols [mostCopy + 1]uint16) {
	for s := 257; s <= 285; s++ {
		base, more := lengthCode(s)
		for n := base; n < base+1<<more && n <= mostCopy; n++ {
			symbols[n] = uint16(s)
		}
	}
	return symbols
}()

// distance is the symbol of a distance of 2 and more, and the bits that say the rest.
func distance(d int) (symbol, extra uint32, more uint8) {
	v := uint32(d - 1)
	if v < 4 {
		return v, 0, 0
	}
	for v>>(more+2) != 0 {
		more++
	}
	return uint32(2*more) + 2 + v>>more&1, v & (1<<more - 1), more
}

// codeLengths are the lengths of a Huffman code for symbols that come so often.
// Where one would be longer than deflate allows, rare symbols are taken for more
// frequent than they are.
func codeLengths(often []int) []uint8 {
	const most = 15
	type node struct{ often, left, right int }
	for flat := 0; ; flat++ {
		var nodes []node
		var symbols []int
		for s, n := range often {
			if n > 0 {
				symbols = append(symbols, s)
			}
		}
		slices.SortStableFunc(symbols, func(a, b int) int { return cmp.Compare(often[a]>>flat, often[b]>>flat) })
		for _, s := range symbols {
			nodes = append(nodes, node{often[s]>>flat + 1, -1, s})
		}
		leaves, leaf, inner := len(nodes), 0, len(nodes)
		rarest := func() int {
			if inner == len(nodes) || leaf < leaves && nodes[leaf].often <= nodes[inner].often {
				leaf++
				return leaf - 1
			}
			inner++
			return inner - 1
		}
		for len(nodes) < 2*leaves-1 {
			a := rarest()
			b := rarest()
			nodes = append(nodes, node{nodes[a].often + nodes[b].often, a, b})
		}
		depth := make([]uint8, len(nodes))
		lengths, deepest := make([]uint8, len(often)), uint8(0)
		for i := len(nodes) - 1; i >= 0; i-- {
			if n := nodes[i]; n.left < 0 {
				lengths[n.right] = depth[i]
				deepest = max(deepest, depth[i])
			} else {
				depth[n.left], depth[n.right] = depth[i]+1, depth[i]+1
			}
		}
		if deepest <= most {
			return lengths
		}
	}
}

// codesOf are the codes of such lengths, their first bit lowest: the shorter before
// the longer, and in the order of the symbols (RFC 1951, 3.2.2).
func codesOf(lengths []uint8) []uint32 {
	var count, next [17]uint32
	for _, n := range lengths {
		if n > 0 {
			count[n]++
		}
	}
	for n := 1; n < len(next); n++ {
		next[n] = (next[n-1] + count[n-1]) << 1
	}
	codes := make([]uint32, len(lengths))
	for s, n := range lengths {
		if n > 0 {
			codes[s] = reversed(next[n], n)
			next[n]++
		}
	}
	return codes
}

// reversed turns the lowest n bits around.
func reversed(v uint32, n uint8) (out uint32) {
	for range n {
		out = out<<1 | v&1
		v >>= 1
	}
	return out
}

// bits are written from the lowest of each byte up.
type bits struct {
	to   []byte
	kept uint64
	n    uint8
}

func (b *bits) add(v uint32, n uint8) {
	b.kept |= uint64(v) << b.n
	b.n += n
	if b.n >= 32 {
		b.to = binary.LittleEndian.AppendUint32(b.to, uint32(b.kept))
		b.kept >>= 32
		b.n -= 32
	}
}

// end fills the last byte.
func (b *bits) end() []byte {
	for ; b.n > 0; b.n -= min(b.n, 8) {
		b.to = append(b.to, byte(b.kept))
		b.kept >>= 8
	}
	return b.to
}
