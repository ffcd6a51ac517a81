package season

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"ashtally/stats"
	"ashtally/stats/statstest"
	"ashtally/stats/strata"
)

// simple is a sample of standing crops: a row of counts for each unit, on days
// that all units share.
func simple(days []float64, units ...[]float64) Sample {
	var s Sample
	for u, counts := range units {
		for i, y := range counts {
			s.Count, s.Exposure = append(s.Count, y), append(s.Exposure, 0.02)
			s.From, s.To = append(s.From, days[i]), append(s.To, days[i])
			s.Cluster, s.Cell = append(s.Cluster, u), append(s.Cell, 0)
		}
	}
	return s
}

func TestNoCurve(t *testing.T) {
	week := []float64{110, 117, 124, 131, 138}
	rising := [][]float64{{0, 1, 2, 6, 13}, {1, 0, 3, 5, 15}, {0, 1, 3, 9, 14}, {0, 0, 2, 7, 19}}
	falling := [][]float64{{13, 6, 2, 1, 0}, {15, 5, 3, 0, 1}, {14, 9, 3, 1, 0}, {19, 7, 2, 0, 0}}
	valley := [][]float64{{9, 3, 1, 3, 10}, {8, 2, 0, 4, 9}, {11, 4, 1, 2, 8}, {7, 3, 1, 3, 12}}
	hump := [][]float64{{0, 3, 9, 4, 0}, {1, 5, 11, 3, 1}, {0, 2, 8, 5, 0}, {0, 4, 10, 2, 1}}
	flat := [][]float64{{4, 5, 4, 4, 5}, {5, 4, 4, 5, 4}, {4, 4, 5, 4, 4}, {5, 5, 4, 4, 5}}
	zeros := [][]float64{{0, 0, 0, 0, 0}, {0, 0, 0, 0, 0}}
	short := [][]float64{{0, 3, 1}, {1, 4, 0}, {0, 5, 1}, {1, 3, 0}}
	for name, c := range map[string]struct {
		sample Sample
		codes  []string
	}{
		"nothing visited":   {Sample{}, []string{"no-visits"}},
		"nothing found":     {simple(week, zeros...), []string{"no-finds"}},
		"one unit":          {simple(week, hump[0]), []string{"one-cluster"}},
		"finds in one unit": {simple(week, hump[0], zeros[0]), []string{"no-rise-and-fall", "few-clusters-for-curve"}},
		"three dates":       {simple(week, short...), []string{"few-dates"}},
		"rising":            {simple(week, rising...), []string{"peak-after-visits", "no-rise-and-fall"}},
		"falling":           {simple(week, falling...), []string{"peak-before-visits", "no-rise-and-fall"}},
		"flat":              {simple(week, flat...), []string{"no-rise-and-fall"}},
		"a valley":          {simple(week, valley...), []string{"no-rise-and-fall"}},
		"one date of finds": {simple(week, []float64{0, 0, 4, 0, 0}, []float64{0, 0, 7, 0, 0}, []float64{0, 0, 5, 0, 0}), []string{"few-dates-with-finds"}},
	} {
		t.Run(name, func(t *testing.T) {
			f := Fit(c.sample, 0.95)
			if f.None == nil || !slices.Contains(c.codes, f.None.Code) {
				t.Fatalf("no curve because of %v, want one of %q", f.None, c.codes)
			}
			for _, e := range []stats.Estimate{f.Onset, f.Peak, f.End, f.Width, f.DaysPer100M, f.Lead} {
				if !math.IsNaN(e.Value) || len(e.Warnings) == 0 {
					t.Errorf("a figure without a curve: %+v", e)
				}
			}
			plans := []Plan{{Exposure: 1, From: []float64{120}, To: []float64{124}}}
			if seen := f.Seen(plans); !math.IsNaN(seen.Each[0]) || !math.IsNaN(seen.All.Value) {
				t.Error("a share of a flush that is not known")
			}
			if total := f.View(plans).Total([]Part{{LandHa: 1, Units: []int{0}, Count: []float64{3}}}); !math.IsNaN(total.Value) || len(total.Warnings) == 0 {
				t.Errorf("a season without a curve: %+v", total)
			}
			if f.Curve(week) != nil {
				t.Error("a curve is drawn")
			}
		})
	}
}

