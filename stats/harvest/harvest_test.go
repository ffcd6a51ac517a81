package harvest

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"ashtally/stats"
	"ashtally/stats/statstest"
)

func crop(value, lower, upper float64) stats.Estimate {
	return stats.Estimate{Value: value, SE: 1, Interval: stats.Interval{Lower: lower, Upper: upper, Confidence: 0.95, Method: "product"}}
}

// twenty is 20 people who take 2 kg on each of 5 days: 200 kg.
var twenty = Scenario{People: 20, Days: 5, Limit: 2, Filled: 1, Share: 0.25, Chance: 0.9}

// of is a harvest of a crop whose limits are at the level of chances.
func of(s Scenario, c stats.Estimate) Result { return Of(s, c, c) }

// TestLogNormalCrop: with limits as far on both sides the crop is log-normal,
// whose chances are a closed form.
func TestLogNormalCrop(t *testing.T) {
	r := of(twenty, crop(1000, 500, 2000))
	if r.Taken != 200 || r.Share.Value != 0.2 {
		t.Errorf("%+v", r)
	}
	// P(200/C > 0.25) = P(log C < log 800) = Phi(log 0.8 / s), s = log 2 / 1.96.
	want := distuv.UnitNormal.CDF(math.Log(0.8) / (math.Ln2 / distuv.UnitNormal.Quantile(0.975)))
	statstest.Near(t, "chance", r.Passes, want, 1e-12)
	statstest.Relative(t, "lower", r.Share.Lower, 0.1, 1e-12)
	statstest.Relative(t, "upper", r.Share.Upper, 0.4, 1e-12)
	half := twenty
	half.Filled = 0.5
	if got := of(half, crop(1000, 500, 2000)); got.Taken != 100 || got.Passes >= r.Passes {
		t.Errorf("half the limit: %+v", got)
	}
}

// An uneven interval has its own limits on both sides.
func TestUnevenCrop(t *testing.T) {
	r := of(twenty, crop(1000, 800, 4000))
	statstest.Relative(t, "lower", r.Share.Lower, 0.05, 1e-12)
	statstest.Relative(t, "upper", r.Share.Upper, 0.25, 1e-12)
	statstest.Near(t, "chance", r.Passes, 0.025, 1e-12) // to pass 0.25 the crop must be under its lower limit
	few := twenty
	few.Share = 0.05 // and 0.05 unless it is over its upper one
	statstest.Near(t, "chance of little", of(few, crop(1000, 800, 4000)).Passes, 0.975, 1e-12)
	even := twenty
	even.Share = 0.2
	statstest.Near(t, "chance of the share itself", of(even, crop(1000, 800, 4000)).Passes, 0.5, 1e-12)
	nothing := of(twenty, crop(1000, 0, 4000)) // normal below: 800 is 1.96/5 standard deviations under
	statstest.Near(t, "chance where the crop may be nothing", nothing.Passes, distuv.UnitNormal.CDF(-distuv.UnitNormal.Quantile(0.975)/5), 1e-12)
	if got := of(twenty, crop(1000, 1000, 1000)).Passes; got != 0 {
		t.Errorf("a crop that is known passes with a chance of %v", got)
	}
}

// TestChanceHasNoLevel: limits at another level move the interval of the share
// and leave the chance as it is.
func TestChanceHasNoLevel(t *testing.T) {
	narrow, fixed := crop(1000, 600, 1700), crop(1000, 500, 2000)
	narrow.Confidence = 0.9
	a, b := Of(twenty, narrow, fixed), of(twenty, fixed)
	if a.Passes != b.Passes || a.Share.Confidence != 0.9 || a.Share.Upper != 200.0/600 {
		t.Errorf("%+v and %+v", a, b)
	}
}

func TestDegenerate(t *testing.T) {
	nan := math.NaN()
	for name, c := range map[string]struct {
		crop         stats.Estimate
		code         string
		value        float64
		lower, upper bool
		passes       bool
	}{
		"no crop":            {stats.Missing(0.95, 0, stats.Warning{Code: "no-mass"}), "no-crop", nan, false, false, false},
		"nothing found":      {crop(0, 0, 50), "no-finds", nan, true, false, false},
		"no interval":        {crop(1000, nan, nan), "crop-without-limits", 0.2, false, false, false},
		"open":               {crop(1000, 400, nan), "crop-open", 0.2, true, true, false},
		"may be nothing":     {crop(1000, 0, 3000), "upper-open", 0.2, true, false, true},
		"more than there is": {crop(100, 50, 200), "over-crop", 2, true, true, true},
	} {
		t.Run(name, func(t *testing.T) {
			r := of(twenty, c.crop)
			if !(r.Share.Value == c.value || math.IsNaN(r.Share.Value) && math.IsNaN(c.value)) || !math.IsNaN(r.Share.Lower) != c.lower || !math.IsNaN(r.Share.Upper) != c.upper || !math.IsNaN(r.Passes) != c.passes {
				t.Errorf("%+v", r)
			}
			if !slices.ContainsFunc(r.Share.Warnings, func(w stats.Warning) bool { return w.Code == c.code }) {
				t.Errorf("warnings %v", r.Share.Warnings)
			}
		})
	}
}

