package density

import (
	"math"
	"math/rand/v2"
	"testing"

	"ashtally/stats/statstest"
)

// The longleaf pines of Platt, Evans & Rathbun (1988), American Naturalist
// 131: 491-525: 584 trees mapped on 200 m x 200 m, so 146 per hectare, in clumps
// of the young and thin between. The data are spatstat.data::longleaf.
const (
	pinesSide   = 200.0
	pinesPerHa  = 146.0
	pineSamples = 600 // standard error of a coverage of 0.95: 0.009
)

type tree struct{ x, y float64 }

func pines(t *testing.T) []tree {
	t.Helper()
	var all []tree
	for _, row := range statstest.Table(t, reference+"longleaf.csv") {
		all = append(all, tree{row.Number(t, "x"), row.Number(t, "y")})
	}
	if len(all) != 584 {
		t.Fatalf("%d trees, want 584", len(all))
	}
	return all
}

// round wraps a distance on the map as if its edges met, so that every tree is
// as likely to be seen as any other.
func round(d float64) float64 {
	d = math.Abs(d)
	return math.Min(d, pinesSide-d)
}

// pinePlots are n circles of 400 m2 thrown at random.
func pinePlots(trees []tree, r *rand.Rand, n int) Sample {
	const areaM2 = 400
	radius := math.Sqrt(areaM2 / math.Pi)
	var s Sample
	for range n {
		x, y, found := pinesSide*r.Float64(), pinesSide*r.Float64(), 0.0
		for _, p := range trees {
			if math.Hypot(round(p.x-x), round(p.y-y)) < radius {
				found++
			}
		}
		s.AreaHa = append(s.AreaHa, areaM2/1e4)
		s.Count = append(s.Count, found)
	}
	return s
}

// pineStrips are n of the 50 strips of 4 m that the square falls into, drawn
// without replacement.
func pineStrips(trees []tree, r *rand.Rand, n int) Sample {
	const width, strips = 4, 50
	var counts [strips]float64
	for _, p := range trees {
		counts[min(int(p.x/width), strips-1)]++
	}
	s := Sample{LandHa: pinesSide * pinesSide / 1e4}
	for _, i := range r.Perm(strips)[:n] {
		s.AreaHa = append(s.AreaHa, width*pinesSide/1e4)
		s.Count = append(s.Count, counts[i])
	}
	return s
}

// TestPines: surveys of a real population must hold its density at the
// nominal rate. The strips sample 0.3 to 0.6 of the land without replacement, so
// that an interval without the finite population factor would cover 0.98 and
// more, and one with it twice 0.90 and less.
func TestPines(t *testing.T) {
	trees := pines(t)
	for name, c := range map[string]struct {
		draw        func([]tree, *rand.Rand, int) Sample
		n           int
		least, most float64
	}{
		"15 plots":  {pinePlots, 15, 0.93, 0.98},
		"30 plots":  {pinePlots, 30, 0.93, 0.98},
		"15 strips": {pineStrips, 15, 0.93, 0.98},
		"30 strips": {pineStrips, 30, 0.93, 0.98},
	} {
		t.Run(name, func(t *testing.T) {
			covered, mean := 0, 0.0
			for i := range pineSamples {
				e := Stratum(c.draw(trees, rand.New(rand.NewPCG(11, uint64(i))), c.n), Options{})
				if e.Lower <= pinesPerHa && pinesPerHa <= e.Upper {
					covered++
				}
				mean += e.Value / pineSamples
			}
			if p := float64(covered) / pineSamples; p < c.least || p > c.most {
				t.Errorf("covers %.3f, want %.2f to %.2f", p, c.least, c.most)
			}
			statstest.Near(t, "mean of the densities", mean, pinesPerHa, 4)
		})
	}
}
