package ground

import (
	"context"
	"fmt"
	"math"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate/transect"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/page"
	"ashtally/pipeline/question/questiontest"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats/regress/terms"
	"ashtally/stats/statstest"
)

const day = "2031-05-01"

func answer(t *testing.T, w fieldworktest.World) (Answer, *fieldwork.Season) {
	t.Helper()
	s := w.Season(t)
	known := questiontest.WithLines(t, s)
	a := questiontest.Ask(t, Ask, s, known)
	return a, s
}

// slopes has eight plots of 0.01 ha in the burn, four at 10 % with 4 saprotrophic fruit
// bodies each and four at 30 % with 1, and four in the green at 30 % with 2
// host-associated ones.
func slopes(t *testing.T) fieldworktest.World {
	t.Helper()
	w := fieldworktest.New()
	add := func(stratum, id string, slope float64, n int64, mode string) {
		w.Plot(t, stratum, id, day)
		w.Plots[len(w.Plots)-1].SlopePercent = fieldworktest.Known(slope)
		w.Find(t, id, day, 1, n, mode, "spruce")
	}
	for i := range 4 {
		add("burn", fmt.Sprint("flat", i), 10, 4, survey.Saprotrophic)
		add("burn", fmt.Sprint("steep", i), 30, 1, survey.Saprotrophic)
		add("green", fmt.Sprint("green", i), 30, 2, survey.HostAssociated)
	}
	return w
}

func find(t *testing.T, a Answer, attribute, class, years, mode string) Row {
	t.Helper()
	for _, r := range a.rows {
		if r.Attribute == attribute && r.Class == class && r.Years == years && r.Mode == mode {
			return r
		}
	}
	t.Fatalf("no row of %s %s, years %s, mode %s", attribute, class, years, mode)
	return Row{}
}

// TestClassesOfSlope, by hand: the burn is 3/4 of the area and the green 1/4. At 30 %
// there are 3/4 x 4/0.08 + 1/4 x 8/0.04 = 87.5 fruit bodies on 3/4 x 1/2 + 1/4 = 0.625 of
// each hectare, so 140 per hectare; at 10 %, 16/0.04 = 400 on 0.375.
func TestClassesOfSlope(t *testing.T) {
	a, _ := answer(t, slopes(t))
	flat, steep := find(t, a, "slope", "0 to 20", "all", "all"), find(t, a, "slope", "20 to 40", "all", "all")
	statstest.Relative(t, "density at 10 %", flat.Density.Value.Value, 400, 1e-12)
	statstest.Relative(t, "density at 30 %", steep.Density.Value.Value, 140, 1e-12)
	statstest.Relative(t, "share at 10 %", flat.Share.Value.Value, 37.5, 1e-12)
	statstest.Relative(t, "share at 30 %", steep.Share.Value.Value, 62.5, 1e-12)
	if steep.Units.Value != 8 || steep.Sites.Value != 8 || steep.Finds.Value != 12 || steep.Unit != "percent" || !steep.Density.Upper.Known {
		t.Errorf("%+v", steep)
	}
	sapro := find(t, a, "slope", "20 to 40", "all", survey.Saprotrophic)
	statstest.Relative(t, "saprotrophic at 30 %", sapro.Density.Value.Value, 37.5/0.625, 1e-12)
	burn := find(t, a, "slope", "20 to 40", "1", "all")
	statstest.Relative(t, "one year after the fire", burn.Density.Value.Value, 100, 1e-12)
	for _, r := range a.rows {
		if r.Attribute == "aspect" || r.Attribute == "elevation" || r.Attribute == "ground cover" {
			t.Errorf("classes of what nobody recorded: %+v", r)
		}
	}
}

// TestSeverityIsOfStrata: the class of a stratum without a word is unburned where it
// did not burn, and it is told that classes are strata.
func TestSeverityIsOfStrata(t *testing.T) {
	w := slopes(t)
	w.Strata[0].Severity = "severe"
	a, _ := answer(t, w)
	severe, not := find(t, a, "severity", "severe", "all", "all"), find(t, a, "severity", result.Unburned, "all", "all")
	statstest.Relative(t, "severe", severe.Density.Value.Value, 20/0.08, 1e-12)
	statstest.Relative(t, "unburned", not.Density.Value.Value, 200, 1e-12)
	if !oneStratum.In(severe.Warnings) {
		t.Errorf("%v", severe.Warnings)
	}
}

// TestUnrecorded: a unit without a slope is in no class, and the row says so; its
// ground is in the area that shares are of.
func TestUnrecorded(t *testing.T) {
	w := slopes(t)
	w.Plots[0].SlopePercent = column.Float{}
	a, _ := answer(t, w)
	flat := find(t, a, "slope", "0 to 20", "all", "all")
	if flat.Units.Value != 3 || !notRecorded.In(flat.Warnings) {
		t.Errorf("%+v", flat)
	}
	statstest.Relative(t, "share", flat.Share.Value.Value, 100*0.75*3/8, 1e-12)
}

