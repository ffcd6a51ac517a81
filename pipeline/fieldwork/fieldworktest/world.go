// Package fieldworktest makes small surveys for the tests of questions.
package fieldworktest

import (
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
