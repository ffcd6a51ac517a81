package page

import (
	"bytes"
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/plots"
	"ashtally/stats"
)

// A made-up table of crops by stratum.
type cropRow struct {
	stratum  string
	units    column.Int
	kg       result.Estimate
	warnings []stats.Warning
}

var crops = result.Declaration[cropRow]{
	Name: "crop", About: "the crop of a stratum",
	Key: []result.Columns[cropRow]{result.Text("stratum", "a stratum", func(r *cropRow) *string { return &r.stratum })},
	Columns: []result.Columns[cropRow]{
		result.Whole("units", "", "units searched", func(r *cropRow) *column.Int { return &r.units }),
		result.EstimateOf(func(r *cropRow) *result.Estimate { return &r.kg },
			result.Value("mass_kg", "kg", "fresh mass"), result.Lower("lower_kg"), result.Upper("upper_kg"), result.Confidence()),
	},
	Warnings: func(r *cropRow) []stats.Warning { return r.warnings },
}

var (
	types   stats.WarningTypes
	few     = types.New("few-units", stats.Coverage, "Few units")
	partial = types.New("weighed-in-part", stats.Scope, "Weighed in part")
)

// strange is a name that nobody should be able to break a page with.
const strange = `</td><script>alert("x")</script>`

func cropTable(strata int) result.Table {
	rows := []cropRow{{stratum: "all", units: column.Count(40), kg: result.Of(stats.Estimate{Value: 52_134, SE: 1, Interval: stats.Interval{Lower: 41_000, Upper: 72_000, Confidence: 0.95}}),
		warnings: []stats.Warning{few.With("3 units are few").InStratum("s1"), partial.With("7 of 9 were weighed")}}}
	for i := range strata {
		rows = append(rows, cropRow{stratum: fmt.Sprintf("s%d", i+1), units: column.Count(3),
			kg:       result.Of(stats.Estimate{Value: float64(100 * (i + 1)), Interval: stats.Interval{Lower: math.NaN(), Upper: math.NaN(), Confidence: 0.95}}),
			warnings: []stats.Warning{few.With("3 units are few")}})
	}
	rows[len(rows)-1].stratum = strange
	return crops.Of(rows)
}

func cropReport(strata int) Report {
	t := cropTable(strata)
	all := t.Cell(0, "mass_kg")
	figure := func(name string) *Figure {
		return &Figure{Name: name, Title: Say("Crop"), Caption: Say("Marks are estimates."), Alt: Say("The crop is %v.", all), Form: func(a plots.About) Form {
			return plots.Rows{About: a, Rows: []plots.Row{{Label: "all", Marks: []plots.Mark{Mark(all, Units{}, 1000)}}}}
		}}
	}
	table := &Table{Caption: Say("Crop by stratum"), Of: t, Head: "Stratum", Label: func(row int) Text { return Name(t.Key(row)[0]) },
		Columns: []Column{{Head: "Units", Name: "units"}, {Head: "Mass", Name: "mass_kg"}}, Strong: func(row int) bool { return row == 0 }}
	for row := range t.Rows() {
		table.Rows = append(table.Rows, row)
	}
	s := Section{
		Chapter: Harvest, Question: "Crop and harvest", Area: nil,
		Finding: Say("Estimated crop: %v of fresh mass (%v).", all, Interval(all)),
		Text:    []Text{Say("It rests on %v.", Count(t.Cell(0, "units"), "unit", "units"))},
		Figure:  figure("crop"), Table: table, Limitations: LimitsOf(t, 0, 1), Tables: []result.Table{t},
		Card:     &Card{Title: Say("Crop"), Number: &all, Label: "fresh", Figure: figure("crop-summary")},
		Appendix: []Part{{Title: "How we know", Text: []Text{Say("Density times area.")}, Formulas: []string{"M = D A m"}, References: []string{"Cochran (1977)", "Cochran (1977)"}}},
		Lines:    []Line{{Label: "crop", Text: Say("%v fresh (%v)", all, Limits(all))}},
	}
	other := Section{Chapter: Harvest, Question: "Mass", Finding: Say("A second finding."), Text: []Text{Say("A sentence of another question.")}, Table: table}
	return Report{
		Settings: survey.Defaults(), Sections: []Section{s, other, {Chapter: When, Question: "Season", Text: []Text{Say("Nobody looked.")}}},
		Provenance: Provenance{Program: "ashtally", Version: "1"},
	}
}

