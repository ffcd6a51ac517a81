package samplesize

import "math"

// monotone replaces values by the nearest that do not fall, in squares: pooling
// those that fall (Ayer, Brunk, Ewing, Reid & Silverman 1955, Annals of Mathematical
// Statistics 26: 641-647).
func monotone(values []float64) {
	type block struct{ mean, n float64 }
	var blocks []block
	for _, v := range values {
		b := block{v, 1}
		for len(blocks) > 0 && blocks[len(blocks)-1].mean >= b.mean {
			last := blocks[len(blocks)-1]
			b = block{(last.mean*last.n + b.mean*b.n) / (last.n + b.n), last.n + b.n}
			blocks = blocks[:len(blocks)-1]
		}
		blocks = append(blocks, b)
	}
	i := 0
	for _, b := range blocks {
		for range int(b.n) {
			values[i] = b.mean
			i++
		}
	}
}

// interpolate is the number at which chances that do not fall reach one, evenly
// along the logarithm between two of the grid, rounded up.
func interpolate(grid []int, chance []float64, wanted float64) int {
	i := 0
	for chance[i] < wanted {
		i++
	}
	if i == 0 {
		return grid[0]
	}
	low, high := math.Log(float64(grid[i-1])), math.Log(float64(grid[i]))
	part := (wanted - chance[i-1]) / (chance[i] - chance[i-1])
	n := int(math.Ceil(math.Exp(low+part*(high-low)) - 1e-9))
	return min(max(n, grid[i-1]+1), grid[i])
}
