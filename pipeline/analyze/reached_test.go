package analyze

import (
	"fmt"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
	"ashtally/stats"
)

// partWorld has plots in all of three strata, 9,070 ha, and strips in one of 42 ha,
// searched in two seasons by two observers, with trees and points.
func partWorld(t *testing.T) world {
	w := newWorld()
	w.settings.Missed.Model = survey.ByObserver
	w.settings.Hosts.Trees = []string{"spruce"}
	w.strata = []survey.Stratum{
		{Stratum: "slope", AreaHa: known1(8028), FireDate: "2030-08-01"}, {Stratum: "green", AreaHa: known1(1000)},
		{Stratum: "bottoms", AreaHa: known1(42), FireDate: "2030-08-01"},
	}
	search := func(id string, i int) {
		for year := range 2 {
			day := fmt.Sprintf("%d-05-01", 2031+year)
			w.visit(t, id, day, 1)
			w.visits[len(w.visits)-1].Observers = "Ada;Ben"
			for at, who := range []string{"Ada;Ben", "Ada", "Ben"} {
				for m, mode := range []string{survey.Saprotrophic, survey.HostAssociated} {
					if n := int64((i*i + 3*m + year) % 5 / (at + 1)); n > 0 {
						w.find(t, id, day, 1, n, mode, "spruce")
						w.finds[len(w.finds)-1].SeenBy, w.finds[len(w.finds)-1].MassG = who, known1(float64(9*n))
					}
				}
			}
		}
	}
	for i := range 24 {
		id := fmt.Sprint("P", i)
		w.plots = append(w.plots, survey.Plot{Plot: id, Stratum: w.strata[i%3].Stratum, AreaM2: known1(100), Laid: survey.Horizontal})
		search(id, i)
	}
	for i := range 8 {
		id := fmt.Sprint("S", i)
		w.transects = append(w.transects, survey.Transect{Transect: id, Stratum: "bottoms", Kind: survey.Strip, LengthM: known1(50), HalfWidthM: known1(1), Sides: column.Count(2), Laid: survey.Horizontal})
		search(id, i)
	}
	return w
}

// pooledRow is a row of some table that pools strata: of a method, over a stratum
// that stands for several.
type pooledRow struct {
	table, method, stratum string
	warnings               []stats.Warning
}

// pooledRows are those of all tables.
func pooledRows(r answered) []pooledRow {
	var list []pooledRow
	add := func(table, method, stratum string, warnings []stats.Warning) {
		if fieldwork.OverStrata(stratum) {
			list = append(list, pooledRow{table, method, stratum, warnings})
		}
	}
	for _, row := range r.Comparison {
		add("comparison", row.Method, row.Stratum, row.Warnings)
	}
	return list
}

// TestReached: what a method that reached 42 of 9,070 ha says over strata is
// labelled so in every table, with its share; what the plots say is of all.
func TestReached(t *testing.T) {
	w := partWorld(t)
	r := w.answer(t)
	const share = "the figure is that of bottoms only, 0.46 % of the survey area"
	tables := map[string]bool{}
	for _, p := range pooledRows(r) {
		switch {
		case p.method == PlotMethod && p.stratum != All:
			t.Errorf("%s: plots are in every stratum, and the row is of %q", p.table, p.stratum)
		case p.method == StripMethod && p.stratum != Reached && !strings.Contains(join(p.warnings), "no-units: "):
			t.Errorf("%s: strips are in one stratum, and the row is of %q", p.table, p.stratum)
		case p.method == StripMethod && p.stratum == Reached:
			tables[p.table] = true
			if !strings.Contains(join(p.warnings), share) {
				t.Errorf("%s: the share is not told: %s", p.table, join(p.warnings))
			}
		}
	}
	for _, name := range []string{"comparison"} {
		if !tables[name] {
			t.Errorf("%s has no row of what strips reached", name)
		}
	}
}
