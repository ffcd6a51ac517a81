package permute

import (
	"math"
	"math/bits"

	"ashtally/stats/random"
)

// words is how many words have a bit for each item.
func (b *block) words() int { return (len(b.items) + 63) / 64 }

// deal draws which items each label but the rest falls to: words with a bit for each
// item, label by label; free is room for as many words as one label has.
//
// A label falls to each item that is free with the same probability, independently;
// then items drawn at random are taken from it, or given to it, until it has as many as
// were seen. No item is treated unlike another, so that all arrangements are
// equally likely, whatever the probability; that it is about right leaves few items to be
// exchanged.
func (b *block) deal(random *random.Source, free, to []uint64) {
	for w := range free {
		free[w] = uint64(1)<<min(64, len(b.items)-64*w) - 1
	}
	for k, run := range b.runs {
		mask, times := to[k*len(free):][:len(free)], run.to-run.from
		n := some(random, run.chance, free, mask)
		b.move(random, n-times, mask, free)
		b.move(random, times-n, free, mask)
	}
}

// move moves n bits drawn at random. What is drawn is not foreseeable, so that a branch by it
// would cost more than all else.
func (b *block) move(random *random.Source, n int, from, to []uint64) {
	to = to[:len(from)]
	for n > 0 {
		at := random.Below(uint32(len(b.items)))
		word := &from[at/64]
		bit := *word >> (at % 64) & 1
		*word &^= bit << (at % 64)
		to[at/64] |= bit << (at % 64)
		n -= int(bit)
	}
}

const (
	chanceBits = 8 // of a probability
	// wordsForMove is how many random words cost as much as moving an item.
	wordsForMove = 3
)

// cheapest is the probability over 2^-chanceBits with which a label falls to so many of the
// items left at the least cost: a bit of it costs a random word for each word of items, what
// it is away from their share as many items to be moved.
func cheapest(times, left, words int) (chance int) {
	least := math.Inf(1)
	for bits := range chanceBits + 1 {
		unit := float64(int(1) << (chanceBits - bits))
		c := unit * math.Round(float64(times<<chanceBits)/float64(left)/unit)
		away := math.Abs(c/(1<<chanceBits)*float64(left) - float64(times))
		if cost := float64(bits*words) + wordsForMove*away; cost < least {
			least, chance = cost, int(c)
		}
	}
	return chance
}

// some moves each bit that is free to the mask with probability chance/2^chanceBits,
// and returns how many. A bit of a probability is that of a number of so many random bits
// to be under it: from the lowest on, or where it has a 1, and where it has a 0.
func some(random *random.Source, chance int, free, mask []uint64) (n int) {
	clear(mask)
	if chance == 0 {
		return 0
	}
	lowest := bits.TrailingZeros(uint(chance))
	for w, f := range free {
		var under uint64
		for bit := lowest; bit < chanceBits; bit++ {
			if chance>>bit&1 == 1 {
				under |= random.Uint64()
			} else {
				under &= random.Uint64()
			}
		}
		mask[w] = under & f
		free[w] = f &^ under
		n += bits.OnesCount64(mask[w])
	}
	return n
}
