package lines

import (
	"math"
	"testing"

	"ashtally/stats"
	"ashtally/stats/detect"
)

// TestLogSpread by hand: of the logs -2, -1, 0, 1, 2 the quartiles are -1 and 1
// and the standard deviation is sqrt(10/4); a value a million times the others
// moves the spread to no more than twice that of the middle half.
func TestLogSpread(t *testing.T) {
	of := func(logs ...float64) logSpread {
		b := betweenLines{}
		var replicates []float64
		for _, l := range logs {
			b.rates, replicates = append(b.rates, 2), append(replicates, 2*math.Exp(l))
		}
		s, ok := b.logSpread(replicates)
		if !ok {
			t.Fatal("too few")
		}
		return s
	}
	even := of(-2, -2, -1, -1, 0, 0, 1, 1, 2, 2)
	near(t, "standard deviation", even.sd, math.Sqrt(20.0/9), 1e-12)
	if even.heavy() || even.value() != even.sd {
		t.Errorf("%+v is not as it is", even)
	}
	wild := of(-0.2, -0.2, -0.1, -0.1, 0, 0, 0.1, 0.1, 0.2, 13.8)
	if !wild.heavy() || wild.sd < 4 || wild.value() > 0.4 || wild.value() != 2*wild.middle {
		t.Errorf("%+v counts as %v", wild, wild.value())
	}
	if _, ok := (betweenLines{rates: []float64{1, 1}}).logSpread([]float64{1, 2}); ok {
		t.Error("a spread of two")
	}
}

// TestLeftTruncatedLimits: where finds are used from some distance on, functions
// that fall off within it fit as well as any. Of such surveys none has limits
// that say nothing, none that is far from the truth has any, and the others hold
// it; the rows say so.
func TestLeftTruncatedLimits(t *testing.T) {
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	w := world{lines: 14, width: 20, density: 7.8, seen: hazardRate(7, 3), models: []detect.Model{hn, hr, {Key: detect.Uniform}}}
	var unstable, heavy, limits, held, far int
	for i := range 40 {
		s, d := w.draw(newRand(uint64(i)))
		d.Left = 3
		b, err := s.Bootstrap(w.fits(d), Resampling{Replicates: 99, Seed: uint64(i), Averaged: true})
		if err != nil {
			t.Fatal(err)
		}
		e := b.Density
		if has(e.Warnings, Unstable) {
			unstable++
			if !math.IsNaN(e.SE) || !math.IsNaN(e.Lower) || !math.IsNaN(e.Upper) {
				t.Errorf("survey %d: unstable, and %v (%v to %v), standard error %v", i, e.Value, e.Lower, e.Upper, e.SE)
			}
			continue
		}
		heavy += count(has(e.Warnings, HeavyTails))
		limits++
		held += count(e.Lower <= w.density && !(e.Upper < w.density))
		far += count(e.Value > 3*w.density || e.Upper > 25*e.Value || e.SE > 2*e.Value)
	}
	if unstable < 3 || heavy < 5 {
		t.Errorf("%d unstable and %d of heavy tails: these surveys try nothing", unstable, heavy)
	}
	if far > 0 || float64(held) < 0.85*float64(limits) {
		t.Errorf("%d of %d with limits hold the truth, %d are absurd", held, limits, far)
	}
}

func count(b bool) int {
	if b {
		return 1
	}
	return 0
}

// TestSoundLimitsStand: without left truncation the guards change nothing.
func TestSoundLimitsStand(t *testing.T) {
	w := worlds()[0]
	for i := range 10 {
		s, d := w.draw(newRand(uint64(i)))
		b, err := s.Bootstrap(w.fits(d), Resampling{Replicates: 99, Seed: uint64(i)})
		if err != nil {
			t.Fatal(err)
		}
		if e := b.Density; has(e.Warnings, Unstable) || has(e.Warnings, OpenUpperLimit) || !(e.Upper < 10*e.Value) {
			t.Errorf("survey %d: %v to %v, %v", i, e.Lower, e.Upper, e.Warnings)
		}
	}
}

// TestDeltaOfNothingKnown: a half-width that the finds do not settle gives no
// standard error by the delta method either.
func TestDeltaOfNothingKnown(t *testing.T) {
	w := world{lines: 7, width: 20, density: 7.8, seen: hazardRate(7, 3), models: []detect.Model{hr}}
	unstable := 0
	for i := range 60 {
		s, d := w.draw(newRand(uint64(i)))
		d.Left = 4
		for _, f := range w.fits(d) {
			e := estimated(t, s, f, Options{}).Density
			if has(e.Warnings, Unstable) {
				unstable++
			}
			if e.Upper > 100*e.Value || e.SE > 2*e.Value || has(e.Warnings, Unstable) != math.IsNaN(e.SE) && !has(e.Warnings, detect.NoVariance) {
				t.Errorf("survey %d: %v (%v to %v), standard error %v, %v", i, e.Value, e.Lower, e.Upper, e.SE, e.Warnings)
			}
		}
	}
	if unstable == 0 {
		t.Error("no survey is unstable: these try nothing")
	}
	two := bounded(stats.Estimate{Value: 2, Interval: stats.Interval{Lower: 0.01, Upper: 201}})
	if !math.IsNaN(two.Upper) || two.Lower != 0.01 || !has(two.Warnings, OpenUpperLimit) {
		t.Errorf("an upper limit of 100.5 times the figure: %+v", two)
	}
}
