// Package fieldworktest makes small surveys for the tests of questions.
package fieldworktest

import (
	"fmt"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

// World is a survey to be taken.
type World struct {
	Settings  survey.Settings
	Strata    []survey.Stratum
	Plots     []survey.Plot
	Transects []survey.Transect
	Visits    []survey.Visit
	Finds     []survey.Find
	Trees     []survey.Tree
	Points    []survey.ReferencePoint
	Weather   []survey.Reading
}

// New returns a survey of two strata without units: 30 ha that burned in 2030
// ("burn") and 10 ha that did not ("green"). Intervals along lines are by the
// delta method, which is quick.
func New() World {
	w := World{Settings: survey.Defaults()}
	w.Settings.Lines.Interval = survey.Delta
	w.Strata = []survey.Stratum{{Stratum: "burn", AreaHa: Known(30), FireDate: "2030-08-01"}, {Stratum: "green", AreaHa: Known(10)}}
	return w
}

// Known is a recorded number.
func Known(v float64) column.Float { return column.Float{Value: v, Known: true} }

// Date is a day written as 2031-05-17.
func Date(t testing.TB, s string) column.Date {
	t.Helper()
	d, err := column.ParseDate(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// Plot adds a plot of 100 m2 and one visit to it.
func (w *World) Plot(t testing.TB, stratum, id, day string) {
	t.Helper()
	w.Plots = append(w.Plots, survey.Plot{Plot: id, Stratum: stratum, AreaM2: Known(100), Laid: survey.Horizontal})
	w.Visit(t, id, day, 1)
}

// Visit adds a pass over a unit.
func (w *World) Visit(t testing.TB, unit, day string, pass int64) {
	t.Helper()
	w.Visits = append(w.Visits, survey.Visit{Unit: unit, Date: Date(t, day), Pass: column.Int{Value: pass, Known: true}})
}

// Find adds a find of n black morels and returns it.
func (w *World) Find(t testing.TB, unit, day string, pass, n int64, mode, tree string) *survey.Find {
	t.Helper()
	w.Finds = append(w.Finds, survey.Find{
		Unit: unit, Date: Date(t, day), Pass: column.Int{Value: pass, Known: true}, Taxon: "black morel",
		Count: column.Int{Value: n, Known: true}, Mode: mode, Tree: tree,
	})
	return &w.Finds[len(w.Finds)-1]
}

// Season takes the survey.
func (w World) Season(t testing.TB) *fieldwork.Season {
	t.Helper()
	s := fieldwork.New(w.Settings)
	for _, err := range []error{
		take(s, survey.Strata, w.Strata), take(s, survey.Plots, w.Plots), take(s, survey.Transects, w.Transects),
		take(s, survey.Visits, w.Visits), take(s, survey.Finds, w.Finds), take(s, survey.Trees, w.Trees),
		take(s, survey.ReferencePoints, w.Points), take(s, survey.Weather, w.Weather),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
	return s
}

func take[R any](s *fieldwork.Season, t column.Table[R], rows []R) error {
	b := table.FromRows(t, rows)
	defer b.Release()
	return s.Take(t.Name, b)
}

// Reaching has plots in all of three strata, 9,070 ha, and strips in one of 42 ha,
// "bottoms", searched in two seasons by two observers: for what a method says of a
// part of the survey area.
func Reaching(t testing.TB) World {
	t.Helper()
	w := New()
	w.Settings.Missed.Model = survey.ByObserver
	w.Settings.Hosts.Trees = []string{"spruce"}
	w.Strata = []survey.Stratum{
		{Stratum: "slope", AreaHa: Known(8028), FireDate: "2030-08-01"}, {Stratum: "green", AreaHa: Known(1000)},
		{Stratum: "bottoms", AreaHa: Known(42), FireDate: "2030-08-01"},
	}
	for i := range 24 {
		id := fmt.Sprint("P", i)
		w.Plots = append(w.Plots, survey.Plot{Plot: id, Stratum: w.Strata[i%3].Stratum, AreaM2: Known(100), Laid: survey.Horizontal})
		w.searchTwice(t, id, i)
	}
	for i := range 8 {
		id := fmt.Sprint("S", i)
		w.Transects = append(w.Transects, survey.Transect{Transect: id, Stratum: "bottoms", Kind: survey.Strip, LengthM: Known(50),
			HalfWidthM: Known(1), Sides: column.Count(2), Laid: survey.Horizontal})
		w.searchTwice(t, id, i)
	}
	return w
}

// searchTwice adds a visit in each of two seasons and finds by unit i.
func (w *World) searchTwice(t testing.TB, id string, i int) {
	for year := range 2 {
		day := fmt.Sprintf("%d-05-01", 2031+year)
		w.Visit(t, id, day, 1)
		w.Visits[len(w.Visits)-1].Observers = "Ada;Ben"
		for at, who := range []string{"Ada;Ben", "Ada", "Ben"} {
			for m, mode := range []string{survey.Saprotrophic, survey.HostAssociated} {
				if n := int64((i*i + 3*m + year) % 5 / (at + 1)); n > 0 {
					f := w.Find(t, id, day, 1, n, mode, "spruce")
					f.SeenBy, f.MassG = who, Known(float64(9*n))
				}
			}
		}
	}
}

// ShareOfReach is what is said of a figure by the strips of [Reaching].
const ShareOfReach = "the figure is that of bottoms only, 0.46 % of the survey area"