// TestAHump: by hand. Counts that are symmetric about day 124 peak there.
func TestAHump(t *testing.T) {
	f := Fit(simple([]float64{110, 117, 124, 131, 138}, []float64{0, 3, 9, 3, 0}, []float64{1, 5, 11, 5, 1}, []float64{0, 2, 8, 2, 0}, []float64{1, 4, 10, 4, 1}), 0.95)
	if f.None != nil {
		t.Fatal(f.None)
	}
	statstest.Near(t, "peak", f.Peak.Value, 124, 1e-6)
	statstest.Near(t, "onset and end", f.Onset.Value+f.End.Value, 2*124, 1e-6)
	statstest.Near(t, "width", f.Width.Value, f.End.Value-f.Onset.Value, 1e-9)
	if !math.IsNaN(f.DaysPer100M.Value) || f.DaysPer100M.Warnings[0].Code != "no-elevations" || f.Lead.Warnings[0].Code != "no-roadsides" {
		t.Errorf("a delay of %v and a lead of %v from nowhere", f.DaysPer100M, f.Lead)
	}
	// Half the standing crop of the peak stands 1.1774 standard deviations off it.
	day := f.Peak.Value + math.Sqrt(2*math.Ln2)*f.Spread
	seen := f.Seen([]Plan{{Exposure: 1, From: []float64{day}, To: []float64{day}, ElevationM: math.NaN()}})
	statstest.Near(t, "share of the peak", seen.All.Value, 0.5, 1e-9)
	statstest.WellFormed(t, seen.All)
}

// TestSeenInFull: a single window over the whole season sees all of it, however
// well or badly the curve is known.
func TestSeenInFull(t *testing.T) {
	f := Fit(worlds()[0].draw(rand.New(rand.NewPCG(1, 1))).sample, 0.95)
	s := f.Seen([]Plan{{Exposure: 1, ElevationM: 1100, From: []float64{0}, To: []float64{365}}})
	statstest.Near(t, "share", s.All.Value, 1, 1e-12)
	statstest.Near(t, "its lower limit", s.All.Lower, 1, 1e-12)
	plans := []Plan{{Exposure: 0.5, From: []float64{0}, To: []float64{365}, Cluster: 1}, {Exposure: 0.5, From: []float64{0}, To: []float64{365}, Cluster: 2}}
	total := f.View(plans).Total([]Part{{LandHa: 3, Units: []int{0, 1}, Count: []float64{30, 10}}})
	statstest.Near(t, "total", total.Value, 40, 1e-9) // 40 on 1 ha, all of it seen
	if !total.Observed {
		t.Error("a season seen in full counts as extrapolated")
	}
	late := f.Seen([]Plan{{Exposure: 1, ElevationM: 1000, From: []float64{200}, To: []float64{210}}})
	statstest.Near(t, "share after the flush", late.All.Value, 0, 1e-6)
	statstest.WellFormed(t, late.All)
}

