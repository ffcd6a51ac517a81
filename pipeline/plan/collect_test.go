package plan

import (
	"math"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
	"ashtally/stats/season"
	"ashtally/stats/statstest"
)

func take[R any](c *Collector, t column.Table[R], rows ...R) {
	b := table.FromRows(t, rows)
	defer b.Release()
	c.Take(t.Name, b)
}

func day(t *testing.T, text string) column.Date {
	t.Helper()
	d, err := column.ParseDate(text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// collected is a season of four units: a round plot, one laid along a slope of 75 %
// (cosine 0.8), a roadside plot and a line.
func collected(t *testing.T, rule string) *Collector {
	s := survey.Defaults()
	s.Counting.Rule, s.Taxa.Target = rule, []string{"black morel"}
	c := NewCollector(s)
	at := func(elevation float64) survey.Ground { return survey.Ground{ElevationM: column.Finite(elevation)} }
	road := at(1010)
	road.Roadside = column.Bool{Value: true, Known: true}
	take(c, survey.Plots,
		survey.Plot{Plot: "p1", Stratum: "a", RadiusM: column.Finite(5), Laid: survey.Horizontal, Ground: at(1000)},
		survey.Plot{Plot: "p2", Stratum: "a", LengthM: column.Finite(10), WidthM: column.Finite(10), SlopePercent: column.Finite(75), Laid: survey.AlongSlope, Ground: at(1100)},
		survey.Plot{Plot: "p3", Stratum: "a", RadiusM: column.Finite(5), Laid: survey.Horizontal, Ground: road})
	take(c, survey.Transects, survey.Transect{Transect: "t1", Stratum: "b", Kind: survey.Line, LengthM: column.Finite(50), Sides: column.Count(2), Laid: survey.Horizontal, Ground: at(1300)})
	var visits []survey.Visit
	for _, unit := range []string{"p1", "p2", "p3", "t1"} {
		for _, d := range []string{"2031-05-01", "2031-05-06", "2030-05-06"} {
			visits = append(visits, survey.Visit{Unit: unit, Date: day(t, d), Pass: column.Count(1)})
		}
	}
	take(c, survey.Visits, visits...)
	find := func(unit, date, taxon string, count int) survey.Find {
		return survey.Find{Unit: unit, Date: day(t, date), Pass: column.Count(1), Taxon: taxon, Count: column.Count(count), Mode: survey.Undetermined, Hollow: "unchecked"}
	}
	take(c, survey.Finds, find("p1", "2031-05-01", "black morel", 3), find("p1", "2031-05-06", "black morel", 2),
		find("p1", "2031-05-06", "ink cap", 9), find("p1", "2030-05-06", "black morel", 50), find("p3", "2031-05-01", "black morel", 7))
	return c
}

// Counts are those of the last season by the counting rule, of the target, on plots
// and strips away from roads.
func TestPilotCounts(t *testing.T) {
	for rule, want := range map[string]float64{survey.New: 5, survey.Standing: 3} {
		p := collected(t, rule).Pilot("last")
		if p.Year != 2031 || len(p.Strata) != 1 || p.Strata[0].Name != "a" || len(p.Strata[0].Count) != 2 {
			t.Fatalf("%s: %+v", rule, p)
		}
		s := p.Strata[0]
		if s.Count[0] != want || s.Count[1] != 0 {
			t.Errorf("%s: counts %v, want %v and 0", rule, s.Count, want)
		}
		statstest.Relative(t, "circle", s.AreaHa[0], 25*math.Pi/1e4, 1e-12)
		statstest.Relative(t, "along a slope of 75 %", s.AreaHa[1], 0.008, 1e-12)
	}
}

// A band has the mean elevation of its units; roadsides are apart.
func TestBands(t *testing.T) {
	bands := collected(t, survey.New).Pilot("last").Bands
	if len(bands) != 3 || !bands[0].Roadside || bands[1].Units != 2 || bands[1].ElevationM != 1050 || bands[1].Elevation != "1000-1200" {
		t.Errorf("%+v", bands)
	}
}

// Each visit looks back to the one before, and no further than a fruit body stands.
func TestSoFar(t *testing.T) {
	s := collected(t, survey.New).SoFar(2031)
	if s.Today != 126 || len(s.Sample.Count) != 4 {
		t.Fatalf("%+v", s)
	}
	// 1 and 6 May are days 121 and 126; the first visit looks back 10 days.
	if s.Sample.From[0] != 111 || s.Sample.To[0] != 121 || s.Sample.From[1] != 121 || s.Sample.To[1] != 126 {
		t.Errorf("windows %v to %v", s.Sample.From, s.Sample.To)
	}
	if collected(t, survey.New).SoFar(2032) != nil {
		t.Error("visits of a season to come")
	}
}

// A calendar in midseason has no visit before the last one made.
func TestCalendarInMidseason(t *testing.T) {
	in := planned(t, func(s *survey.Settings) { s.Plan.Year = 2031 })
	c := collected(t, survey.New)
	for i := range in.Strata {
		in.Strata[i].Stratum = []string{"a", "b"}[i]
	}
	in.Pilot, in.SoFar = c.Pilot("last"), c.SoFar(2031)
	in.Pilot.Seasons = []Flush{{Year: 2030, All: season.Flush{
		ReferenceM: 1050, Shape: season.Gaussian, K: 2, Peak: limited(130, 126, 134, 0.95), Width: limited(24, 20, 28, 0.95),
		DaysPer100M: limited(math.NaN(), math.NaN(), math.NaN(), 0.95), Lead: limited(math.NaN(), math.NaN(), math.NaN(), 0.95),
	}}}
	n := &numbers{Units: []int{5, 5}}
	calendar := schedule{in}.calendar(n)
	if len(calendar.Visits) != 2 || calendar.Visits[0].Chosen < 0 {
		t.Fatalf("%+v", calendar.Visits)
	}
	for _, d := range calendar.Visits[0].Plans[calendar.Visits[0].Chosen].Days {
		if d <= 126 {
			t.Errorf("a visit on day %d, before the last one made", d)
		}
	}
}