func written(t *testing.T, r Report) (report, appendix string) {
	t.Helper()
	var a, b strings.Builder
	if err := r.WriteReport(&a); err != nil {
		t.Fatal(err)
	}
	if err := r.WriteAppendix(&b); err != nil {
		t.Fatal(err)
	}
	return a.String(), b.String()
}

func TestReport(t *testing.T) {
	r := cropReport(30)
	report, appendix := written(t, r)
	for _, want := range []string{
		`<p class="finding">Estimated crop: <span class="n" data-from="crop:1:mass_kg">52.1 t</span>`,
		`<p class="big"><span class="n" data-from="crop:1:mass_kg">52.1</span> <span class="unit">fresh t</span></p>`,
		`id="crop-narrow-desc"`, "The crop is 52.1 t.", "41.0 to 72.0", "A second finding.", `<a href="appendix.html#of-crop-and-harvest">`,
		`<th scope="col" class="n">Mass (t)</th>`, `<tr class="strong">`,
		`7 of 9 were weighed.`,
	} {
		if !strings.Contains(report, want) {
			t.Errorf("the report lacks %s", want)
		}
	}
	for _, further := range []string{"A sentence of another question.", "Nobody looked"} {
		if strings.Contains(report, further) || !strings.Contains(appendix, further) {
			t.Errorf("%q is to stand in the appendix alone", further)
		}
	}
	for _, not := range []string{"Skip to the sections", "<no value>", "ZgotmplZ", "<script"} {
		if strings.Contains(report+appendix, not) {
			t.Errorf("the report has %q", not)
		}
	}
	if rows := strings.Count(report, `<th scope="row">`); rows != 12 {
		t.Errorf("a table of the report has %d rows", rows)
	}
	// What could move a figure more stands first; what a stratum hands on does not.
	if i, j := strings.Index(report, "Weighed in part."), strings.Index(report, "Few units."); i < 0 || j < i {
		t.Errorf("limitations stand at %d and %d", i, j)
	}
	if strings.Contains(report, "in stratum s1") {
		t.Error("a limitation of a stratum stands for the whole")
	}
	for _, want := range []string{"M = D A m", `id="warning-few-units"`, `href="#warning-few-units">stratum-few-units</a>`, "in 1 taken over from a stratum", "7 of 9 were weighed.", `id="of-mass"`} {
		if !strings.Contains(appendix, want) {
			t.Errorf("the appendix lacks %s", want)
		}
	}
	if n := strings.Count(appendix, "<li>Cochran (1977)</li>"); n != 1 {
		t.Errorf("a reference stands there %d times", n)
	}
}

// TestLeads: a section with a finding that asks to lead its chapter does, with its
// sentences. Of the others the chapter has the finding, the appendix the rest.
func TestLeads(t *testing.T) {
	r := cropReport(3)
	r.Sections[1].Leads, r.Sections[2].Leads = true, true
	report, appendix := written(t, r)
	if !strings.Contains(report, `<p class="finding">A second finding`) || strings.Contains(report, "Nobody looked") {
		t.Error("the section that asks to lead does not")
	}
	if i, j := strings.Index(report, "A sentence of another question."), strings.Index(report, "<p>Estimated crop:"); i < 0 || j < i {
		t.Errorf("sentences stand at %d and %d", i, j)
	}
	if !strings.Contains(appendix, "In short") || !strings.Contains(appendix, "It rests on") {
		t.Error("what the other section shows is lost")
	}
}

// TestChapterLength: what a chapter has no room for stands in the appendix.
func TestChapterLength(t *testing.T) {
	r := cropReport(3)
	long := strings.Repeat("word ", 70)
	r.Sections[0].Text = []Text{Say("First " + long), Say("Second " + long), Say("Third is short.")}
	r.Sections[0].Details = []Text{Say("A detail.")}
	report, appendix := written(t, r)
	for _, c := range []struct {
		text   string
		within bool
	}{{"First", true}, {"Second", false}, {"Third", true}, {"A detail", false}} {
		if strings.Contains(report, c.text) != c.within || strings.Contains(appendix, "<p>"+c.text) == c.within {
			t.Errorf("%s: in the report %t, in the appendix %t", c.text, strings.Contains(report, c.text), strings.Contains(appendix, "<p>"+c.text))
		}
	}
}

