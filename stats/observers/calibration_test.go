package observers

import (
	"bytes"
	"errors"
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
	calibrationSeed = 1951
	surveys         = 4000
)

// world is so many finds, of which each observer sees one with a chance of his
// own; the logit of each chance rises by slope with the log of the find's size.
type world struct {
	there   int
	chances []float64
	slope   float64
}

var worlds = []world{
	{20, []float64{0.6, 0.5}, 0}, {20, []float64{0.8, 0.8}, 0}, {20, []float64{0.3, 0.4}, 0},
	{50, []float64{0.6, 0.5}, 0}, {50, []float64{0.9, 0.8}, 0}, {50, []float64{0.3, 0.3}, 0},
	{100, []float64{0.7, 0.4}, 0}, {100, []float64{0.95, 0.9}, 0}, {400, []float64{0.5, 0.5}, 0}, {400, []float64{0.2, 0.3}, 0},
	{100, []float64{0.6, 0.5, 0.4}, 0}, {400, []float64{0.4, 0.3, 0.3}, 0},
	{150, []float64{0.5, 0.4}, 0.8}, {400, []float64{0.6, 0.4}, 0.8}, {300, []float64{0.4, 0.3, 0.3}, 0.6},
}

// survey draws what the observers saw. The number of fruit bodies that were
// there comes with it.
func (w world) survey(r *rand.Rand) (d Data, bodies float64) {
	d.Observers = len(w.chances)
	var sizes []float64
	for range w.there {
		size := 1.0
		for w.slope != 0 && r.Float64() < 0.5 {
			size++
		}
		bodies += size
		var who []int
		var saw []bool
		some := false
		for j, p := range w.chances {
			if p = logistic(math.Log(p/(1-p)) + w.slope*math.Log(size)); r.Float64() < p {
				saw, some = append(saw, true), true
			} else {
				saw = append(saw, false)
			}
			who = append(who, j)
		}
		if some {
			d.Searched, d.Saw, d.Size = append(d.Searched, who), append(d.Saw, saw), append(d.Size, size)
			sizes = append(sizes, math.Log(size))
		}
	}
	if w.slope != 0 {
		d.Covariates = []Covariate{{Name: "size", Values: sizes}}
	}
	return d, bodies
}

func (w world) model() Model {
	if w.slope != 0 {
		return Model{ByObserver: true, Covariates: []int{0}}
	}
	return Model{ByObserver: true}
}

type outcome struct {
	had, biasC, biasH                             float64
	symmetric, logNormal, logit, fitted, together statstest.Misses
}

func (w world) outcome(t *testing.T, n int) outcome {
	var o outcome
	z := distuv.UnitNormal.Quantile(0.975)
	for i := range n {
		d, truth := w.survey(rand.New(rand.NewPCG(calibrationSeed, uint64(i))))
		f, err := d.Fit(w.model(), 0.95)
		if err != nil || f.AtLimit() {
			if err != nil && !errors.Is(err, ErrNoneTwice) && !errors.Is(err, ErrNoPair) {
				t.Fatal(err)
			}
			continue
		}
		o.had++
		s := f.Sight(nil)
		o.biasH += s.Present.Value/truth - 1
		o.fitted.Count(s.Present.Lower, s.Present.Upper, truth)
		if len(w.chances) > 2 || w.slope != 0 {
			continue
		}
		chance := 1 - (1-w.chances[0])*(1-w.chances[1])
		o.together.Count(s.Together.Lower, s.Together.Upper, chance)
		seen := float64(len(d.Saw))
		e := Chapman(s.Seen[0], s.Seen[1], s.Both, 0.95)
		o.biasC += e.Value/truth - 1
		o.symmetric.Count(e.Value-z*e.SE, e.Value+z*e.SE, truth)
		o.logit.Count(e.Lower, e.Upper, truth)
		c := math.Exp(z * math.Sqrt(math.Log1p(math.Pow(e.SE/(e.Value-seen), 2))))
		o.logNormal.Count(seen+(e.Value-seen)/c, seen+(e.Value-seen)*c, truth)
	}
	o.biasC, o.biasH, o.had = o.biasC/o.had, o.biasH/o.had, o.had/float64(n)
	return o
}

// TestCalibration holds the limits to their level, and with -update writes the
// table.
func TestCalibration(t *testing.T) {
	n := surveys
	if !*update {
		n /= 20
	}
	if testing.Short() {
		t.Skip("thousands of surveys")
	}
	var table bytes.Buffer
	table.WriteString(calibrationHead)
	for _, w := range worlds {
		o := w.outcome(t, n)
		fmt.Fprintf(&table, "| %d | %v | %g | %.3f |", w.there, w.chances, w.slope, o.had)
		if len(w.chances) == 2 && w.slope == 0 {
			fmt.Fprintf(&table, " %+.3f | %.3f | %.3f | %.3f | %s | %.3f |", o.biasC, o.symmetric.Covers(), o.logNormal.Covers(), o.logit.Covers(), o.logit.String(), o.together.Covers())
			if c := o.logit.Covers(); c < 0.90 {
				t.Errorf("%+v: Chapman's limits cover %.3f", w, c)
			}
		} else {
			table.WriteString(" | | | | | |")
		}
		fmt.Fprintf(&table, " %+.3f | %.3f | %s |\n", o.biasH, o.fitted.Covers(), o.fitted.String())
		// 200 surveys have a standard error of 0.015.
		if c := o.fitted.Covers(); c < 0.90 {
			t.Errorf("%+v: the limits of the fit cover %.3f", w, c)
		}
	}
	if *update {
		if err := os.WriteFile("CALIBRATION.md", table.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

const calibrationHead = `# Coverage of the limits of what was there, from independent observers

Made by

    go test ./stats/observers -run TestCalibration -update

with seed 1951 and 4000 surveys a row. Nominal level: 0.95.

- there: finds. chances: of each observer, for a find of size 1. slope: of their logit by the log of the size, where finds are groups; then
  what was there is counted in fruit bodies.
- had: the share of surveys with a find seen by two and no chance held at its limit, that is, in which each observer missed something. Coverage
  is among these.
- Chapman: relative bias, then coverage of three intervals. *symmetric*: 1.96 standard errors. *log-normal*: on the number missed.
  *transformed logit*: this is the one of Chapman. missed: how often the limits lay above and below the truth.
- together: coverage of the limits of the chance that one of them sees a find.
- fit: relative bias of the conditional likelihood and coverage of its limits, which put together those of the share seen and the luck of how
  many were missed.

| there | chances | slope | had | bias | symmetric | log-normal | transformed logit | missed above / below | together | bias of fit | fit | missed above / below |
|---|---|---|---|---|---|---|---|---|---|---|---|---|
`
