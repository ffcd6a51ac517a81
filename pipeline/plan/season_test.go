package plan

import (
	"math"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
	"ashtally/stats/planning/forecast"
	"ashtally/stats/season"
	"ashtally/stats/statstest"
)

// curved is a season whose flush peaked on a day, without a delay or lead of its own.
func curved(year int, peak float64) Flush {
	missing := limited(math.NaN(), math.NaN(), math.NaN(), 0.95)
	return Flush{Year: year, Folder: "last", All: season.Flush{
		ReferenceM: 1000, Shape: season.Gaussian, K: 1, Peak: limited(peak, peak-2, peak+2, 0.95), Width: limited(22, 20, 24, 0.95),
		DaysPer100M: missing, Lead: missing,
	}}
}

// timed is a plan for 2032 from some seasons, of units at 1000 m.
func timed(t *testing.T, w Weather, seasons ...Flush) *calendar {
	t.Helper()
	s := survey.Defaults()
	s.Plan.Year = 2032
	in := Input{Settings: s, Weather: w, Pilot: &Pilot{Folder: "last", Year: 2031, Seasons: seasons, Bands: []Band{{Stratum: "severe", ElevationM: 1000, Units: 10}}}}
	c := schedule{in}.calendar(&numbers{})
	if c == nil || c.Forecast.None != nil {
		t.Fatalf("no calendar: %+v", c)
	}
	return c
}

// steady is the temperature of a station from 1 March to the last day of a year, as
// many degrees every day.
func steady(celsius map[int]float64, last map[int]int) Weather {
	w := Weather{}
	for year, c := range celsius {
		end := 210
		if n, ok := last[year]; ok {
			end = n
		}
		for day := 61; day <= end; day++ {
			w["lookout"] = append(w["lookout"], Temperature{column.DateInYear(year, day), c})
		}
	}
	return w
}

// Peaks of four seasons on days 120 to 138 have their mean as the middle, and the row
// says on how many seasons it rests. One season assumes 8 days and says so.
func TestSeveralSeasons(t *testing.T) {
	c := timed(t, nil, curved(2028, 120), curved(2029, 138), curved(2030, 126), curved(2031, 132))
	r := c.Rows[0]
	statstest.Near(t, "median", r.Peak.Number.Median, 129, 1)
	if r.Seasons.Value != 4 || r.Clock != "days" || forecast.OneSeason.In(r.Warnings) || !forecast.FewSeasons.In(r.Warnings) {
		t.Errorf("%+v", r)
	}
	one := timed(t, nil, curved(2031, 132)).Rows[0]
	if !forecast.OneSeason.In(one.Warnings) || one.BetweenDays.Value != 8 {
		t.Errorf("one season: %+v", one)
	}
}

// Two seasons whose years differ by little have a narrower window than two that differ
// by much.
func TestWindowFollowsTheYears(t *testing.T) {
	width := func(c *calendar) float64 { return c.Rows[0].Peak.Number.Upper - c.Rows[0].Peak.Number.Lower }
	near, far := width(timed(t, nil, curved(2029, 129), curved(2030, 131), curved(2031, 130))), width(timed(t, nil, curved(2029, 115), curved(2030, 145), curved(2031, 130)))
	if far < 3*near {
		t.Errorf("%.1f days where years differ by 1, %.1f where by 15", near, far)
	}
}

// A season of 5 degrees a day peaked on day 130: 350 degree days above 0 °C from 1
// March, day 61 of 2032. In 2032 there were 8 a day to day 90, 240 degree days; at 5 a
// day the rest of 110 takes 22 days: day 112.
func TestDegreeDaysOfThisYear(t *testing.T) {
	w := steady(map[int]float64{2030: 5, 2031: 5, 2032: 8}, map[int]int{2032: 90})
	c := timed(t, w, curved(2031, 130))
	r := c.Rows[0]
	statstest.Near(t, "peak", r.Peak.Number.Median, 112, 1.5)
	if r.Clock != "degree days" || r.Station != "lookout" || r.Former.Value != 2 || r.ReadTo.String() != "2032-03-30" || r.From.String() != "2032-03-01" {
		t.Errorf("%+v", r)
	}
	// Without a reading of this year the mean of the former ones puts it where it was.
	before := timed(t, steady(map[int]float64{2030: 5, 2031: 5}, nil), curved(2031, 130)).Rows[0]
	statstest.Near(t, "before the season", before.Peak.Number.Median, 130, 1.5)
	if before.ReadTo != (column.Date{}) {
		t.Errorf("readings to %v", before.ReadTo)
	}
}

// Weather that does not span the past flush is not used, and the calendar says so.
func TestWeatherThatDoesNotServe(t *testing.T) {
	c := timed(t, steady(map[int]float64{2031: 5}, map[int]int{2031: 125}), curved(2031, 130))
	if r := c.Rows[0]; r.Clock != "days" || !noWeather.In(r.Warnings) {
		t.Errorf("%+v", r)
	}
}

// A southern aspect whose curve came 6 days before that of all units, at the same
// elevation, has a window 6 days earlier; without curves by aspect the rows say so.
func TestAspects(t *testing.T) {
	f := curved(2031, 130)
	if c := timed(t, nil, f); !noAspects.In(c.Rows[0].Warnings) || len(c.Rows) != 1 {
		t.Errorf("without aspects: %+v", c.Rows)
	}
	f.Aspects = []AspectFlush{{"south", curved(2031, 124).All}, {"north", season.Flush{None: &c0}}}
	c := timed(t, nil, f)
	if len(c.Rows) != 2 || c.Rows[1].Aspect != "south" || noAspects.In(c.Rows[0].Warnings) {
		t.Fatalf("%+v", c.Rows)
	}
	statstest.Near(t, "south", c.Rows[0].Peak.Number.Median-c.Rows[1].Peak.Number.Median, 6, 0.5)
}

var c0 = noCurve.With("too few finds")

// Pilots are joined in the order of their years; two folders of one season are refused.
func TestMergePilots(t *testing.T) {
	a := &Pilot{Folder: "a", Year: 2031, Seasons: []Flush{curved(2031, 130)}, Bands: []Band{{Stratum: "late"}}}
	b := &Pilot{Folder: "b", Year: 2029, Seasons: []Flush{curved(2028, 120), curved(2029, 125)}, Bands: []Band{{Stratum: "early"}}, Weather: steady(map[int]float64{2029: 5}, nil)}
	p, err := MergePilots([]*Pilot{a, b})
	if err != nil || len(p.Seasons) != 3 || p.Seasons[0].Year != 2028 || p.Seasons[2].Folder != "a" || p.Year != 2031 || p.Bands[0].Stratum != "late" || len(p.Weather["lookout"]) == 0 {
		t.Errorf("%+v, %v", p, err)
	}
	if len(a.Seasons) != 1 || len(b.Seasons) != 2 {
		t.Error("the pilots were changed")
	}
	if _, err := MergePilots([]*Pilot{a, {Folder: "c", Year: 2031, Seasons: []Flush{curved(2031, 131)}}}); err == nil || !strings.Contains(err.Error(), "both have a season of 2031") {
		t.Errorf("two seasons of 2031: %v", err)
	}
}