// TestUnits: the order of the visits and the names of the clusters do not
// matter, days moved move the peak, areas scaled scale the total.
func TestUnits(t *testing.T) {
	s := worlds()[1].draw(rand.New(rand.NewPCG(4, 2)))
	want := Fit(s.sample, 0.9)
	total := func(f Flush, by float64) Total {
		scaled := s
		scaled.plans = slices.Clone(s.plans)
		for i := range scaled.plans {
			scaled.plans[i].Exposure *= by
		}
		return scaled.total(&f, 10)
	}
	wantTotal := total(want, 1)
	rapid.Check(t, func(t *rapid.T) {
		moved, by := s.sample, rapid.Float64Range(0.1, 10).Draw(t, "area")
		days := float64(rapid.IntRange(-60, 60).Draw(t, "days"))
		moved.Exposure, moved.From, moved.To = shifted(moved.Exposure, by, 0), shifted(moved.From, 1, days), shifted(moved.To, 1, days)
		f := Fit(moved, 0.9)
		if f.None != nil {
			t.Fatal(f.None)
		}
		statstest.Relative(t, "peak", f.Peak.Value, want.Peak.Value+days, 1e-6)
		statstest.Relative(t, "width", f.Width.Value, want.Width.Value, 1e-5)
		statstest.Relative(t, "log-likelihood", f.LogLik, want.LogLik, 1e-8)
		if days == 0 {
			statstest.Scaled(t, "total", total(f, by).Estimate, wantTotal.Estimate, 1/by, 1e-5)
		}
	})
}

func shifted(x []float64, by, days float64) []float64 {
	out := make([]float64, len(x))
	for i := range x {
		out[i] = by*x[i] + days
	}
	return out
}

// TestAnything: no sample makes a figure without a reason, a NaN without a
// word, or limits that leave the figure out.
func TestAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, sample := Flush{}, drawSample(t)
		switch rapid.IntRange(0, 3).Draw(t, "curve") {
		case 0:
			f = Fit(sample, 0.95)
		case 1:
			f = FitShape(sample, Skewed, 0.95)
		case 2:
			f = FitShape(sample, Bimodal, 0.95)
		default:
			f = Choose(sample, Options{Confidence: 0.95, Replicates: 99})
		}
		all := []stats.Estimate{f.Onset, f.Peak, f.End, f.Width, f.DaysPer100M, f.Lead}
		for i, e := range all {
			if f.None != nil && !math.IsNaN(e.Value) {
				t.Fatalf("figure %d is %v though there is no curve: %v", i, e.Value, f.None)
			}
			if math.IsNaN(e.Value) && len(e.Warnings) == 0 {
				t.Fatalf("figure %d is missing without a word", i)
			}
			if e.Lower > e.Value || e.Upper < e.Value || math.IsInf(e.Lower, 0) || math.IsInf(e.Upper, 0) {
				t.Fatalf("figure %d is not in its interval: %+v", i, e)
			}
		}
		if f.None == nil && (f.Shape == "" || math.IsNaN(f.Peak.Lower) || math.IsNaN(f.Onset.Lower) || math.IsNaN(f.End.Upper) || !(f.Width.Value > 0)) {
			t.Fatalf("a curve without limits: %+v", f)
		}
	})
}

func drawSample(t *rapid.T) Sample {
	units, visits := rapid.IntRange(0, 12).Draw(t, "units"), rapid.IntRange(1, 6).Draw(t, "visits")
	highest := rapid.SampledFrom([]int{0, 1, 5, 200}).Draw(t, "most")
	standing, sites := rapid.Bool().Draw(t, "standing"), rapid.IntRange(1, 12).Draw(t, "sites")
	var s Sample
	elevation, road := rapid.Bool().Draw(t, "elevation"), rapid.Bool().Draw(t, "roads")
	for u := range units {
		day := float64(rapid.IntRange(90, 130).Draw(t, "first"))
		height, along := rapid.Float64Range(0, 3000).Draw(t, "height"), rapid.Bool().Draw(t, "along")
		for range visits {
			from := day
			day += float64(rapid.IntRange(1, 20).Draw(t, "gap"))
			if standing {
				from = day
			}
			s.Count = append(s.Count, float64(rapid.IntRange(0, highest).Draw(t, "count")))
			s.Exposure = append(s.Exposure, rapid.Float64Range(0.001, 1).Draw(t, "area"))
			s.From, s.To, s.Cluster, s.Cell = append(s.From, from), append(s.To, day), append(s.Cluster, u%sites), append(s.Cell, u%2)
			if elevation {
				s.ElevationM = append(s.ElevationM, height)
			}
			if road {
				s.Roadside = append(s.Roadside, along)
			}
		}
	}
	return s
}

