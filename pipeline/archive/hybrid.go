package archive

import "encoding/binary"

// Numbers of few bits are written in the hybrid of the Parquet format: eight or more
// equal ones as a run, others in groups of eight, packed. Runs and groups are chosen
// as the Parquet library does, so that the bytes are the same.

const (
	groupOf    = 8
	mostGroups = 63 // that follow one head of a byte: its lowest bit says that they are groups
)

// hybrid is a list of numbers that is being written.
type hybrid struct {
	out    []byte
	head   int // where the head of the open groups stands, from 1; 0 = there are none
	groups int // that are open
}

// run adds a number that is repeated.
func (h *hybrid) run(value uint32, width, times int) {
	h.end()
	h.out = binary.AppendUvarint(h.out, uint64(times)<<1)
	for ; width > 0; width -= 8 {
		h.out = append(h.out, byte(value))
		value >>= 8
	}
}

// begin makes room for a group of eight.
func (h *hybrid) begin() {
	if h.head == 0 {
		h.out = append(h.out, 0)
		h.head = len(h.out)
	}
	h.groups++
}

// added ends a group, and all that are open where no more may follow.
func (h *hybrid) added() {
	if h.groups == mostGroups {
		h.end()
	}
}

// end writes the head of the groups that are open.
func (h *hybrid) end() {
	if h.head > 0 {
		h.out[h.head-1] = byte(h.groups<<1 | 1)
		h.head, h.groups = 0, 0
	}
}

// code is a number into a dictionary, in a byte where it has few values.
type code interface{ uint8 | uint32 }

// codes are those of a page, which may be a million: in a byte each while they are small.
type codes struct {
	small []uint8
	large []uint32 // instead, once they are not
}

// add appends numbers below a limit.
func (c *codes) add(numbers []uint32, limit int) {
	if limit > 1<<8 {
		for _, n := range c.small {
			c.large = append(c.large, uint32(n))
		}
		c.small, c.large = c.small[:0], append(c.large, numbers...)
		return
	}
	for _, n := range numbers {
		c.small = append(c.small, uint8(n))
	}
}

func (c *codes) len() int { return len(c.small) + len(c.large) }
func (c *codes) reset()   { c.small, c.large = c.small[:0], c.large[:0] }

// appendTo appends the width in a byte, and the numbers in so many bits.
func (c *codes) appendTo(out []byte, width int) []byte {
	if len(c.large) > 0 {
		return appendNumbers(out, width, c.large)
	}
	return appendNumbers(out, width, c.small)
}

// appendNumbers appends the width in a byte and numbers of so many bits.
func appendNumbers[N code](out []byte, width int, numbers []N) []byte {
	h := hybrid{out: append(out, byte(width))}
	for len(numbers) > 0 {
		first, equal := numbers[0], 1
		for equal < len(numbers) && numbers[equal] == first {
			equal++
		}
		if equal >= groupOf || equal == len(numbers) && h.head == 0 {
			h.run(uint32(first), width, equal)
			numbers = numbers[equal:]
			continue
		}
		n := min(groupOf, len(numbers))
		h.begin()
		h.out = appendPacked(h.out, width, numbers[:n])
		h.added()
		numbers = numbers[n:]
	}
	h.end()
	return h.out
}

// appendPacked packs up to eight numbers of so many bits, as if zeros followed.
func appendPacked[N code](out []byte, width int, numbers []N) []byte {
	var bits uint64
	n, end := 0, len(out)+width // eight numbers of a bit are a byte
	for _, v := range numbers {
		bits |= uint64(v) << n
		for n += width; n >= 8; n -= 8 {
			out = append(out, byte(bits))
			bits >>= 8
		}
	}
	for ; len(out) < end; bits >>= 8 {
		out = append(out, byte(bits))
	}
	return out
}

// bitmap is a growing list of bits, the lowest of a byte first. Beyond its end all are 0.
type bitmap struct {
	bytes []byte
	n     int
}

// add appends n bits of others, from one of them on; nil stands for ones.
func (b *bitmap) add(bits []byte, from, n int) {
	for n > 0 && b.n%8 > 0 {
		b.put(bits == nil || bits[from/8]>>(from%8)&1 == 1)
		from++
		n--
	}
	for ; n >= 8; n -= 8 {
		b.bytes = append(b.bytes, byteAt(bits, from))
		b.n += 8
		from += 8
	}
	for ; n > 0; n-- {
		b.put(bits == nil || bits[from/8]>>(from%8)&1 == 1)
		from++
	}
}

func (b *bitmap) put(bit bool) {
	if b.n%8 == 0 {
		b.bytes = append(b.bytes, 0)
	}
	if bit {
		b.bytes[b.n/8] |= 1 << (b.n % 8)
	}
	b.n++
}

// byteAt is eight bits from one on; nil stands for ones.
func byteAt(bits []byte, from int) byte {
	switch {
	case bits == nil:
		return 0xff
	case from%8 == 0:
		return bits[from/8]
	case from/8+1 < len(bits):
		return bits[from/8]>>(from%8) | bits[from/8+1]<<(8-from%8)
	}
	return bits[from/8] >> (from % 8)
}

// appendBits appends the bits, as numbers of one bit.
func (b *bitmap) appendBits(out []byte) []byte {
	h := hybrid{out: out}
	for at := 0; at < b.n; {
		first := b.bytes[at/8] >> (at % 8) & 1
		equal := b.equalFrom(at, first)
		if equal >= groupOf || at+equal == b.n && h.head == 0 {
			h.run(uint32(first), 1, equal)
			at += equal
			continue
		}
		h.begin()
		h.out = append(h.out, byteAt(b.bytes, at))
		h.added()
		at += groupOf
	}
	h.end()
	return h.out
}

// equalFrom is how many bits from one on are equal to it.
func (b *bitmap) equalFrom(from int, bit byte) int {
	all := -bit // eight of them
	at := from
	for at < b.n {
		if at%8 == 0 && at+8 <= b.n && b.bytes[at/8] == all {
			at += 8
			continue
		}
		if b.bytes[at/8]>>(at%8)&1 != bit {
			break
		}
		at++
	}
	return at - from
}

func (b *bitmap) reset() { b.bytes, b.n = b.bytes[:0], 0 }
