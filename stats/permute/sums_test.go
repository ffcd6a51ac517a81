package permute

import (
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"ashtally/stats/statstest"
)

// TestSumsOfDrawn: the sums by label of arrangements drawn are those of the same
// draws written out item by item.
func TestSumsOfDrawn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		n, blocks, number, width := 1+rng.IntN(40), 1+rng.IntN(4), 1+rng.IntN(5), 1+rng.IntN(3)
		block, label, values := make([]int, n), make([]int, n), make([][]float64, width)
		for i := range n {
			block[i], label[i] = rng.IntN(blocks), rng.IntN(number)
		}
		for k := range values {
			values[k] = make([]float64, n)
			for i := range n {
				values[k][i] = rng.NormFloat64()
			}
		}
		b := newBySums(newLabels(block, label), number, values)
		o := Options{Seed: rng.Uint64(), Replicates: 50, Limit: 0.5}
		got := b.drawn(o, func(sums []float64) []float64 { return append([]float64{}, sums...) })
		want, _ := Values(b, o, b.arranged)
		for r := range got {
			for k, v := range got[r] {
				statstest.Near(t, "sum", v, want[r][k], 1e-12)
			}
		}
	})
}

// TestDrawnDensities: p-values of arrangements drawn are those of all within their
// error, of several kinds by the same draws, in blocks with places that differ in weight.
func TestDrawnDensities(t *testing.T) {
	c := Classes{
		Block:  []int{0, 0, 0, 0, 0, 0, 1, 1, 1, 1, 1, 2},
		Class:  []int{0, 0, 1, 1, 2, 2, 0, 1, 1, 1, 2, 0},
		Weight: []float64{1, 1, 1, 1, 1, 1, 3, 3, 3, 3, 3, 2},
		Area:   []float64{1, 1, 2, 1, 1, 1, 1, 1, 1, 1, 1, 1},
	}
	kinds := [][]float64{{0, 3, 1, 4, 1, 5, 9, 2, 6, 5, 3, 5}, {8, 9, 7, 9, 3, 2, 3, 8, 4, 6, 2, 6}}
	all := DensitiesOf(c, Options{}, kinds...)
	some := DensitiesOf(c, Options{Limit: 1, Replicates: 40_000, Seed: 2}, kinds...)
	for k := range kinds {
		if !all[k].Exact || some[k].Exact {
			t.Fatalf("%+v, %+v", all[k], some[k])
		}
		statstest.Near(t, "p", some[k].P, all[k].P, 4*some[k].SE)
		statstest.Near(t, "mid-p", some[k].MidP, all[k].MidP, 4*some[k].SE)
	}
	c.First, c.Base = kinds[0], kinds[1]
	ratios, drawn := Ratios(c, Options{}), Ratios(c, Options{Limit: 1, Replicates: 40_000, Seed: 2})
	statstest.Near(t, "p of ratios", drawn.P, ratios.P, 4*drawn.SE)
}