// TestOpenLimits: a season in which so few units bear the delay by elevation
// that its limits do not close has none, and says so.
func TestOpenLimits(t *testing.T) {
	w := worlds()[8]
	f := Fit(w.draw(rand.New(rand.NewPCG(simulationSeed, 843))).sample, 0.95)
	d := f.DaysPer100M
	if f.None != nil || !(d.SE > 0) || d.DF > 2 || !math.IsNaN(d.Lower) || !math.IsNaN(d.Upper) {
		t.Fatalf("%v, %+v", f.None, d)
	}
	if !slices.ContainsFunc(f.Warnings, func(w stats.Warning) bool { return w.Code == "open-limits" }) {
		t.Errorf("limits that are open without a word: %v", f.Warnings)
	}
}

// TestCorrection: the square root twice is the whole, the whole is an inverse,
// and powers of a small pull say what its eigenvalues say.
func TestCorrection(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "parameters")
		number := rapid.Float64Range(-1, 1)
		square := func(name string, ridge float64) [][]float64 { // positive definite
			g, a := matrix(n, n), matrix(n, n)
			for i := range n {
				for j := range n {
					g[i][j] = number.Draw(t, name)
				}
			}
			for i := range n {
				for j := range n {
					a[i][j] = dot(g[i], g[j])
				}
				a[i][i] += ridge
			}
			return a
		}
		own, all := square("own", 0), square("all", 0.1)
		by := rapid.SampledFrom([]float64{0.5, 0.05}).Draw(t, "share") / (traceOf(product(own, all)) + 1e-9)
		for i := range n {
			for j := range n {
				own[i][j] *= by
			}
		}
		var w workspace
		w.resize(n)
		c := w.correction(blockOf(own), blockOf(all))
		full, half := byEigenvalues(blockOf(own).symmetric(), blockOf(all).symmetric())
		other := correction{leverage: c.leverage, full: full, half: half}
		x := make([]float64, n)
		for i := range x {
			x[i] = number.Draw(t, "score")
		}
		of := func(by func([]float64, *workspace) []float64, x []float64) []float64 { return slices.Clone(by(x, &w)) }
		whole, twice, back := of(c.whole, x), of(c.root, of(c.root, x)), make([]float64, n)
		c.leverage.times(back, whole, false)
		for i := range x {
			statstest.Close(t, "whole", whole[i]-back[i], x[i], 1e-9)
			statstest.Close(t, "root of root", twice[i], whole[i], 1e-9)
			statstest.Close(t, "root", of(c.root, x)[i], of(other.root, x)[i], 1e-9)
			statstest.Close(t, "transpose", of(c.rootOf, x)[i], of(other.rootOf, x)[i], 1e-9)
		}
	})
}

func TestMisuse(t *testing.T) {
	good := simple([]float64{1, 2}, []float64{1, 2})
	bad := func(change func(s *Sample)) func() {
		return func() {
			s := simple([]float64{1, 2}, []float64{1, 2})
			change(&s)
			Fit(s, 0.95)
		}
	}
	statstest.Panics(t, map[string]func(){
		"confidence": func() { Fit(good, 1) },
		"lengths":    bad(func(s *Sample) { s.To = s.To[1:] }),
		"count":      bad(func(s *Sample) { s.Count[0] = 0.5 }),
		"exposure":   bad(func(s *Sample) { s.Exposure[0] = 0 }),
		"window":     bad(func(s *Sample) { s.From[0] = 3 }),
		"elevation":  bad(func(s *Sample) { s.ElevationM = []float64{1, math.NaN()} }),
	})
}