// TestAlongLines: densities of two classes of aspect, weighed by their shares, are that
// of the lines together, and rest on their detection function.
func TestAlongLines(t *testing.T) {
	w := fieldworktest.New()
	for i := range 8 {
		id := fmt.Sprint("L", i)
		transect := survey.Transect{Transect: id, Stratum: "burn", Kind: survey.Line, LengthM: fieldworktest.Known(100), Sides: column.Count(2), Laid: survey.Horizontal}
		transect.AspectDeg = fieldworktest.Known(float64(180 * (i % 2)))
		w.Transects = append(w.Transects, transect)
		w.Visit(t, id, day, 1)
		for k := range 6 + 4*(i%2) {
			f := w.Find(t, id, day, 1, 1, survey.Saprotrophic, "spruce")
			f.DistanceM = fieldworktest.Known(4 * math.Pow((float64(k)+0.5)/10, 1.5))
		}
	}
	a, s := answer(t, w)
	north, south := find(t, a, "aspect", "north", "all", "all"), find(t, a, "aspect", "south", "all", "all")
	lines, err := transect.New(context.Background(), s)
	if err != nil {
		t.Fatal(err)
	}
	var all []fieldwork.Domain
	for _, d := range lines.Domains {
		if d.Years == result.All {
			all = append(all, d)
		}
	}
	whole, err := lines.Over(context.Background(), all)
	if err != nil {
		t.Fatal(err)
	}
	statstest.Relative(t, "density of both", (north.Density.Value.Value+south.Density.Value.Value)/2, whole.Value, 1e-9)
	statstest.Relative(t, "share of north", north.Share.Value.Value, 50, 1e-12)
	if north.Finds.Value != 24 || south.Finds.Value != 40 || !south.Density.Upper.Known || north.Mode != result.All {
		t.Errorf("%+v\n%+v", north, south)
	}
}

// TestUnvisited: of three classes of slope the green has one, and the others are named.
func TestUnvisited(t *testing.T) {
	w := slopes(t)
	w.Plots[0].SlopePercent = fieldworktest.Known(50)
	w.Plots[2].SlopePercent = fieldworktest.Known(10) // green, so that it has two
	a, _ := answer(t, w)
	v := view{Answer: a, of: table.Of(a.rows), shown: []int{0}}
	if got := v.unvisited().Plain(page.Units{}); got != "Not visited, unburned: slope 40 to 60 %." {
		t.Error(got)
	}
}

// TestSection: the clearest contrast leads, and all parts are drawn.
func TestSection(t *testing.T) {
	w := slopes(t)
	w.Strata[0].Severity = "severe"
	for i := range w.Plots {
		w.Plots[i].ElevationM = fieldworktest.Known(float64(900 + 150*(i%3)))
	}
	a, _ := answer(t, w)
	sections := a.Sections(page.Units{})
	if len(sections) != 1 || sections[0].Finding.Empty() || sections[0].Table == nil || len(sections[0].Appendix) < 2 {
		t.Fatalf("%+v", sections)
	}
	f := sections[0].Figure
	if f.Draw(page.Units{}); f.Err() != nil {
		t.Error(f.Err())
	}
	if none := (Answer{}).Sections(page.Units{}); len(none) != 1 || !none[0].Finding.Empty() {
		t.Errorf("a survey without classes of ground has %+v", none)
	}
}

// TestWarningsAreDeclared: the types that rows carry are those that the question lists.
func TestWarningsAreDeclared(t *testing.T) {
	declared := map[string]bool{}
	for _, list := range Warnings() {
		for _, w := range list {
			declared[w.Code] = true
		}
	}
	for _, w := range []string{notRecorded.Code, oneStratum.Code, knownShares.Code} {
		if !declared[w] {
			t.Errorf("%s is not declared", w)
		}
	}
}

const referenceDir = "../../../testdata/reference/"

