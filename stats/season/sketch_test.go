package season

import (
	"math"
	"math/rand/v2"
	"testing"

	"ashtally/stats"
	"ashtally/stats/statstest"
)

// TestSketch: but for the limits of delay and lead, a sketch is the fit, and so is a
// curve that is fitted again.
func TestSketch(t *testing.T) {
	sample := worlds()[0].draw(rand.New(rand.NewPCG(1, 1))).sample
	f := Fit(sample, 0.95)
	if math.IsNaN(f.DaysPer100M.Upper) || math.IsNaN(f.Lead.Upper) {
		t.Fatal("the fit has no limits of delay and lead to be left out")
	}
	for name, g := range map[string]Flush{"sketch": Sketch(sample, 0.95), "again": f.Refit(sample)} {
		for _, e := range []stats.Estimate{g.DaysPer100M, g.Lead} {
			if !math.IsNaN(e.SE) || !math.IsNaN(e.Lower) || !math.IsNaN(e.Upper) {
				t.Errorf("%s: a shift of %v", name, e)
			}
		}
		pairs := [][2]float64{{g.Onset.Lower, f.Onset.Lower}, {g.Peak.Lower, f.Peak.Lower}, {g.Peak.Upper, f.Peak.Upper}, {g.End.Upper, f.End.Upper},
			{g.DaysPer100M.Value, f.DaysPer100M.Value}, {g.Lead.Value, f.Lead.Value}, {g.AIC, f.AIC}}
		for _, p := range pairs {
			statstest.Close(t, name, p[0], p[1], 1e-9)
		}
		if len(g.Warnings) != len(f.Warnings) {
			t.Errorf("%s: warnings %v, not %v", name, g.Warnings, f.Warnings)
		}
	}
}

// TestWithoutVisits: a flush without its visits tells all that it told before, but what it
// expected of them.
func TestWithoutVisits(t *testing.T) {
	s := worlds()[0].draw(rand.New(rand.NewPCG(1, 1)))
	f := Fit(s.sample, 0.95)
	lean := f.WithoutVisits()
	if len(f.Fitted()) != f.Visits || lean.Fitted() != nil {
		t.Errorf("%d visits fitted, and %d without", len(f.Fitted()), len(lean.Fitted()))
	}
	all, shifted := s.total(&f, 1), s.total(&lean, 1)
	statstest.Close(t, "upper limit of a total", shifted.Upper, all.Upper, 1e-12)
	again, known := lean.Refit(s.sample), f.Refit(s.sample)
	statstest.Close(t, "peak of a curve from there on", again.Peak.Upper, known.Peak.Upper, 1e-12)
	statstest.Close(t, "peak on a unit", lean.PeakAt(900).Value, f.PeakAt(900).Value, 1e-12)
	if none := Fit(simple([]float64{1, 2}, []float64{1, 2}), 0.95); none.WithoutVisits().None != none.None {
		t.Error("no curve, and another reason for it without the visits")
	}
}

// TestPlansAlike: plans that differ by a visit between the first and the last, or by where
// the unit lies, see what they see alone.
func TestPlansAlike(t *testing.T) {
	f := Fit(worlds()[0].draw(rand.New(rand.NewPCG(1, 1))).sample, 0.95)
	plan := func(elevation float64, roadside bool, to ...float64) Plan {
		p := Plan{Exposure: 1, ElevationM: elevation, Roadside: roadside, To: to}
		for _, day := range to {
			p.From = append(p.From, day-6)
		}
		return p
	}
	plans := []Plan{
		plan(900, false, 110, 120, 140), plan(900, false, 110, 120, 140), plan(900, false, 110, 131, 140), plan(900, false, 110, 120, 140),
		plan(1000, false, 110, 120, 140), plan(900, true, 110, 120, 140), plan(900, false, 110, 140),
	}
	plans[3].From = []float64{109, 119, 139}
	together := f.Seen(plans).Each
	for i := range plans {
		if alone := f.Seen(plans[i : i+1]).Each[0]; together[i] != alone {
			t.Errorf("plan %d sees %v, and %v alone", i, together[i], alone)
		}
		if i > 1 && together[i] == together[0] {
			t.Errorf("plan %d sees as much as another, %v", i, together[i])
		}
	}
}