// TestLinks: every link leads to an anchor of its file, and no anchor is there
// twice.
func TestLinks(t *testing.T) {
	report, appendix := written(t, cropReport(900))
	anchors := map[string]bool{}
	for file, text := range map[string]string{ReportFile: report, AppendixFile: appendix} {
		for _, m := range regexp.MustCompile(`\bid="([^"]*)"`).FindAllStringSubmatch(text, -1) {
			if at := file + "#" + m[1]; anchors[at] {
				t.Errorf("%s is there twice", at)
			}
			anchors[file+"#"+m[1]] = true
		}
	}
	links := 0
	for file, text := range map[string]string{ReportFile: report, AppendixFile: appendix} {
		for _, m := range regexp.MustCompile(`\bhref="([^"]*)"`).FindAllStringSubmatch(text, -1) {
			links++
			to := m[1]
			if strings.HasPrefix(to, "#") {
				to = file + to
			}
			if to != ReportFile && to != AppendixFile && !anchors[to] {
				t.Errorf("%s links to %s, which is not there", file, m[1])
			}
		}
	}
	if links < 30 {
		t.Errorf("only %d links", links)
	}
	if !strings.Contains(appendix, "400 of 901 rows are shown; all of them are in results/crop.csv.") {
		t.Error("a long table does not say what is left out")
	}
}

// TestRanked: what could move a figure most stands first, whatever it bears on.
func TestRanked(t *testing.T) {
	var list []Limitation
	for _, w := range []stats.Warning{few.With("few"), partial.With("partial"), few.With("few again").Moving(0.4)} {
		list = append(list, Limitation{Warning: w})
	}
	got := ranked(list)
	if len(got) != 2 || got[0].Warning.Text != "few again" || got[1].Warning.Text != "partial" {
		t.Errorf("ranked as %+v", got)
	}
}

const cautionLine = "note  nothing is identified, and no figure is a permission\n"

func TestTerminal(t *testing.T) {
	r := cropReport(3)
	r.Settings.Title = "The Quillet, Bramwold and Ostrey burns, an invented survey of three fires"
	tab := cropTable(20)
	area := result.Cell{Unit: "ha", Number: column.Finite(9072)}
	row := func(label string, at int, part bool) Line {
		return Line{Label: label, Row: &LineRow{Part: part, Estimate: tab.Cell(at, "mass_kg"), Units: tab.Cell(at, "units"), Finds: tab.Cell(at, "units")}}
	}
	density := Section{Chapter: HowMany, Area: &area, Lines: []Line{row("survey area", 0, false)}, Limitations: LimitsOf(tab, 0)}
	for i := range 20 {
		density.Lines = append(density.Lines, row(fmt.Sprintf("a stratum with a long name %d", i), i+1, true))
	}
	r.Sections = append([]Section{density}, r.Sections...)
	got := r.Terminal()
	table, notes, _ := strings.Cut(got, "\n\n")
	lines := strings.Split(table, "\n")
	if len(lines) != terminalLines {
		t.Errorf("the table has %d lines", len(lines))
	}
	for line := range strings.SplitSeq(got, "\n") {
		if width(line) > terminalWidth {
			t.Errorf("%q has %d columns", line, width(line))
		}
	}
	for _, want := range []string{
		", an invent…  9,072 ha\n", "  13 more strata in results/crop\n",
		"survey area             52.1    41.0-72.0      40      40\n", "crop      52.1 t fresh (41.0-72.0)\n",
	} {
		if !strings.Contains(table+"\n", want) {
			t.Errorf("the table lacks %q:\n%s", want, got)
		}
	}
	if notes != "note  7 of 9 were weighed\nnote  3 units are few\n"+cautionLine {
		t.Errorf("the notes are\n%s", notes)
	}
}

