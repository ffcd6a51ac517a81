package permute

import (
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"ashtally/stats/random"
	"ashtally/stats/statstest"
)

// TestSumsOfDrawn: the sums by label of arrangements drawn are those of the same
// draws written out item by item.
func TestSumsOfDrawn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		n, blocks, number, width := 1+rng.IntN(40), 1+rng.IntN(4), 1+rng.IntN(5), 1+rng.IntN(2*lanes)
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

// TestDealt: each label falls to as many items as were seen, and every arrangement comes
// equally often, by Pearson's chi-square at 0.1 %.
func TestDealt(t *testing.T) {
	b := newBlock([]int32{0, 1, 2, 3, 4, 5}, []int{7, 7, 7, 8, 8, 9})
	source, masks, seen := new(random.Source), make([]uint64, 2), map[[2]uint64]float64{}
	source.Seed(4, 1)
	const draws = 60_000
	for range draws {
		b.deal(source, make([]uint64, 1), masks)
		seen[[2]uint64(masks)]++
	}
	const arrangements = 60 // 6! / (3! 2! 1!)
	var x float64
	for _, n := range seen {
		x += (n - draws/arrangements) * (n - draws/arrangements) / (draws / arrangements)
	}
	if p := (distuv.ChiSquared{K: arrangements - 1}).Survival(x); len(seen) != arrangements || p < 0.001 {
		t.Errorf("%d arrangements, chi-square %.1f, p %.2g", len(seen), x, p)
	}

	label := make([]int, 500) // several words; a label of one item, and one of three in ten
	for i := range label[:151] {
		label[i] = 1 + i/150
	}
	items := make([]int32, len(label))
	for i := range items {
		items[i] = int32(i)
	}
	wide := newBlock(items, label)
	words := wide.words()
	masks = make([]uint64, 2*words)
	times := make([]float64, len(items))
	for range draws {
		wide.deal(source, make([]uint64, words), masks)
		n := 0
		for i := range items {
			if masks[i/64]>>(i%64)&1 == 1 {
				times[i]++
				n++
			}
			n += 1000 * int(masks[words+i/64]>>(i%64)&1)
		}
		if n != 1150 {
			t.Fatalf("dealt %d", n)
		}
	}
	x = 0
	for _, n := range times { // the variance of a count is that of draws of one item, times (n-1)/n
		x += (n - 0.3*draws) * (n - 0.3*draws) / (0.3 * 0.7 * draws)
	}
	if p := (distuv.ChiSquared{K: 499}).Survival(x * 499 / 500); p < 0.001 || p > 0.999 {
		t.Errorf("chi-square %.1f, p %.2g", x, p)
	}
}
