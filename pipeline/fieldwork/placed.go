package fieldwork

// place is a distance to a tree of finds of one mode: from the highest bit on the mode,
// the distance in centimetres, and whether the tree recorded is a live host.
type place uint64

const (
	hostBits = 1
	cmBits   = 31
)

func newPlace(mode uint8, cm int32, host bool) place {
	p := (place(mode)<<cmBits | place(cm)) << hostBits
	if host {
		p |= 1
	}
	return p
}

func (p place) host() bool { return p&1 == 1 }
func (p place) cm() int32  { return int32(p >> hostBits & (1<<cmBits - 1)) }
func (p place) mode() int  { return int(p >> (hostBits + cmBits)) }

// placed is a place and, in the lowest bits, how many fruit bodies are there.
type placed uint64

const (
	placedBits = 24 // of the number
	placedMost = 1<<placedBits - 1
)

// appendPlaced appends n fruit bodies of a place to a list. Of a number over placedMost
// there are several.
func appendPlaced(list []placed, p place, n int64) []placed {
	for ; n > 0; n -= placedMost {
		list = append(list, placed(p)<<placedBits|placed(min(n, placedMost)))
	}
	return list
}

func (p placed) n() int64     { return int64(p & placedMost) }
func (p placed) place() place { return place(p >> placedBits) }