func TestLongNotes(t *testing.T) {
	r := cropReport(1)
	r.Sections[0].Limitations = nil
	for i := range 9 {
		w := stats.Warning{Code: fmt.Sprintf("code-%d", i), Text: "short"}
		if i == 0 {
			w.Text = strings.Repeat("words ", 40)
		}
		r.Sections[0].Limitations = append(r.Sections[0].Limitations, Limitation{Warning: w})
	}
	_, notes, _ := strings.Cut(r.Terminal(), "\n\n")
	if want := "note  code 0\n" + strings.Repeat("note  short\n", 2) + cautionLine; notes != want {
		t.Errorf("the notes are\n%s", notes)
	}
}

// TestUndrawnFigure: numbers that cannot be drawn cost the figure alone.
func TestUndrawnFigure(t *testing.T) {
	r := cropReport(1)
	for what, form := range map[string]func(plots.About) Form{
		"no rows":        func(a plots.About) Form { return plots.Rows{About: a} },
		"no such number": func(a plots.About) Form { panic("no such number") },
	} {
		r.Sections[0].Figure = &Figure{Name: "crop", Title: Say("Crop"), Form: form}
		for _, f := range r.Figures() {
			f.Draw(Units{})
		}
		report, _ := written(t, r)
		if !strings.Contains(report, "This figure could not be drawn from its numbers") {
			t.Errorf("%s: the report does not say so", what)
		}
		if f := r.Figures()[1]; f.Err() == nil || !strings.Contains(f.Fault().String(), "the figure crop could not be drawn") {
			t.Errorf("%s: %v is told", what, f.Fault())
		}
	}
	if n := len(r.Figures()); n != 2 {
		t.Errorf("%d figures", n)
	}
}

// TestAlike: a figure that is drawn like another has the other's image.
func TestAlike(t *testing.T) {
	figure := func(name string, at float64) *Figure {
		f := &Figure{Name: name, Title: Say("Crop"), Form: func(a plots.About) Form {
			return plots.Rows{About: a, Rows: []plots.Row{{Label: "birch", Marks: []plots.Mark{{Value: at, Lower: 1, Upper: 9}}}}}
		}}
		f.Draw(Units{})
		return f
	}
	one, other, same := figure("one", 3), figure("other", 5), figure("same", 5)
	image, err := same.PNG(one, other)
	if err != nil {
		t.Fatal(err)
	}
	first, _ := other.PNG(one)
	if &image[0] != &first[0] {
		t.Error("an image was drawn twice")
	}
	if drawn, _ := one.PNG(); bytes.Equal(drawn, image) {
		t.Error("figures of other numbers share an image")
	}
}

func TestSeries(t *testing.T) {
	modes := map[plots.Role]bool{}
	for _, m := range []string{survey.Saprotrophic, survey.HostAssociated, survey.Undetermined} {
		modes[ModeSeries(m).Role] = true
	}
	shapes := map[plots.Shape]bool{}
	for _, m := range []string{result.Plot, result.Adaptive, result.Strip, result.Line} {
		shapes[MethodSeries(m).Shape] = true
	}
	if len(modes) != 3 || len(shapes) != 4 {
		t.Errorf("%d colours for modes, %d shapes for methods", len(modes), len(shapes))
	}
}

// TestRows: rows of one label stand together, in the unit that all share.
func TestRows(t *testing.T) {
	tab := cropTable(3)
	form := Rows{
		Of: tab, Column: "mass_kg", Rows: []int{0, 1, 2, 3},
		Label: func(row int) Text { return Say([]string{"one", "two", "one", "two"}[row]) },
		Series: func(row int) plots.Series {
			return MethodSeries([]string{result.Plot, result.Plot, result.Strip, result.Strip}[row])
		},
		Strong: func(row int) bool { return row == 0 },
	}.Form(plots.About{Name: "crop", Alt: "Crops."}, Units{})
	if len(form.Rows) != 2 || len(form.Rows[0].Marks) != 2 || form.Rows[0].Marks[1].Series != 1 || form.Rows[1].Marks[0].Series != 0 || !form.Rows[0].Strong || form.Rows[1].Strong {
		t.Errorf("the rows are %+v", form.Rows)
	}
	if form.Axis.Label != "t" || form.Heads.Range != "95 % CI" || form.Rows[0].Marks[0].Value != 52.134 || form.Rows[1].Marks[0].Value != 0.1 || len(form.Series) != 2 {
		t.Errorf("in %s: %+v", form.Axis.Label, form.Rows)
	}
	if _, err := form.Figure(); err != nil {
		t.Error(err)
	}
}