// TestWarmth: of a flush driven by warmth in a spring that halts, the fit by
// degree days has the lower AIC; of one driven by the day, that by days.
func TestWarmth(t *testing.T) {
	var readings []Reading
	for day := 60; day <= 200; day++ {
		temperature := 10.0
		if day >= 118 && day < 130 {
			temperature = 0.5 // a cold spell in the midst of the flush
		}
		readings = append(readings, Reading{day, temperature})
	}
	w := NewRecord(readings).DegreeDays(60, 0)
	warm := func(_ int, day float64) float64 { return w.At(day) }
	for _, byWarmth := range []bool{true, false} {
		s := warmSample(w, byWarmth)
		days := Fit(s, 0.95)
		s.Clock = warm
		degrees := Fit(s, 0.95)
		if byWarmth && !(degrees.AIC < days.AIC-2) || !byWarmth && !(days.AIC < degrees.AIC-2) {
			t.Errorf("driven by warmth %t: AIC %.1f by days, %.1f by degree days", byWarmth, days.AIC, degrees.AIC)
		}
		if byWarmth && where(degrees.Peak, w.At(116)) != 0 {
			t.Errorf("peak at %v degree days, want about %.0f", degrees.Peak, w.At(116))
		}
	}
}

// warmSample counts what stands every fourth day on 30 units.
func warmSample(w *Warmth, byWarmth bool) Sample {
	rng := rand.New(rand.NewPCG(11, 5))
	var s Sample
	for u := range 30 {
		for day := 104.0; day <= 144; day += 4 {
			z := (day - 124) / 8
			if byWarmth {
				z = (w.At(day) - w.At(116)) / 60
			}
			mean := 6 * math.Exp(-z*z/2)
			s.Count = append(s.Count, poisson(rng, mean))
			s.Exposure, s.From, s.To = append(s.Exposure, 0.02), append(s.From, day), append(s.To, day)
			s.Cluster, s.Cell = append(s.Cluster, u), append(s.Cell, 0)
		}
	}
	return s
}

func poisson(rng *rand.Rand, mean float64) float64 {
	var n float64
	for t := rng.ExpFloat64(); t < mean; t += rng.ExpFloat64() {
		n++
	}
	return n
}

// TestTotalCollapsed: strata of one unit each, of equal land and searched alike,
// collapsed into one, have the total and the variance of one stratum of both
// units; a small stratum of one unit adds a little.
func TestTotalCollapsed(t *testing.T) {
	f := Fit(worlds()[0].draw(rand.New(rand.NewPCG(1, 1))).sample, 0.95)
	plans := make([]Plan, 9) // each of a cluster of its own
	for i := range plans {
		plans[i] = Plan{Exposure: 0.5, ElevationM: 1100, From: []float64{100}, To: []float64{130}, Cluster: 1000 + i}
	}
	view := f.View(plans)
	part := func(name string, ha float64, first int, counts ...float64) Part {
		p := Part{Stratum: strata.Stratum{Name: name, Mean: counts[0]}, LandHa: ha, Count: counts}
		for i := range counts {
			p.Units = append(p.Units, first+i)
		}
		return p
	}
	one, two := view.Total([]Part{part("both", 20, 0, 30, 10)}), view.Total([]Part{part("a", 10, 0, 30), part("b", 10, 1, 10)})
	statstest.Relative(t, "total", two.Value, one.Value, 1e-12)
	statstest.Relative(t, "standard error", two.SE, one.SE, 1e-12)
	if len(two.Warnings) == 0 || two.Warnings[0].Code != strata.CollapsedStrata.Code {
		t.Errorf("%+v", two.Warnings)
	}
	large := part("large", 99, 0, 10, 30, 20, 25, 12, 18, 22, 9)
	alone, with := view.Total([]Part{large}), view.Total([]Part{large, part("small", 1, 8, 30)})
	if !(with.CV() > 0.95*alone.CV() && with.CV() < 1.2*alone.CV()) {
		t.Errorf("CV %g with a hundredth of the land in a stratum of one unit, %g without", with.CV(), alone.CV())
	}
	if only := view.Total([]Part{part("only", 1, 8, 30)}); !math.IsNaN(only.SE) || only.Warnings[0].Code != "one-cluster" {
		t.Errorf("one unit: %+v", only)
	}
}
