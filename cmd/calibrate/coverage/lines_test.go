package coverage

import (
	"fmt"
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

// gridCell is that of the published table, with some of its methods.
func gridCell(t *testing.T, world, systematic string, n int, methods ...string) Cell {
	t.Helper()
	for _, c := range Grid() {
		if c.World.Name == world && c.Systematic == systematic && c.N == n {
			c.Methods, c.Every = methods, 1
			return c
		}
	}
	t.Fatalf("no world %q with n %d", world, n)
	return Cell{}
}

// TestLinesHoldTheTruth is the short form of the calibration of lines. 40
// samples have a standard error of 0.034, 150 one of 0.018. Limits without the
// detection function's part cover 0.85, 0.925 and 0.83 of these.
func TestLinesHoldTheTruth(t *testing.T) {
	statstest.Long(t)
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	for _, c := range []struct {
		world, systematic string
		samples           int
		least, most       float64
	}{
		{"half-normal", "", 40, 0.87, 1},
		{"lines across a trend", "successive-differences", 40, 0.94, 1},
		{"half-normal, function named", "", 150, 0.90, 0.99},
	} {
		s := gridCell(t, c.world, c.systematic, 14, averagedLines).Run(c.samples, seed)[0]
		if p := s.Coverage(); p < c.least || p > c.most {
			t.Errorf("%s covers %.3f, lower limit over the truth %d, upper under it %d of %d", c.world, p, s.Low, s.High, s.Samples)
		}
	}
}

// TestDeltaOfAChosenFunctionSaysSo: taken as known, a function that was chosen
// gives intervals that hold the truth less often than their level, and the
// figures say so; of a function that was named they hold it, and say nothing.
func TestDeltaOfAChosenFunctionSaysSo(t *testing.T) {
	statstest.Long(t)
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	chosen := gridCell(t, "half-normal", "", 14, deltaLines).Run(600, seed)[0]
	if p := chosen.Coverage(); p > 0.925 || chosen.WarnedShare() < 0.8 {
		t.Errorf("chosen: covers %.3f, warned %.2f", p, chosen.WarnedShare())
	}
	named := gridCell(t, "half-normal, function named", "", 14, deltaLines).Run(600, seed)[0]
	if p := named.Coverage(); p < 0.93 || p > 0.97 || named.WarnedShare() > 0.1 {
		t.Errorf("named: covers %.3f, warned %.2f", p, named.WarnedShare())
	}
	random := gridCell(t, "lines across a trend", "random", 28, deltaLines).Run(200, seed)[0]
	laid := gridCell(t, "lines across a trend", "successive-differences", 28, deltaLines).Run(200, seed)[0]
	if random.MedianWidth < 1.1*laid.MedianWidth {
		t.Errorf("across a trend the random variance has a median width of %.2f, that of successive differences of %.2f", random.MedianWidth, laid.MedianWidth)
	}
}

// TestRatiosHoldTheTruth is the short form of the calibration of ratios. 500
// samples have a standard error of 0.01; a plain normal quantile covers 0.86 to
// 0.92 of these.
func TestRatiosHoldTheTruth(t *testing.T) {
	for _, c := range ratioCells() {
		if c.N != 30 || c.Small() || testing.Short() && c.World.Family == "ratios along lines" {
			continue
		}
		s := c.Run(500, seed)[0]
		if p := s.Coverage(); p < 0.925 || p > 0.985 {
			t.Errorf("%s covers %.3f, lower limit over the truth %d, upper under it %d", c.World.Name, p, s.Low, s.High)
		}
	}
}

// TestAdaptiveHoldsTheTruth is the short form of the calibration of adaptive
// cluster plots. Where clumps are few and the draw is small, the figures say so.
func TestAdaptiveHoldsTheTruth(t *testing.T) {
	for _, c := range adaptiveCells() {
		if c.N != 60 {
			continue
		}
		t.Run(fmt.Sprint(c.World.Name), func(t *testing.T) {
			for _, s := range c.Run(300, seed) {
				if p := s.Coverage(); p < 0.925 && s.WarnedShare() < 0.5 {
					t.Errorf("%s covers %.3f, warned %.2f", s.Method, p, s.WarnedShare())
				}
			}
		})
	}
	few := gridCell(t, "few tight clumps, threshold 3", "", 15, Adaptive().Default).Run(300, seed)[0]
	if p := few.Coverage(); p > 0.9 || few.WarnedShare() < 0.99 {
		t.Errorf("a small draw covers %.3f, warned %.2f", p, few.WarnedShare())
	}
	// The first covers 0.99, the second 0.96.
	for _, c := range []struct {
		world       string
		n           int
		least, most float64
	}{{"wide clumps, threshold 1", 30, 0.6, 1}, {"many tight clumps, threshold 3", 150, 0, 0}} {
		s := gridCell(t, c.world, "", c.n, Adaptive().Default).Run(300, seed)[0]
		if share := s.WideShare(); share < c.least || share > c.most {
			t.Errorf("%s, n %d: %.2f say that their interval may be wide", c.world, c.n, share)
		}
	}
}

// TestNamesOfCells: what is taken over from an earlier table is found by the
// names of world, layout and method, and the size.
func TestNamesOfCells(t *testing.T) {
	seen := map[string]bool{}
	for _, c := range Grid() {
		name := fmt.Sprint(c.Label(), c.N)
		if seen[name] {
			t.Errorf("two cells are %s", name)
		}
		seen[name] = true
	}
}
