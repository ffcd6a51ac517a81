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

// Fill draws numbers from first to first+n-1, each equally likely; n is over 0. Several
// come from one output x of the generator, as the first digits of x / 2^64 to base n: each
// is the upper half of a product by n, and the lower half gives the next. Digits of the few
// x that would make some numbers likelier are drawn again (Brackett-Rozinsky & Lemire 2025,
// Software: Practice and Experience 55, "Batched ranged random integer generation").
func (s *Source) Fill(to []int, first, n int) {
	limit := uint64(n)
	digits, power := digitsOf(limit)
	for ; len(to) >= digits; to = to[digits:] {
		s.digits(to[:digits], first, limit, power)
	}
	if len(to) > 0 {
		power = 1
		for range to {
			power *= limit
		}
		s.digits(to, first, limit, power)
	}
}

// digitsOf is how many digits to base n are drawn from an output, and n to the power of
// that: so few that one output in 65,000 at most has to be looked at again, but where a
// single number leaves no choice.
func digitsOf(n uint64) (digits int, power uint64) {
	const most = 1 << 48
	digits, power = 1, n
	for digits < 8 && power <= most/n {
		digits, power = digits+1, power*n
	}
	return digits, power
}

// digits draws as many digits to base n as there is room; power is n to their number.
func (s *Source) digits(to []int, first int, n, power uint64) {
	for {
		rest := s.pcg.Uint64()
		for i := range to {
			var digit uint64
			digit, rest = bits.Mul64(rest, n)
			to[i] = first + int(digit)
		}
		if rest >= power || rest >= -power%power {
			return
		}
	}
}
