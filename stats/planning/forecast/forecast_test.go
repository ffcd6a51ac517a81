package forecast

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"ashtally/stats"
	"ashtally/stats/season"
	"ashtally/stats/statstest"
)

// curve is the Gaussian curve of a season by its figures.
func curve(peak, peakSE, width float64) season.Flush {
	missing := stats.Estimate{Value: math.NaN(), SE: math.NaN()}
	return season.Flush{
		ReferenceM: 1000, Shape: season.Gaussian, DaysPer100M: missing, Lead: missing,
		Peak: estimate(peak, peakSE), Width: estimate(width, 0.02*width),
	}
}

func estimate(value, se float64) stats.Estimate {
	e := stats.Estimate{Value: value, SE: se}
	e.DF = 60
	return e
}

// With the variation between years known the next peak is normal about the mean of
// the seasons with sigma^2 (1 + 1/S): five peaks without error, sigma 6.
func TestWindowByHand(t *testing.T) {
	var past []season.Flush
	for _, p := range []float64{120, 124, 131, 118, 127} {
		past = append(past, curve(p, 0, 20))
	}
	f := Next(past, Options{Peak: Between{SD: 6, DF: math.Inf(1)}, Draws: 40000, Seed: 1})
	peak := f.Times(Place{ElevationM: 1000}, 0.8).Peak
	sd := 6 * math.Sqrt(1.2)
	statstest.Near(t, "middle", peak.Median, 124, 0.15)
	statstest.Near(t, "lower", peak.Lower, 124-1.281552*sd, 0.2)
	statstest.Near(t, "upper", peak.Upper, 124+1.281552*sd, 0.2)
}

// The 80 % window from some seasons holds the next peak in 74 to 86 % of 200 pairs,
// where the years differ as is assumed (8 days): one season, three and eight.
func TestWindowsHoldTheNextPeak(t *testing.T) {
	const pairs = 200
	for _, seasons := range []int{1, 3, 8} {
		held, width := 0, 0.0
		for i := range uint64(pairs) {
			r := rand.New(rand.NewPCG(uint64(seasons), i))
			year := func() float64 { return 130 + DefaultPeak.SD*r.NormFloat64() }
			var past []season.Flush
			for range seasons {
				past = append(past, curve(year()+1.5*r.NormFloat64(), 1.5, 20))
			}
			w := Next(past, Options{Seed: i, Draws: 1000}).Times(Place{ElevationM: 1000}, 0.8).Peak
			if next := year(); w.Lower <= next && next <= w.Upper {
				held++
			}
			width += (w.Upper - w.Lower) / pairs
		}
		t.Logf("%d seasons: %d of %d, %.1f days", seasons, held, pairs, width)
		if held < 148 || held > 180 || seasons > 1 && held > 172 {
			t.Errorf("after %d seasons the window holds %d of %d peaks", seasons, held, pairs)
		}
	}
}

// Between one season and many the window narrows, and one season says so.
func TestOneSeasonIsWide(t *testing.T) {
	one := Next([]season.Flush{curve(130, 1, 20)}, Options{Seed: 1})
	if !FewSeasons.In(one.Warnings) {
		t.Errorf("%v", one.Warnings)
	}
	many := make([]season.Flush, 12)
	for i := range many {
		many[i] = curve(130+8*math.Sin(float64(5*i)), 1, 20)
	}
	eight := Next(many, Options{Seed: 1})
	width := func(f *Forecast) float64 {
		w := f.Times(Place{ElevationM: 1000}, 0.8).Peak
		return w.Upper - w.Lower
	}
	// sigma sqrt(2) against sigma sqrt(1 + 1/12).
	if width(one) < 1.2*width(eight) {
		t.Errorf("%v after one season, %v after twelve", width(one), width(eight))
	}
}

// Hopkins' 3.28 days per 100 m move the peak where no season has a delay of its own.
func TestElevationDelay(t *testing.T) {
	f := Next([]season.Flush{curve(130, 1, 20)}, Options{Seed: 1})
	low, high := f.Times(Place{ElevationM: 1000}, 0.8), f.Times(Place{ElevationM: 1300}, 0.8)
	statstest.Near(t, "delay", high.Peak.Median-low.Peak.Median, 3*season.HopkinsDaysPer100M, 0.5)
	if !DelayAssumed.In(f.Warnings) {
		t.Errorf("%v", f.Warnings)
	}
	if w := f.Times(Place{Roadside: true}, 0.8); w.None == nil || w.None.Type != NoLead {
		t.Errorf("roadside: %v", w.None)
	}
	// Onset and end of a Gaussian flush lie half a width from its peak; the widths that
	// may come are skewed.
	statstest.Near(t, "onset", low.Peak.Median-low.Onset.Median, 10, 1)
	statstest.Near(t, "end", low.End.Median-low.Peak.Median, 10, 1)
}

func TestNoCurve(t *testing.T) {
	reason := NoCurve.With("no finds")
	f := Next([]season.Flush{{None: &reason}}, Options{})
	if f.None == nil || f.Times(Place{}, 0.8).None == nil || f.Daily([]Place{{Weight: 1}}, 100, 110) != nil {
		t.Errorf("%+v", f)
	}
	if g := f.Update(season.Sample{}, 1, Height{}); g != f {
		t.Error("updated without a forecast")
	}
}