// TestProperties: a larger harvest takes more and is likelier to pass; a
// larger share is harder to pass; the interval holds the share.
func TestProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		value := rapid.Float64Range(1, 1e6).Draw(t, "crop")
		c := crop(value, value*rapid.Float64Range(0, 1).Draw(t, "lower"), value*rapid.Float64Range(1, 50).Draw(t, "upper"))
		s := Scenario{People: 10, Days: rapid.Float64Range(0.5, 30).Draw(t, "days"), Limit: rapid.Float64Range(0.1, 1000).Draw(t, "limit"), Filled: 1, Chance: 0.9, Share: rapid.Float64Range(0.01, 1).Draw(t, "share")}
		r := of(s, c)
		if r.Share.Lower > r.Share.Value || r.Share.Upper < r.Share.Value || !(r.Passes >= 0 && r.Passes <= 1) {
			t.Errorf("%+v", r)
		}
		more, harder := s, s
		more.People, harder.Share = 20, 1.5*s.Share
		if of(more, c).Passes < r.Passes || of(harder, c).Passes > r.Passes || of(more, c).Share.Value <= r.Share.Value {
			t.Errorf("not monotone: %+v", r)
		}
	})
}

func TestMisusePanics(t *testing.T) {
	statstest.Panics(t, map[string]func(){
		"nobody": func() {
			Of(Scenario{Chance: 0.9, Days: 1, Limit: 1, Filled: 1, Share: 1}, crop(1, 1, 1), crop(1, 1, 1))
		},
		"no share": func() {
			Of(Scenario{Chance: 0.9, People: 1, Days: 1, Limit: 1, Filled: 1}, crop(1, 1, 1), crop(1, 1, 1))
		},
		"nan": func() {
			Of(Scenario{Chance: 0.9, People: math.NaN(), Days: 1, Limit: 1, Filled: 1, Share: 1}, crop(1, 1, 1), crop(1, 1, 1))
		},
		"infinitely": func() {
			Of(Scenario{Chance: 0.9, People: math.Inf(1), Days: 1, Limit: 1, Filled: 1, Share: 1}, crop(1, 1, 1), crop(1, 1, 1))
		},
	})
}

// TestMost: of a log-normal crop of 1000 with limits 500 and 2000, s = log 2/1.96, a
// tenth lies under 1000 exp(-1.2816 s); a quarter of that is what may be taken.
func TestMost(t *testing.T) {
	m := of(twenty, crop(1000, 500, 2000)).Most
	want := 250 * math.Exp(-1.2815515655446004*math.Ln2/1.959963984540054)
	statstest.Relative(t, "taken", m.Taken, want, 1e-9)
	if m.People != math.Floor(want/10) || m.Days != math.Floor(want/40) {
		t.Errorf("%+v", m)
	}
	statstest.Relative(t, "limit", m.Limit, want/100, 1e-9)
	at := twenty
	at.Limit = m.Limit
	statstest.Near(t, "chance at the most", of(at, crop(1000, 500, 2000)).Passes, 0.1, 1e-9)
	if m := of(twenty, crop(1000, 0, 4000)).Most; math.Abs(m.Taken-250*(1-1.2815515655446004/1.959963984540054)) > 1e-6 {
		t.Errorf("where the crop may be nothing: %+v", m)
	}
	if m := of(twenty, stats.Estimate{Value: 1000, Interval: stats.NoInterval(0.95)}).Most; !math.IsNaN(m.People) {
		t.Errorf("without limits: %+v", m)
	}
	even := twenty
	even.Chance = 0.5
	statstest.Relative(t, "an even chance", of(even, crop(1000, 500, 2000)).Most.Taken, 250, 1e-12)
	statstest.Panics(t, map[string]func(){"a certain chance": func() {
		sure := twenty
		sure.Chance = 1
		of(sure, crop(1000, 500, 2000))
	}})
}
