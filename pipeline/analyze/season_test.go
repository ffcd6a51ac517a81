package analyze

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate/transect"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/question"
	"ashtally/pipeline/question/density"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
	"ashtally/stats"
)

// world is a small survey to be taken.
type world struct {
	settings  survey.Settings
	strata    []survey.Stratum
	plots     []survey.Plot
	transects []survey.Transect
	visits    []survey.Visit
	finds     []survey.Find
}

func newWorld() world {
	w := world{settings: survey.Defaults()}
	w.settings.Lines.Interval = survey.Delta // what is worked out by hand, and quickly
	w.strata = []survey.Stratum{{Stratum: "burn", AreaHa: known1(30), FireDate: "2030-08-01"}, {Stratum: "green", AreaHa: known1(10)}}
	return w
}

func known1(v float64) column.Float { return column.Float{Value: v, Known: true} }

func date(t *testing.T, s string) column.Date {
	t.Helper()
	d, err := column.ParseDate(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// plot adds a plot of 100 m2 and one visit to it.
func (w *world) plot(t *testing.T, stratum, id, day string) {
	w.plots = append(w.plots, survey.Plot{Plot: id, Stratum: stratum, AreaM2: known1(100), Laid: survey.Horizontal})
	w.visit(t, id, day, 1)
}

func (w *world) visit(t *testing.T, unit, day string, pass int64) {
	w.visits = append(w.visits, survey.Visit{Unit: unit, Date: date(t, day), Pass: column.Int{Value: pass, Known: true}})
}

func (w *world) find(t *testing.T, unit, day string, pass, n int64, mode, tree string) {
	w.finds = append(w.finds, survey.Find{
		Unit: unit, Date: date(t, day), Pass: column.Int{Value: pass, Known: true}, Taxon: "black morel",
		Count: column.Int{Value: n, Known: true}, Mode: mode, Tree: tree,
	})
}

func (w world) season(t *testing.T) *Season {
	t.Helper()
	s := NewSeason(w.settings)
	for _, err := range []error{
		take(s, survey.Strata, w.strata), take(s, survey.Plots, w.plots), take(s, survey.Transects, w.transects),
		take(s, survey.Visits, w.visits), take(s, survey.Finds, w.finds),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
	return s
}

func take[R any](s *Season, t column.Table[R], rows []R) error {
	b := table.FromRows(t, rows)
	defer b.Release()
	return s.Take(t.Name, b)
}

// answered is what a survey says, and its densities, which other questions ask for.
type answered struct {
	Results
	Density []DensityRow
}

// DensityRow is a row of results/density.
type DensityRow struct {
	fieldwork.Key
	Units, Finds column.Int
	Estimate
	Warnings []stats.Warning
}

func (w world) answer(t *testing.T) answered {
	t.Helper()
	s, ctx := w.season(t), context.Background()
	lines, err := transect.New(ctx, s.Season)
	if err != nil {
		t.Fatal(err)
	}
	d, err := density.Ask(ctx, s.Season, &question.Known{Lines: lines})
	if err != nil {
		t.Fatal(err)
	}
	r, err := s.Answer(ctx, lines)
	if err != nil {
		t.Fatal(err)
	}
	table := d.Tables()[0]
	all := answered{Results: r}
	for i := range table.Rows() {
		key := table.Key(i)
		of := func(name string) column.Float { return table.Cell(i, name).Number }
		whole := func(name string) column.Int { return column.Int{Value: int64(of(name).Value), Known: of(name).Known} }
		all.Density = append(all.Density, DensityRow{
			Key:   fieldwork.Key{Method: key[0], Stratum: key[1], Years: key[2], Mode: key[3], Tree: key[4], Taxon: key[5]},
			Units: whole("units"), Finds: whole("finds"), Warnings: table.Warnings(i),
			Estimate: Estimate{
				Value: of("density_per_ha"), SE: of("se"), CV: of("cv"), Lower: of("lower"), Upper: of("upper"),
				Confidence: of("confidence"), Interval: table.Cell(i, "interval").Text,
			},
		})
	}
	return all
}

// row returns the density row of a key, which must be there once.
func row(t *testing.T, rows []DensityRow, key fieldwork.Key) DensityRow {
	t.Helper()
	var found []DensityRow
	for _, r := range rows {
		if r.Key == key {
			found = append(found, r)
		}
	}
	if len(found) != 1 {
		t.Fatalf("%d rows of %+v, want 1", len(found), key)
	}
	return found[0]
}

// join writes all warnings of a row.
func join(warnings []stats.Warning) string {
	parts := make([]string, len(warnings))
	for i, w := range warnings {
		parts[i] = w.String()
	}
	return strings.Join(parts, " | ")
}

func hasWarning(r DensityRow, code string) bool {
	return strings.Contains(join(r.Warnings), code+": ")
}

func TestOrderOfRowsDoesNotMatter(t *testing.T) {
	w := newWorld()
	for i := range 6 {
		id := fmt.Sprint("P", i)
		w.plot(t, "burn", id, "2031-05-01")
		w.plots[i].Site = fmt.Sprint("site", i/2)
		w.find(t, id, "2031-05-01", 1, int64(i*i%7), survey.Saprotrophic, "spruce")
		w.find(t, id, "2031-05-01", 1, int64(i), survey.HostAssociated, "birch")
	}
	want := fmt.Sprint(w.answer(t))
	reverse(w.plots)
	reverse(w.visits)
	reverse(w.finds)
	if got := fmt.Sprint(w.answer(t)); got != want {
		t.Error("the answers change with the order of the rows")
	}
}

func reverse[R any](rows []R) {
	for i, j := 0, len(rows)-1; i < j; i, j = i+1, j-1 {
		rows[i], rows[j] = rows[j], rows[i]
	}
}
