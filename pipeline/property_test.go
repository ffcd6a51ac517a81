package pipeline

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
)

// drawnSurvey is a small survey drawn at random, as cells. Its lengths are
// whole feet, so that they can be written in metres to the last digit too.
type drawnSurvey struct {
	interval, rule string
	strata         []drawnStratum
	plots          []drawnPlot
	visits         [][]string // of plots and transects: unit and date
	finds          []drawnFind
	lines          int // with finds every so many feet
}

type drawnStratum struct {
	name, fire string
	acres      int
}

type drawnPlot struct {
	id, stratum, site string
	radius            int // 0: a strip
	length, half      int
	slope             int
	laid              string
}

type drawnFind struct {
	unit, date, mode, tree string
	count                  int
	feet                   int // from a line; 0: not along one
}

// draw draws one; every unit is visited, not every visit finds something.
func draw(t *rapid.T) drawnSurvey {
	s := drawnSurvey{
		interval: rapid.SampledFrom([]string{"log-t", "t", "log-t", "nb-profile"}).Draw(t, "interval"),
		rule:     rapid.SampledFrom([]string{survey.New, survey.Standing}).Draw(t, "rule"),
	}
	fires := []string{"", "2030", "2029-08-01"}
	for i := range rapid.IntRange(1, 3).Draw(t, "strata") {
		s.strata = append(s.strata, drawnStratum{fmt.Sprint("part ", i), rapid.SampledFrom(fires).Draw(t, "fire"), rapid.IntRange(50, 900).Draw(t, "acres")})
	}
	for i := range rapid.IntRange(2, 9).Draw(t, "units") {
		u := drawnPlot{
			id: fmt.Sprint("U", i), stratum: s.strata[i%len(s.strata)].name, laid: rapid.SampledFrom([]string{survey.Horizontal, survey.AlongSlope}).Draw(t, "laid"),
			site: rapid.SampledFrom([]string{"", "", "near", "far"}).Draw(t, "site"), slope: rapid.IntRange(0, 60).Draw(t, "slope"),
			radius: rapid.IntRange(10, 30).Draw(t, "radius"), length: rapid.IntRange(60, 200).Draw(t, "length"), half: rapid.IntRange(3, 9).Draw(t, "half"),
		}
		if i%4 == 3 {
			u.radius = 0
		}
		s.plots = append(s.plots, u)
		s.visit(t, u.id)
	}
	return s
}

// visit adds one or two visits to a unit, and what they found.
func (s *drawnSurvey) visit(t *rapid.T, unit string) {
	for _, date := range []string{"2031-05-17", "2031-05-29"}[:rapid.IntRange(1, 2).Draw(t, "visits")] {
		s.visits = append(s.visits, []string{unit, date})
		for range rapid.IntRange(0, 3).Draw(t, "finds") {
			f := drawnFind{
				unit: unit, date: date, count: rapid.IntRange(1, 12).Draw(t, "count"),
				mode: rapid.SampledFrom([]string{"", survey.Saprotrophic, survey.HostAssociated}).Draw(t, "mode"),
				tree: rapid.SampledFrom([]string{"", "birch"}).Draw(t, "tree"),
			}
			if f.mode == survey.HostAssociated {
				f.tree = "birch" // it has to be named
			}
			s.finds = append(s.finds, f)
		}
	}
}

// layLines adds transects of the line kind with finds at many distances.
func (s *drawnSurvey) layLines(t *rapid.T, n int) {
	s.lines = n
	for i := range n {
		unit := fmt.Sprint("L", i)
		s.visits = append(s.visits, []string{unit, "2031-05-17"})
		for range rapid.IntRange(0, 12).Draw(t, "seen") {
			s.finds = append(s.finds, drawnFind{unit: unit, date: "2031-05-17", count: 1, feet: rapid.IntRange(1, 20).Draw(t, "feet")})
		}
	}
}

// feet writes a length, in metres or in feet.
func feet(n int, metric bool) string {
	switch {
	case n == 0:
		return ""
	case metric:
		return fmt.Sprintf("%.4f", float64(n*3048)/1e4)
	}
	return strconv.Itoa(n)
}

