package report

import (
	"fmt"
	"strings"
	"testing"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/survey"
	"ashtally/stats"
)

func TestShorten(t *testing.T) {
	list := func(n, empty int) []int64 {
		rows := make([]int64, n)
		for i := empty; i < n; i++ {
			rows[i] = int64(i)
		}
		return rows
	}
	cases := []struct {
		n, empty, left int
		says           string
	}{
		{longTable, 30, longTable, ""},
		{longTable + 1, 0, longTable, "Shown are 60 of 61 rows, those with finds; all of them are in results/x.csv."}, // row 0 holds 0
		{100, 60, 40, "Shown are 40 of 100 rows, those with finds; all of them are in results/x.csv."},
		{1500, 200, longestTable, "Shown are 150 of 1,500 rows, those with most finds; all of them are in results/x.csv."},
	}
	for _, c := range cases {
		got, says := shorten(list(c.n, c.empty), func(v int64) int64 { return v }, "x")
		if len(got) != c.left || says != c.says {
			t.Errorf("of %d rows, %d left: %s", c.n, len(got), says)
		}
		for i := 1; i < len(got); i++ {
			if got[i-1] > got[i] {
				t.Errorf("of %d rows, row %d left its place", c.n, i)
			}
		}
		if c.left == longestTable && got[0] != int64(c.n-longestTable) {
			t.Errorf("the smallest row kept holds %d", got[0])
		}
	}
}

