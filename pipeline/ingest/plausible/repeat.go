package plausible

import "math/bits"

// Repeats finds rows that were entered or pasted twice: equal cell for cell to an
// earlier one. Fruit bodies of one visit may be alike in all that is written of
// them, so that equal rows are asked about only where much was measured.
type Repeats struct {
	first  []uint32 // rows from 1 with the top of their digest, by its end: a row stands there or in the first free place after it
	kept   int      // of them
	hashes []uint64
	run    int  // length of the block of rows, the last of them the last added, that equals an earlier block
	of     int  // where that began
	mixed  bool // whether the rows of the block differ from each other
}

const (
	// MostRows bounds the rows that are remembered, and so the memory, to some MB;
	// later ones are compared with these.
	MostRows = 1 << 18
	// measuredApart is how many measured cells make two equal rows one row twice;
	// measuredNext the same for two rows one after the other; blockRows how many
	// rows in a row, whatever was measured (common practice, no source).
	measuredApart = 3
	measuredNext  = 2
	blockRows     = 4
)

// Add takes the digest of the next row and how many of its cells were measured. If
// rows up to this one repeat earlier ones, first and n are the index of the first
// of these and their number; n is 0 otherwise.
func (r *Repeats) Add(hash uint64, measured int) (first, n int) {
	at := len(r.hashes)
	j, seen := r.find(hash)
	switch {
	case r.run > 0 && r.of+r.run < len(r.hashes) && r.hashes[r.of+r.run] == hash && r.of+r.run < at-r.run:
		r.run++
		r.mixed = r.mixed || hash != r.hashes[r.of]
	case seen:
		r.run, r.of, r.mixed = 1, int(j), false
	default:
		r.run = 0
	}
	if at < MostRows {
		r.hashes = append(r.hashes, hash)
		if !seen {
			r.keep(int32(at))
		}
	}
	switch {
	case seen && (measured >= measuredApart || measured >= measuredNext && at < MostRows && int(j) == at-1):
		return int(j), 1
	case r.run == blockRows && r.mixed && measured < measuredApart:
		return r.of, blockRows
	}
	return 0, 0
}

// find returns the first row of a digest.
func (r *Repeats) find(hash uint64) (row int32, ok bool) {
	last := uint64(len(r.first) - 1) // their number is a power of two
	for i := hash; len(r.first) > 0 && r.first[i&last] > 0; i++ {
		if one := r.first[i&last]; one>>rowBits == top(hash) {
			if row = int32(one&(1<<rowBits-1)) - 1; r.hashes[row] == hash {
				return row, true
			}
		}
	}
	return 0, false
}

// rowBits is how many bits the number of a row takes; the others, the top of its digest,
// tell most rows apart without a look at their own.
const rowBits = 19

func top(hash uint64) uint32 { return uint32(hash >> (64 - (32 - rowBits))) }

// keep notes the row as the first of its digest. No more than half of the places are
// taken.
func (r *Repeats) keep(row int32) {
	if r.kept++; 2*r.kept > len(r.first) {
		old := r.first
		r.first = make([]uint32, max(1024, 2*len(old)))
		for _, one := range old {
			if one > 0 {
				r.put(one)
			}
		}
	}
	r.put(top(r.hashes[row])<<rowBits | uint32(row+1))
}

func (r *Repeats) put(one uint32) {
	last := uint64(len(r.first) - 1)
	i := r.hashes[one&(1<<rowBits-1)-1] & last
	for r.first[i] > 0 {
		i = (i + 1) & last
	}
	r.first[i] = one
}

// Digest is a 64-bit hash of a row's cells: eight bytes at a time are mixed by a product
// of 128 bits, as by wyhash (Wang Yi, github.com/wangyi-fudan/wyhash).
func Digest(cells []string) uint64 {
	h := uint64(0x9e3779b97f4a7c15)
	for _, c := range cells {
		long := uint64(len(c))
		for len(c) >= 8 {
			h = mix(h ^ word(c))
			c = c[8:]
		}
		var last uint64
		for i := range len(c) {
			last = last<<8 | uint64(c[i])
		}
		h = mix(h ^ last ^ long<<56)
	}
	return mix(h)
}

// word is the first eight bytes of a text.
func word(c string) uint64 {
	return uint64(c[0]) | uint64(c[1])<<8 | uint64(c[2])<<16 | uint64(c[3])<<24 |
		uint64(c[4])<<32 | uint64(c[5])<<40 | uint64(c[6])<<48 | uint64(c[7])<<56
}

// mix makes every bit depend on every other. The factor is odd and half of its bits are 1.
func mix(v uint64) uint64 {
	high, low := bits.Mul64(v^0x2d358dccaa6c78a5, 0x8bb84b93962eacc9)
	return high ^ low
}