// files writes the survey as sheets.
func (s drawnSurvey) files(metric bool) map[string]string {
	unit := map[bool]string{true: "m", false: "ft"}[metric]
	sheets := map[string]*strings.Builder{}
	sheet := func(name string, header ...string) func(cells ...any) {
		b := &strings.Builder{}
		sheets[name] = b
		row := func(cells ...any) {
			texts := make([]string, len(cells))
			for i, c := range cells {
				texts[i] = fmt.Sprint(c)
			}
			fmt.Fprintln(b, strings.Join(texts, ","))
		}
		b.WriteString(strings.Join(header, ",") + "\n")
		return row
	}
	row := sheet("strata.csv", "stratum", "fire_date", map[bool]string{true: "area_ha", false: "area_acre"}[metric])
	for _, p := range s.strata {
		area := strconv.Itoa(p.acres)
		if metric {
			area = strconv.FormatFloat(float64(p.acres)*0.40468564224, 'f', -1, 64)
		}
		row(p.name, p.fire, area)
	}
	row = sheet("plots.csv", "plot", "stratum", "site", "radius_"+unit, "slope_percent", "laid")
	strip := sheet("transects.csv", "transect", "stratum", "site", "kind", "length_"+unit, "half_width_"+unit, "slope_percent", "laid")
	for _, p := range s.plots {
		if p.radius > 0 {
			row(p.id, p.stratum, p.site, feet(p.radius, metric), p.slope, p.laid)
		} else {
			strip(p.id, p.stratum, p.site, survey.Strip, feet(p.length, metric), feet(p.half, metric), p.slope, p.laid)
		}
	}
	for i := range s.lines {
		strip(fmt.Sprint("L", i), s.strata[0].name, "", survey.Line, feet(300, metric), feet(25, metric), 0, survey.Horizontal)
	}
	row = sheet("visits.csv", "unit", "date")
	for _, v := range s.visits {
		row(v[0], v[1])
	}
	row = sheet("finds.csv", "unit", "date", "taxon", "count", "mode", "tree", "distance_"+unit)
	for _, f := range s.finds {
		row(f.unit, f.date, "black morel", f.count, f.mode, f.tree, feet(f.feet, metric))
	}
	out := map[string]string{"survey.toml": fmt.Sprintf("title = \"Drawn\"\n[counting]\nrule = %q\n[density]\ninterval = %q\n[files]\nfinds = \"finds*.csv\"\n", s.rule, s.interval)}
	for name, b := range sheets {
		out[name] = b.String()
	}
	return out
}

// answers takes sheets through reading, archive and season to the answers.
func answers(t *rapid.T, files map[string]string) []question.Answer {
	dir, err := os.MkdirTemp("", "ashtally-test-")
	if err != nil {
		t.Fatal(err)
	}
	defer os.RemoveAll(dir)
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	work, err := stage(filepath.Join(dir, "out"))
	if err != nil {
		t.Fatal(err)
	}
	defer work.discard()
	if err := work.folder("archive"); err != nil {
		t.Fatal(err)
	}
	o := Options{Survey: dir, Watch: Watch{Fault: func(f survey.Fault) { t.Errorf("fault: %s", f) }}}
	in, err := o.read(context.Background(), work)
	if err != nil {
		t.Fatal(err)
	}
	return answersOf(t, in.season)
}

// answersOf asks all questions of a season.
func answersOf(t interface{ Fatal(...any) }, s *fieldwork.Season) []question.Answer {
	found := make([]question.Answer, len(questions))
	if err := ask(context.Background(), s, Watch{}, func(i int, a question.Answer) { found[i] = a }); err != nil {
		t.Fatal(err)
	}
	return found
}

// tableOf finds a result table by its name.
func tableOf(found []question.Answer, name string) result.Table {
	for _, a := range found {
		for _, t := range a.Tables() {
			if t.Name() == name {
				return t
			}
		}
	}
	panic("no table " + name)
}

// near compares figures that were come to in other units or in another order.
func near(a, b column.Float, times, within float64) bool {
	return a.Known == b.Known && math.Abs(a.Value*times-b.Value) <= within*math.Abs(b.Value)
}

// nearLimit compares limits of a figure. One that lies at 0 may be what rounding
// leaves of the figure less itself.
func nearLimit(a, b, figure column.Float) bool {
	return near(a, b, 1, 1e-5) || a.Known && b.Known && math.Abs(a.Value-b.Value) <= 1e-9*math.Abs(figure.Value)
}

// sameDensities holds densities to others, but for their last digits. Limits
// that are searched for are held to their tolerance.
func sameDensities(t *rapid.T, got, want []densityRow) {
	if len(got) != len(want) {
		t.Fatalf("%d rows, want %d", len(got), len(want))
	}
	for i, g := range got {
		w := want[i]
		ok := slices.Equal(g.key, w.key) && g.units == w.units && g.finds == w.finds && near(g.searchedHa, w.searchedHa, 1, 1e-9) &&
			near(g.value, w.value, 1, 1e-9) && near(g.se, w.se, 1, 1e-7) && nearLimit(g.lower, w.lower, w.value) && nearLimit(g.upper, w.upper, w.value)
		if !ok {
			t.Fatalf("row %d: %+v, want %+v", i, g, w)
		}
	}
}

