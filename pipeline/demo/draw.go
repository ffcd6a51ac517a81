package demo

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/stat/distuv"
)

// The streams of random numbers: each place and each unit has one of its own,
// so that neither's draws depend on how many others there are.
const (
	unitStream  uint64 = 0
	placeStream uint64 = 1 << 40
)

func stream(seed, kind uint64, number int) *rand.Rand {
	return rand.New(rand.NewPCG(seed, kind+uint64(number)))
}

func poisson(rng *rand.Rand, mean float64) int {
	if mean <= 0 {
		return 0
	}
	return int(distuv.Poisson{Lambda: mean, Src: rng}.Rand())
}

// gammaOfMeanOne draws a gamma variate of the given shape and mean 1.
func gammaOfMeanOne(rng *rand.Rand, shape float64) float64 {
	return distuv.Gamma{Alpha: shape, Beta: shape, Src: rng}.Rand()
}

// logNormalOfMeanOne draws a log-normal variate of mean 1.
func logNormalOfMeanOne(rng *rand.Rand, sd float64) float64 {
	return math.Exp(sd*rng.NormFloat64() - sd*sd/2)
}

// rayleigh draws a Rayleigh variate of the given mean: the distance from a
// point to what is scattered about it in the plane.
func rayleigh(rng *rand.Rand, mean float64) float64 {
	return mean * 2 / math.SqrtPi * math.Sqrt(rng.ExpFloat64())
}

// between draws a number from low to high, evenly.
func between(rng *rand.Rand, low, high float64) float64 {
	return low + (high-low)*rng.Float64()
}

// chance reports true with the given chance.
func chance(rng *rand.Rand, p float64) bool { return rng.Float64() < p }

// pick draws a place in weights, each with its share of the sum, which must
// be positive.
func pick(rng *rand.Rand, weights []float64) int {
	sum := 0.0
	for _, w := range weights {
		sum += w
	}
	left := sum * rng.Float64()
	last := 0
	for i, w := range weights {
		if w <= 0 {
			continue
		}
		if left < w {
			return i
		}
		left -= w
		last = i
	}
	return last // rounding left a crumb
}

// round rounds to the nearest multiple of a step that goes whole times into 1
// (perUnit steps make 1): what a tape, a scale or a map reads to. Written
// figures are multiples of such steps, so that the last bit of a calculation,
// which differs between processors, does not reach the files.
func round(v, perUnit float64) float64 { return math.Round(v*perUnit) / perUnit }

// truncate is round towards zero: a rounded position stays inside its plot.
func truncate(v, perUnit float64) float64 { return math.Trunc(v*perUnit) / perUnit }