// TestManyStrata holds the page of a large survey to a size that can be read.
func TestManyStrata(t *testing.T) {
	p := inventedPage()
	p.Results = analyze.Results{Density: p.Results.Density[:1]}
	for i := range 500 {
		row := inStratum(headlineRow("plot", 12, i%3, estimated(float64(i), float64(i)/2, float64(2*i))), fmt.Sprintf("stratum %03d", i))
		p.Results.Density = append(p.Results.Density, row)
	}
	p.Figures = inventedFigures(p.Results)
	html := written(t, p)
	for _, want := range []string{
		"Shown are 150 of 501 rows, those with most finds; all of them are in results/density.csv.",
	} {
		if !strings.Contains(html, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	if len(html) > 400_000 {
		t.Errorf("the page has %d bytes", len(html))
	}
}

// cellsOf finds the row of a grid with the label.
func cellsOf(t *testing.T, g grid, title, text string) []cell {
	t.Helper()
	for _, group := range g.Groups {
		for _, r := range group.Rows {
			if spaced(group.Title) == title && spaced(r.Label.Text) == text {
				return r.Cells
			}
		}
	}
	t.Fatalf("%s has no row %q under %q", g.ID, text, title)
	return nil
}

func texts(cells []cell) string {
	var parts []string
	for _, c := range cells {
		part := c.Text
		if c.Sub != "" {
			part += " (" + c.Sub + ")"
		}
		parts = append(parts, part)
	}
	return spaced(strings.Join(parts, " | "))
}

// TestOneClassOfYears holds a survey of one year to single rows: the row of the
// year would repeat the one pooled over years.
func TestOneClassOfYears(t *testing.T) {
	all := headlineRow("plot", 201, 1180, estimated(412.4, 301.2, 570.3))
	year := all
	year.Years = "1"
	missed := inStratum(headlineRow("plot", 0, 0, analyze.Estimate{}, stats.Warning{Code: "no-units", Text: "no plot was searched in this stratum"}), "lower")
	rows := []analyze.DensityRow{all, year, inStratum(all, "upper"), inStratum(year, "upper"), missed}
	g, _ := newWriter(Page{Settings: survey.Defaults(), Results: analyze.Results{Density: rows}}).densityGrid()
	var labels []string
	for _, r := range g.Groups[0].Rows {
		labels = append(labels, r.Label.Text)
	}
	if got, want := spaced(strings.Join(labels, "; ")), "Land as a whole, 1 year after fire; upper, 1 year after fire"; got != want {
		t.Errorf("rows are %q, want %q", got, want)
	}
	if got := strings.Join(g.Below, " "); !strings.Contains(got, "No plot was searched in lower.") {
		t.Errorf("beneath the table: %s", got)
	}
}

func TestTables(t *testing.T) {
	metric, american := newWriter(inventedPage()), newWriter(americanPage())
	density := func(w writer) grid { g, _ := w.densityGrid(); return g }
	ratios := func(w writer) grid { g, _ := w.ratioGrid(); return g }
	shares := func(w writer) grid { g, _ := w.shareGrid(); return g }
	cases := []struct {
		grid        grid
		title, text string
		want        string
	}{
		{density(metric), "Plots", "Upper Hollin, severe", "440 | 318 | 655 | 845 | 96 | 1.92"},
		{density(american), "Plots", "Upper Hollin, severe", "178 | 129 | 265 | 440 | 318 | 655 | 845 | 96 | 4.74 (1.92 ha)"},
		{density(metric), "Plots", "Unburned margin, unburned", "0 | 0 | 6.15 | 0 | 30 | 0.600"},
		{density(metric), "Plots", "Saddle, 1 year after fire", "0 | – | – | 0 | 1 | 0.0200"},
		{ratios(metric), "Host-associated to saprotrophic, on plots", "Unburned margin", "– | – | – | 0 | 0 | 162 | – | –"},
		{shares(metric), "Undetermined share of all, on plots", "Land as a whole", "9.31 | 7.02 | 12.14 | 143 | 408 | 162"},
	}
	for _, c := range cases {
		if got := texts(cellsOf(t, c.grid, c.title, c.text)); got != c.want {
			t.Errorf("%s, %s:\n got %s\nwant %s", c.grid.ID, c.text, got, c.want)
		}
	}
}

func TestModeTable(t *testing.T) {
	grids := newWriter(inventedPage()).modeGrids()
	if len(grids) != 1 {
		t.Fatalf("%d tables of modes", len(grids))
	}
	g := grids[0]
	if got, want := texts(cellsOf(t, g, "Plots, unburned", "Any tree or none")), "0 | 0 (0 to 6.15) | 0 | 0 (0 to 6.15) | 0 | 0 (0 to 6.15) | 0 | 0 (0 to 6.15)"; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	for _, group := range g.Groups {
		if group.Title == "Plots, unburned" && len(group.Rows) != 1 {
			t.Errorf("where nothing was found, %d rows say so", len(group.Rows))
		}
	}
	if !strings.Contains(strings.Join(g.Below, " "), "the single trees are not listed") {
		t.Error("the table does not say what it leaves out")
	}
	if us := newWriter(americanPage()).modeGrids(); len(us) != 2 || us[0].ID != "modes-acre" || us[1].ID != "modes-hectare" {
		t.Error("US reports show modes otherwise than per acre first and per hectare second")
	}
}

// TestReachedIsNotTheWhole: no table shows in bold, or calls the whole, what a
// method found in the strata it reached.
func TestReachedIsNotTheWhole(t *testing.T) {
	w := newWriter(inventedPage())
	partly := 0
	for _, g := range w.tables() {
		if g.ID == "observers" || g.ID == "passes" { // bold is the model there
			continue
		}
		for _, group := range g.Groups {
			for _, r := range group.Rows {
				part := strings.HasPrefix(group.Title, "Strip") || strings.HasPrefix(group.Title, "Line") ||
					strings.Contains(group.Title, "on strip") || strings.Contains(group.Title, "on line")
				if !part {
					continue
				}
				partly++
				whole := strings.Contains(r.Label.Text, "as a whole") || r.Label.Text == "All land" || strings.HasPrefix(r.Label.Text, "Land,")
				if whole || r.Strong && !strings.Contains(group.Title, "reached only") {
					t.Errorf("%s, %s: %q, bold %v", g.ID, group.Title, r.Label.Text, r.Strong)
				}
			}
		}
	}
	if partly == 0 {
		t.Error("no table has a method that reached a part")
	}
}