// densityRow is a row of results/density.
type densityRow struct {
	key                                               []string
	units, finds, searchedHa, value, se, lower, upper column.Float
	warned                                            bool
}

func (r densityRow) stratum() *string { return &r.key[1] }

// densities are the rows of results/density from some sheets.
func densities(t *rapid.T, files map[string]string) []densityRow {
	return densityRows(answers(t, files))
}

func densityRows(found []question.Answer) []densityRow {
	table := tableOf(found, "density")
	var rows []densityRow
	for i := range table.Rows() {
		of := func(name string) column.Float { return table.Cell(i, name).Number }
		rows = append(rows, densityRow{
			table.Key(i), of("units"), of("finds"), of("searched_ha"), of("density_per_ha"), of("se"), of("lower"), of("upper"), len(table.Warnings(i)) > 0,
		})
	}
	return rows
}

// checked skips what the race detector finds nothing in.
func checked(t *testing.T, property func(*rapid.T)) {
	if testing.Short() {
		t.Skip("the same goroutines as in a run")
	}
	rapid.Check(t, property)
}

// TestUnitsOfMeasureCancel: feet, acres and metres give the same densities.
func TestUnitsOfMeasureCancel(t *testing.T) {
	checked(t, func(t *rapid.T) {
		s := draw(t)
		sameDensities(t, densities(t, s.files(false)), densities(t, s.files(true)))
	})
}

// shuffled turns the rows of a sheet below its header.
func shuffled(t *rapid.T, sheet string) string {
	lines := strings.SplitAfter(strings.TrimSuffix(sheet, "\n"), "\n")
	lines[len(lines)-1] += "\n"
	return lines[0] + strings.Join(rapid.Permutation(lines[1:]).Draw(t, "order"), "")
}

// TestOrderAndFilesDoNotMatter turns the rows of all sheets, and divides the finds
// between files: the answers are the same to the last bit. The strata, whose order
// is that of the tables, are turned after the others.
func TestOrderAndFilesDoNotMatter(t *testing.T) {
	checked(t, func(t *rapid.T) {
		s := draw(t)
		if rapid.IntRange(0, 3).Draw(t, "lines") == 0 {
			s.layLines(t, 4)
		}
		files := s.files(true)
		want := strings.Join(rowsOf(answers(t, files)), "\n")
		for _, name := range []string{"plots.csv", "transects.csv", "visits.csv", "finds.csv"} {
			files[name] = shuffled(t, files[name])
		}
		header, rows, _ := strings.Cut(files["finds.csv"], "\n")
		lines := strings.SplitAfter(rows, "\n")
		at := rapid.IntRange(0, len(lines)-1).Draw(t, "cut")
		delete(files, "finds.csv")
		files["finds-1.csv"] = header + "\n" + strings.Join(lines[at:], "")
		files["finds-2.csv"] = header + "\n" + strings.Join(lines[:at], "")
		got := answers(t, files)
		if text := strings.Join(rowsOf(got), "\n"); text != want {
			t.Fatalf("the answers change:\n%s\n\n%s", text, want)
		}
		files["strata.csv"] = shuffled(t, files["strata.csv"])
		if want, got := inAnyOrder(got), inAnyOrder(answers(t, files)); got != want {
			t.Fatalf("the answers change with the order of the strata:\n%s\n\n%s", got, want)
		}
	})
}

// rowsOf writes the rows of all result tables.
func rowsOf(found []question.Answer) []string {
	var rows []string
	for _, a := range found {
		for _, t := range a.Tables() {
			for i := range t.Rows() {
				row := []string{t.Name()}
				for _, f := range t.Fields() {
					row = append(row, t.Cell(i, f.Name).String())
				}
				rows = append(rows, strings.Join(row, ","))
			}
		}
	}
	return rows
}

// inAnyOrder writes the rows of all result tables sorted.
func inAnyOrder(found []question.Answer) string {
	rows := rowsOf(found)
	slices.Sort(rows)
	return strings.Join(rows, "\n")
}

// TestNamesOfUnitsDoNotMatter names the units in another order.
func TestNamesOfUnitsDoNotMatter(t *testing.T) {
	checked(t, func(t *rapid.T) {
		s := draw(t)
		want := densities(t, s.files(true))
		name := map[string]string{}
		for i, n := range rapid.Permutation([]int{0, 1, 2, 3, 4, 5, 6, 7, 8}).Draw(t, "names") {
			name[fmt.Sprint("U", i)] = fmt.Sprint("V", n)
		}
		for i := range s.plots {
			s.plots[i].id = name[s.plots[i].id]
		}
		for _, v := range s.visits {
			v[0] = name[v[0]]
		}
		for i := range s.finds {
			s.finds[i].unit = name[s.finds[i].unit]
		}
		sameDensities(t, densities(t, s.files(true)), want)
	})
}

