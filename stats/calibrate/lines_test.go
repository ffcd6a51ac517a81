package calibrate

import (
	"math/rand/v2"
	"testing"

	"ashtally/stats/statstest"
)

// TestLineWorlds: a crew that sees everything finds the density of each world,
// and one that sees as the world says finds as much on a line as it claims.
func TestLineWorlds(t *testing.T) {
	const surveys, n = 300, 28
	for _, w := range lineWorlds() {
		found := func(w lineWorld) (perHa, perLine float64) {
			var land, objects, groups float64
			for i := range surveys {
				s, _ := w.draw(rand.New(rand.NewPCG(seed, uint64(i))), n)
				for _, h := range []int{0, 1}[:len(s.Strata)] {
					var area, seen float64
					for k, line := range s.Transects {
						if line.Stratum == h {
							area += 2 * w.width * line.Length / 1e4
							for j, on := range s.On {
								if on == k {
									seen += sizeAt(s.Size, j)
								}
							}
						}
					}
					var ha float64
					for _, other := range s.Strata {
						ha += other.AreaHa
					}
					objects += s.Strata[h].AreaHa / ha * seen / area
				}
				land++
				groups += float64(len(s.On))
			}
			return objects / land, groups / surveys / n
		}
		all := w
		all.seen = func(float64, float64, string) float64 { return 1 }
		perHa, _ := found(all)
		// Some 4000 groups, or lines, of a coefficient of variation of 1 and less: 4 SE.
		statstest.Near(t, w.name+": per ha over the truth", perHa/w.density, 1, 0.06)
		_, perLine := found(w)
		statstest.Near(t, w.name+": per line over what it says", perLine/w.perLine, 1, 0.05)
	}
}

func sizeAt(size []float64, j int) float64 {
	if size == nil {
		return 1
	}
	return size[j]
}