// TestGradientsAgainstR holds the ratios for steps of the ground, and their standard
// errors, to MASS and sandwich (testdata/reference/gradients.R).
func TestGradientsAgainstR(t *testing.T) {
	w := fieldworktest.New()
	w.Settings.Model.Covariance = "CR1"
	w.Strata = nil
	seen := map[string]bool{}
	for _, row := range statstest.Table(t, referenceDir+"gradients_units.csv") {
		stratum := row["stratum"]
		if !seen[stratum] {
			seen[stratum] = true
			w.Strata = append(w.Strata, survey.Stratum{Stratum: stratum, AreaHa: fieldworktest.Known(100)})
		}
		p := survey.Plot{Plot: row["unit"], Stratum: stratum, Site: row["site"], AreaM2: fieldworktest.Known(200), Laid: survey.Horizontal, SlopePercent: fieldworktest.Known(row.Number(t, "slope"))}
		p.ElevationM, p.AspectDeg = fieldworktest.Known(row.Number(t, "elevation")), fieldworktest.Known(row.Number(t, "aspect"))
		w.Plots = append(w.Plots, p)
		w.Visit(t, row["unit"], day, 1)
		if n := int64(row.Number(t, "count")); n > 0 {
			w.Find(t, row["unit"], day, 1, n, survey.Saprotrophic, "spruce")
		}
	}
	a, _ := answer(t, w)
	checked := 0
	for _, row := range statstest.Table(t, referenceDir+"gradients.csv") {
		for _, r := range a.gradients {
			if r.Attribute != row["attribute"] || r.Mode != result.All {
				continue
			}
			if !fewSites.In(r.Warnings) {
				t.Errorf("30 sites: %v", r.Warnings)
			}
			statstest.Relative(t, r.Attribute, r.Ratio.Value.Value, row.Number(t, "ratio"), 1e-6)
			statstest.Relative(t, r.Attribute+", standard error of the logarithm", r.Ratio.SE.Value/r.Ratio.Value.Value, row.Number(t, "se_log"), 1e-5)
			checked++
		}
	}
	if checked != 3 {
		t.Errorf("%d ratios", checked)
	}
}

// TestInflation: two columns that repeat each other have no end of it, and orthogonal
// ones none; with a correlation r it is 1/(1 - r^2).
func TestInflation(t *testing.T) {
	x := []float64{-3, -1, 1, 3}
	square := []float64{1, -1, -1, 1}
	mixed := make([]float64, len(x))
	for i := range x {
		mixed[i] = 2*x[i] + square[i]
	}
	design := func(columns ...[]float64) *terms.Design {
		f := terms.Frame{Rows: len(x)}
		var m terms.Model
		for i, c := range columns {
			f.Numbers = append(f.Numbers, terms.Number{Name: fmt.Sprint(i), Of: c})
			m = append(m, terms.Term{fmt.Sprint(i)})
		}
		return f.Design(m)
	}
	if got := inflation(design(x, square), 2); math.Abs(got[0]-1) > 1e-12 || math.Abs(got[1]-1) > 1e-12 {
		t.Errorf("orthogonal columns: %v", got)
	}
	if got := inflation(design(x, x), 2); !math.IsInf(got[1], 1) {
		t.Errorf("equal columns: %v", got)
	}
	r2 := 4.0 * 20 / (4.0*20 + 4) // of mixed and x: 2 x'x over the lengths
	statstest.Relative(t, "correlated columns", inflation(design(x, mixed), 2)[0], 1/(1-r2), 1e-12)
}

// TestGradientsThatAreNone: too few finds, an attribute that few units have, and one
// that repeats the strata are told.
func TestGradientsThatAreNone(t *testing.T) {
	w := slopes(t)
	w.Finds = w.Finds[:2]
	a, _ := answer(t, w)
	if len(a.gradients) != 3 || !tooFewFinds.In(a.gradients[0].Warnings) || a.gradients[0].Ratio.Value.Known {
		t.Errorf("two finds: %+v", a.gradients)
	}
	w = slopes(t)
	for i := range w.Plots[:5] {
		w.Plots[i].ElevationM = fieldworktest.Known(float64(1000 + 100*i))
	}
	a, _ = answer(t, w)
	told := false
	for _, r := range a.gradients {
		told = told || r.Attribute == "elevation" && seldomKnown.In(r.Warnings)
	}
	if !told {
		t.Errorf("elevation of five units in twelve: %+v", a.gradients)
	}
}

// TestRanking: without attributes in the model but the stratum, the expected density of
// a combination is that of its stratum; the first is warned of, and each has the tree
// and the week with most finds.
func TestRanking(t *testing.T) {
	w := slopes(t)
	for i := range w.Plots {
		w.Plots[i].SlopePercent = column.Float{}
	}
	w.Strata[0].Severity = "severe"
	w.Plots[0].AspectDeg = fieldworktest.Known(180)
	a, _ := answer(t, w)
	if len(a.places) != 3 || a.places[0].Rank.Value != 1 {
		t.Fatalf("%+v", a.places)
	}
	for _, r := range a.places {
		want := 250.0
		if r.Severity == result.Unburned {
			want = 200
		}
		statstest.Relative(t, r.Severity, r.Density.Value.Value, want, 1e-6)
		if r.Tree != "spruce" || r.Week.String() != "2031-04-28" || r.Week.Time().Weekday().String() != "Monday" {
			t.Errorf("%+v", r)
		}
	}
	if !bestOfMany.In(a.places[0].Warnings) || bestOfMany.In(a.places[1].Warnings) {
		t.Errorf("%+v", a.places)
	}
}
