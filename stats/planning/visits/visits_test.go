package visits

import (
	"math"
	"slices"
	"testing"

	"ashtally/stats"
	"ashtally/stats/planning/forecast"
	"ashtally/stats/season"
	"ashtally/stats/statstest"
)

// sharp is a forecast of a Gaussian flush of 20 days whose peak is known to be day 130.
func sharp() *forecast.Forecast {
	missing := stats.Estimate{Value: math.NaN(), SE: math.NaN()}
	of := func(v float64) stats.Estimate { return stats.Estimate{Value: v} }
	known := forecast.Between{SD: 1e-6, DF: math.Inf(1)}
	return forecast.Next([]season.Flush{{
		ReferenceM: 1000, Shape: season.Gaussian, Peak: of(130), Width: of(20), DaysPer100M: missing, Lead: missing,
	}}, forecast.Options{Peak: known, LogWidth: known, Draws: 10})
}

var place = []forecast.Place{{ElevationM: 1000, Weight: 1}}

// The dates by dynamic programming see no less than any other dates: all triples.
func TestDatesAreTheBest(t *testing.T) {
	f := sharp()
	standing := forecast.Standing{Days: 6}
	s := Choose(f, place, Options{Share: 0.99, Most: 3, Standing: standing})
	best := 0.0
	for a := 112; a <= 148; a++ {
		for b := a + 1; b <= 148; b++ {
			for c := b + 1; c <= 148; c++ {
				best = max(best, f.Seen(place, []int{a, b, c}, standing)[0])
			}
		}
	}
	statstest.Near(t, "three visits", s.Plans[2].Share, best, 1e-3)
}

// With bodies that stand for ever one visit after the end sees all.
func TestOneVisitWhereAllStands(t *testing.T) {
	s := Choose(sharp(), place, Options{})
	if s.Chosen != 0 || s.None != nil || s.Plans[0].Share < 0.99 {
		t.Errorf("%+v", s)
	}
}

// The chosen number is the first that sees the wanted share, with one more beside it.
func TestChosenIsTheFirst(t *testing.T) {
	s := Choose(sharp(), place, Options{Standing: forecast.Standing{Days: 6}, Cost: 3})
	if s.None != nil || s.Chosen < 1 || len(s.Plans) != s.Chosen+2 {
		t.Fatalf("%+v", s)
	}
	chosen, before := s.Plans[s.Chosen], s.Plans[s.Chosen-1]
	if chosen.Share < 0.9 || before.Share >= 0.9 || chosen.Cost != 3*float64(s.Chosen+1) {
		t.Errorf("%+v after %+v", chosen, before)
	}
	if !slices.IsSorted(chosen.Days) || chosen.Chance != 1 || math.Abs(chosen.Low-chosen.Share) > 1e-6 {
		t.Errorf("%+v", chosen)
	}
}

// Visits made are not made again, and none is planned before today.
func TestInTheSeason(t *testing.T) {
	o := Options{Standing: forecast.Standing{Days: 6}, Done: []int{122, 127}, Today: 128}
	s := Choose(sharp(), place, o)
	if s.None != nil || s.Plans[s.Chosen].Days[0] <= 128 {
		t.Fatalf("%+v", s)
	}
	if all := Choose(sharp(), place, Options{Standing: o.Standing}); len(s.Plans[s.Chosen].Days) >= len(all.Plans[all.Chosen].Days) {
		t.Errorf("%v to come, %v without those made", s.Plans[s.Chosen].Days, all.Plans[all.Chosen].Days)
	}
}

func TestNone(t *testing.T) {
	o := Options{Standing: forecast.Standing{Days: 1}, Most: 3}
	if s := Choose(sharp(), place, o); s.None == nil || s.None.Type != tooFew || s.Chosen != -1 {
		t.Errorf("three visits: %+v", s)
	}
	o = Options{Done: []int{160}, Today: 160}
	if s := Choose(sharp(), place, o); s.None == nil || s.None.Type != seenYet {
		t.Errorf("seen already: %+v", s)
	}
	if s := Choose(forecast.Next(nil, forecast.Options{}), place, Options{}); s.None == nil || s.None.Type != forecast.NoCurve {
		t.Errorf("no forecast: %+v", s)
	}
	if s := Choose(sharp(), nil, Options{}); s.None == nil || s.None.Type != noPlaces {
		t.Errorf("no place: %+v", s)
	}
}

func TestPanics(t *testing.T) {
	statstest.Panics(t, map[string]func(){
		"share":      func() { Choose(sharp(), place, Options{Share: 2}) },
		"not sorted": func() { Choose(sharp(), place, Options{Done: []int{3, 1}}) },
	})
}