// TestDoubledCountsDoubleDensities, and leave the ratios of modes alone.
func TestDoubledCountsDoubleDensities(t *testing.T) {
	checked(t, func(t *rapid.T) {
		s := draw(t)
		once := answers(t, s.files(true))
		for i := range s.finds {
			s.finds[i].count *= 2
		}
		twice := answers(t, s.files(true))
		densities := densityRows(twice)
		for i, w := range densityRows(once) {
			g := densities[i]
			if !slices.Equal(g.key, w.key) || g.finds.Value != 2*w.finds.Value || !near(w.value, g.value, 2, 1e-12) {
				t.Fatalf("%+v, want twice %+v", g, w)
			}
		}
		before, after := tableOf(once, "comparison"), tableOf(twice, "comparison")
		for i := range before.Rows() {
			if w, g := before.Cell(i, "ratio"), after.Cell(i, "ratio"); !near(w.Number, g.Number, 1, 1e-9) {
				t.Fatalf("%+v, want the ratio of %+v", g, w)
			}
		}
	})
}

// TestRowsOfOneFindAddUp writes each fruit body of a row into a row of its own.
func TestRowsOfOneFindAddUp(t *testing.T) {
	checked(t, func(t *rapid.T) {
		s := draw(t)
		want := fmt.Sprintf("%+v", densities(t, s.files(true)))
		var single []drawnFind
		for _, f := range s.finds {
			n := f.count
			f.count = 1
			for range n {
				single = append(single, f)
			}
		}
		s.finds = single
		if got := fmt.Sprintf("%+v", densities(t, s.files(true))); got != want {
			t.Fatalf("the densities change:\n%s\n\n%s", got, want)
		}
	})
}

// TestUnsearchedLandChangesNoFigure adds a stratum in which nothing was laid:
// it has a row without a figure, and every other figure stays, as one of the
// strata reached. A stratum
// without area is a fault.
func TestUnsearchedLandChangesNoFigure(t *testing.T) {
	checked(t, func(t *rapid.T) {
		s := draw(t)
		want := overStrata(densities(t, s.files(true)))
		s.strata = append(s.strata, drawnStratum{name: "beyond the ridge", acres: rapid.IntRange(1, 5000).Draw(t, "acres")})
		var rest []densityRow
		for _, r := range densities(t, s.files(true)) {
			switch {
			case *r.stratum() != "beyond the ridge":
				rest = append(rest, r)
			case r.value.Known || !r.warned:
				t.Fatalf("unsearched land has a figure, or no reason: %+v", r)
			}
		}
		sameDensities(t, overStrata(rest), want)
	})
}

// overStrata gives rows over all strata the same key, whether or not each stratum
// was sampled.
func overStrata(rows []densityRow) []densityRow {
	for _, r := range rows {
		if fieldwork.OverStrata(*r.stratum()) {
			*r.stratum() = result.All
		}
	}
	return rows
}

// TestIntervalsHoldTheirFigure in every table, by every method, lines among them.
func TestIntervalsHoldTheirFigure(t *testing.T) {
	checked(t, func(t *rapid.T) {
		s := draw(t)
		s.interval = rapid.SampledFrom(survey.Intervals).Draw(t, "method")
		if rapid.IntRange(0, 3).Draw(t, "lines") == 0 {
			s.layLines(t, 4)
		}
		found := answers(t, s.files(true))
		holds := func(c result.Cell, warnings int) {
			const slack = 1e-9 // limits are found by search
			value, lower, upper := c.Number, c.Lower.Number, c.Upper.Number
			if lower.Known && value.Known && lower.Value > value.Value*(1+slack) || upper.Known && value.Known && upper.Value < value.Value*(1-slack) {
				t.Fatalf("%+v, %+v", c, c.Lower)
			}
			if (!value.Known || !lower.Known || !upper.Known) && warnings == 0 {
				t.Fatalf("empty without a reason: %+v", c)
			}
		}
		for name, columns := range map[string][]string{
			"density": {"density_per_ha"}, "comparison": {"ratio"}, "detection": {"density_per_ha", "effective_half_width_m"},
		} {
			table := tableOf(found, name)
			for row := range table.Rows() {
				for _, column := range columns {
					holds(table.Cell(row, column), len(table.Warnings(row)))
				}
			}
		}
	})
}