// A visit every day sees the whole flush, and a single one at the peak what came in
// the days before it that a body stands: of a Gaussian flush of standard deviation
// 20/3.92 days and 5 standing days, Phi(0) - Phi(-0.98) = 0.336.
func TestShareOfVisits(t *testing.T) {
	f := Next([]season.Flush{curve(130, 0, 20)}, Options{Peak: Between{SD: 1e-6, DF: math.Inf(1)}, LogWidth: Between{SD: 1e-6, DF: math.Inf(1)}})
	places := []Place{{ElevationM: 1000, Weight: 1}}
	var every []int
	for d := 100; d <= 160; d++ {
		every = append(every, d)
	}
	statstest.Near(t, "every day", f.Seen(places, every, Standing{Days: 5})[0], 1, 1e-3)
	statstest.Near(t, "at the peak", f.Seen(places, []int{130}, Standing{Days: 5})[0], 0.336, 0.004)
	statstest.Near(t, "all stand", f.Seen(places, []int{130}, Standing{})[0], 0.5, 0.002)
	daily := f.Daily(places, 100, 160)
	var sum float64
	for _, v := range daily {
		sum += v
	}
	statstest.Near(t, "whole flush", sum, 1, 1e-3)
}

// Degree days that rise by 10 a day put a peak at 500 of them on day 50 of the year, 20
// days earlier than by former years of half the warmth.
func TestCalendarOfDegreeDays(t *testing.T) {
	warm := func(perDay float64) *season.Warmth { return warmth(t, perDay) }
	c := &Calendar{Former: []*season.Warmth{warm(5)}}
	statstest.Near(t, "former years", c.day(0, 500), 100, 1.1)
	c.This, c.Today = warm(10), 200
	statstest.Near(t, "this year", c.day(0, 500), 50, 1.1)
	c.Today = 20 // 200 so far, and then 5 a day
	statstest.Near(t, "this year so far", c.day(0, 500), 80, 1.1)
}

// Counts before this year's peak narrow the window and move it to the truth.
func TestUpdateNarrows(t *testing.T) {
	f := Next([]season.Flush{curve(130, 1, 20)}, Options{Seed: 1})
	before := f.Times(Place{ElevationM: 1000}, 0.8).Peak
	truth := draw{peak: 140, width: 20}
	r := rand.New(rand.NewPCG(7, 7))
	s := season.Sample{StandingDays: 6}
	for unit := range 20 {
		for day := 118.0; day <= 138; day += 5 {
			s.From, s.To = append(s.From, day-5), append(s.To, day)
			s.Exposure, s.Cluster, s.Cell = append(s.Exposure, 0.01), append(s.Cluster, unit), append(s.Cell, 0)
			s.ElevationM = append(s.ElevationM, 1000)
			mean := 8 * f.window(truth, s, len(s.From)-1)
			s.Count = append(s.Count, poisson(r, mean))
		}
	}
	after := f.Update(s, 5, Height{}).Times(Place{ElevationM: 1000}, 0.8).Peak
	if after.Upper-after.Lower > 0.7*(before.Upper-before.Lower) || math.Abs(after.Median-140) > math.Abs(before.Median-140) {
		t.Errorf("before %+v, after %+v, truth 140", before, after)
	}
	none := season.Sample{Count: []float64{0}, Exposure: []float64{1}, From: []float64{100}, To: []float64{110}, Cluster: []int{0}, Cell: []int{0}}
	if g := f.Update(none, 1, Height{}); !NothingYet.In(g.Warnings) {
		t.Errorf("without finds: %v", g.Warnings)
	}
}

func poisson(r *rand.Rand, mean float64) float64 {
	n, p := 0.0, math.Exp(-mean)
	for u := r.Float64(); u > p; u *= r.Float64() {
		n++
	}
	return n
}

func TestSameSeedSameForecast(t *testing.T) {
	past := []season.Flush{curve(130, 1, 20)}
	a, b := Next(past, Options{Seed: 4}), Next(past, Options{Seed: 4})
	if !slices.Equal(a.draws, b.draws) {
		t.Error("draws differ")
	}
}

func TestPanics(t *testing.T) {
	f := Next([]season.Flush{curve(130, 1, 20)}, Options{})
	statstest.Panics(t, map[string]func(){
		"chance":            func() { f.Times(Place{}, 1) },
		"degree days":       func() { Next(nil, Options{Calendar: &Calendar{}}) },
		"negative spread":   func() { Next(nil, Options{Peak: Between{SD: -1, DF: 1}}) },
		"clumping not over": func() { f.Update(season.Sample{}, 0, Height{}) },
	})
}

// warmth is a year in which every day is as warm.
func warmth(t *testing.T, perDay float64) *season.Warmth {
	t.Helper()
	readings := make([]season.Reading, 200)
	for i := range readings {
		readings[i] = season.Reading{Day: i + 1, Temperature: perDay}
	}
	return season.NewRecord(readings).DegreeDays(1, 0)
}
