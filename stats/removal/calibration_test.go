package removal

import (
	"bytes"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats/statstest"
)

var update = flag.Bool("update", false, "write CALIBRATION.md anew")

const (
	calibrationSeed = 1956
	surveys         = 4000
)

// world is units that hold the same number of things, passed over so often in
// turn.
type world struct {
	there, units int
	passes       []int
	p            float64
}

var worlds = []world{
	{10, 20, []int{3}, 0.4}, {40, 10, []int{2}, 0.5}, {12, 30, []int{1, 2, 3}, 0.45}, {25, 4, []int{3, 4}, 0.6},
	{10, 5, []int{2}, 0.6}, {10, 5, []int{3}, 0.4}, {10, 10, []int{3}, 0.7}, {20, 20, []int{3}, 0.7},
	{5, 6, []int{2, 3}, 0.5}, {50, 20, []int{3}, 0.8}, {50, 20, []int{2}, 0.25},
}

// caught draws the catches of passes over what is there.
func caught(r *rand.Rand, there, passes int, p float64) []float64 {
	catches := make([]float64, passes)
	for range there {
		for k := range catches {
			if r.Float64() < p {
				catches[k]++
				break
			}
		}
	}
	return catches
}

// outcome is what became of the surveys of a world.
type outcome struct {
	had                         float64
	bias                        float64 // of the chance
	chance, logNormal, recovers statstest.Misses
}

func (w world) outcome(n int) outcome {
	var o outcome
	z := distuv.UnitNormal.Quantile(0.975)
	for i := range n {
		r := rand.New(rand.NewPCG(calibrationSeed, uint64(i)))
		var units [][]float64
		for u := range w.units {
			units = append(units, caught(r, w.there, w.passes[u%len(w.passes)], w.p))
		}
		f, err := Zippin(units, 0.95)
		if err != nil {
			continue
		}
		o.had++
		o.bias += f.Chance.Value - w.p
		truth, missed := float64(w.there*w.units), f.Present.Value-f.Found
		o.chance.Count(f.Chance.Lower, f.Chance.Upper, w.p)
		o.recovers.Count(f.Present.Lower, f.Present.Upper, truth)
		c := math.Exp(z * math.Sqrt(math.Log1p(math.Pow(f.Present.SE/missed, 2))))
		o.logNormal.Count(f.Found+missed/c, f.Found+missed*c, truth)
	}
	o.bias /= o.had
	o.had /= float64(n)
	return o
}

// TestCalibration holds the limits to their level, and with -update writes the
// table.
func TestCalibration(t *testing.T) {
	n := surveys
	if !*update {
		n /= 5
	}
	if testing.Short() {
		t.Skip("thousands of surveys")
	}
	var table bytes.Buffer
	table.WriteString(calibrationHead)
	for _, w := range worlds {
		o := w.outcome(n)
		fmt.Fprintf(&table, "| %d | %d | %s | %g | %.3f | %+.3f | %.3f | %.3f | %s | %.3f | %s |\n", w.there, w.units, listed(w.passes), w.p,
			o.had, o.bias, o.chance.Covers(), o.logNormal.Covers(), o.logNormal.String(), o.recovers.Covers(), o.recovers.String())
		// The table's least is 0.93; 800 surveys have a standard error of 0.008.
		if c := o.recovers.Covers(); c < 0.91 || c > 0.985 {
			t.Errorf("%+v: the limits of N cover %.3f", w, c)
		}
		if c := o.chance.Covers(); c < 0.91 || c > 0.985 {
			t.Errorf("%+v: the limits of p cover %.3f", w, c)
		}
	}
	if *update {
		if err := os.WriteFile("CALIBRATION.md", table.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func listed(passes []int) string {
	s := ""
	for i, k := range passes {
		if i > 0 {
			s += ", "
		}
		s += fmt.Sprint(k)
	}
	return s
}

const calibrationHead = `# Coverage of the limits of what was there, from passes that remove

Made by

    go test ./stats/removal -run TestCalibration -update

with seed 1956 and 4000 surveys a row. Nominal level: 0.95.

- there: in each of so many units. passes: over the units in turn. p: chance to be found in a pass.
- had: the share of surveys whose catches fall; the rest give no figure. Coverage is among these. bias: of p.
- p: coverage of the profile limits of the chance.
- log-normal: a log-normal on the number missed, with Zippin's variance. mover: limits of the chance and of the luck of how many were missed,
  put together; this is the package's. missed: how often the limits lay above and below the truth.

| there | units | passes | p | had | bias of p | p | log-normal | missed above / below | mover | missed above / below |
|---|---|---|---|---|---|---|---|---|---|---|
`
