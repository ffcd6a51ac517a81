// Package random draws what resampling and permutation need by the million: numbers
// below a limit, two from each output of the generator.
package random

import (
	"math/bits"
	"math/rand/v2"
)

// Source is the PCG generator of math/rand/v2 with half of an output kept. The zero
// value has seed and stream 0.
type Source struct {
	pcg  rand.PCG
	half uint32
	kept bool // whether half has not been used
}

// Seed begins the stream of a seed; each replicate has one of its own, so that
// its draws do not hang on the order of replicates.
func (s *Source) Seed(seed, stream uint64) {
	s.pcg.Seed(seed, stream)
	s.kept = false
}

// Uint64 is the generator's next output; it implements rand.Source.
func (s *Source) Uint64() uint64 { return s.pcg.Uint64() }

// uint32 is the upper half of an output, then the lower.
func (s *Source) uint32() uint32 {
	if s.kept {
		s.kept = false
		return s.half
	}
	out := s.pcg.Uint64()
	s.half, s.kept = uint32(out), true
	return uint32(out >> 32)
}

// Below draws a number from 0 to n-1, each equally likely; n is over 0. It is the
// whole part of n u with u in [0, 1) of 32 bits, where the few u that would make
// some numbers likelier are drawn again (Lemire 2019, ACM Transactions on Modeling
// and Computer Simulation 29: article 3).
func (s *Source) Below(n uint32) uint32 {
	product := uint64(s.uint32()) * uint64(n)
	if uint32(product) < n {
		product = s.again(product, n)
	}
	return uint32(product >> 32)
}

func (s *Source) again(product uint64, n uint32) uint64 {
	for least := -n % n; uint32(product) < least; {
		product = uint64(s.uint32()) * uint64(n)
	}
	return product
}

// Fill draws numbers from first to first+n-1, those that rand.Rand of math/rand/v2 with
// this generator gives by first + IntN(n), without its calls through an interface; n is
// over 0.
func (s *Source) Fill(to []int, first, n int) {
	limit := uint64(n)
	if limit&(limit-1) == 0 {
		for i := range to {
			to[i] = first + int(s.pcg.Uint64()&(limit-1))
		}
		return
	}
	for i := range to {
		high, low := bits.Mul64(s.pcg.Uint64(), limit)
		if low < limit {
			for least := -limit % limit; low < least; {
				high, low = bits.Mul64(s.pcg.Uint64(), limit)
			}
		}
		to[i] = first + int(high)
	}
}
