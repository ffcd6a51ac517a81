package plausible

// Repeats finds rows that were entered or pasted twice: equal cell for cell to an
// earlier one. Fruit bodies of one visit may be alike in all that is written of
// them, so that equal rows are asked about only where much was measured.
type Repeats struct {
	first  map[uint64]int32
	maybe  [1 << 16]uint64 // bits by the upper part of a digest: where one is 0, first holds none
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
	if r.first == nil {
		r.first = map[uint64]int32{}
	}
	at := len(r.hashes)
	word, bit := hash>>48, uint64(1)<<(hash>>42&63)
	var j int32
	seen := r.maybe[word]&bit != 0
	if seen {
		j, seen = r.first[hash]
	}
	switch {
	case r.run > 0 && r.of+r.run < len(r.hashes) && r.hashes[r.of+r.run] == hash && r.of+r.run < at-r.run:
		r.run++
		r.mixed = r.mixed || hash != r.hashes[r.of]
	case seen:
		r.run, r.of, r.mixed = 1, int(j), false
	default:
		r.run = 0
	}
	if !seen && at < MostRows {
		r.first[hash] = int32(at)
		r.maybe[word] |= bit
	}
	if at < MostRows {
		r.hashes = append(r.hashes, hash)
	}
	switch {
	case seen && (measured >= measuredApart || measured >= measuredNext && at < MostRows && int(j) == at-1):
		return int(j), 1
	case r.run == blockRows && r.mixed && measured < measuredApart:
		return r.of, blockRows
	}
	return 0, 0
}

// Digest is the 64-bit FNV-1a hash of a row's cells.
func Digest(cells []string) uint64 {
	const offset, prime = 14695981039346656037, 1099511628211
	h := uint64(offset)
	for _, c := range cells {
		for i := range len(c) {
			h = (h ^ uint64(c[i])) * prime
		}
		h = (h ^ 0xff) * prime // no byte of UTF-8
	}
	return h
}
