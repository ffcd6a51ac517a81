package chain

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate"
	"ashtally/pipeline/estimate/transect"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/page"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/chain"
	"ashtally/stats/statstest"
)

// densities are those of plots and strips, as the question of density has them.
type densities struct {
	season *fieldwork.Season
	lines  *transect.Lines
}

func (d densities) Of(method, stratum, years string) (stats.Estimate, bool) {
	var members []fieldwork.Domain
	for _, m := range d.season.Domains(method, d.season.UnitSeasons()) {
		if m.Years == years && (fieldwork.OverStrata(stratum) || d.season.Strata[m.Stratum].Name == stratum) {
			members = append(members, m)
		}
	}
	if len(members) == 0 {
		return stats.Estimate{}, false
	}
	e, err := d.Over(context.Background(), members, d.season.Settings.Confidence)
	return e, err == nil
}

func (d densities) Over(ctx context.Context, members []fieldwork.Domain, confidence float64) (stats.Estimate, error) {
	if members[0].Method == result.Line {
		return d.lines.At(confidence).Over(ctx, members)
	}
	_, areas := estimate.Jointly(d.season.WithConfidence(confidence), members, [][]int{fieldwork.Indices(len(members))}, estimate.AllFinds(members))
	return areas[0].Estimate, nil
}

// corrected are those of plots and strips by made up factors of detection.
type corrected struct {
	densities
	factors question.Factors
}

func (c corrected) Over(members []fieldwork.Domain, confidence float64) (density, factor stats.Estimate, err error) {
	d, err := c.densities.Over(context.Background(), members, confidence)
	f := c.factors.Of[question.Place{Method: members[0].Method, Stratum: c.season.Strata[members[0].Stratum].Name}].Estimate
	return chain.Times(d, f), f, err
}

// answer asks the question of a survey, with factors of detection and of the season for
// each stratum of some methods.
func answer(t *testing.T, w fieldworktest.World, change func(*question.Known, *fieldwork.Season)) (Answer, *fieldwork.Season, *question.Known) {
	t.Helper()
	s := w.Season(t)
	lines, err := transect.New(context.Background(), s)
	if err != nil {
		t.Fatal(err)
	}
	known := &question.Known{Lines: lines, Densities: densities{s, lines}, Detection: question.NewFactors(), Seasons: question.NewFactors()}
	if change != nil {
		change(known, s)
	}
	known.Corrected = corrected{densities{s, lines}, known.Detection}
	a, err := Ask(context.Background(), s, known)
	if err != nil {
		t.Fatal(err)
	}
	return a, s, known
}

// plotsAndStrips has eight plots of 0.01 ha in the burn and four in the green, and five
// strips of 0.02 ha in the burn that find so many times as much.
func plotsAndStrips(t *testing.T, times int) fieldworktest.World {
	w := fieldworktest.New()
	const day = "2031-05-01"
	for i := range 12 {
		stratum, id := "burn", fmt.Sprint("p", i)
		if i >= 8 {
			stratum = "green"
		}
		w.Plot(t, stratum, id, day)
		w.Find(t, id, day, 1, int64(1+i%4), survey.Saprotrophic, "spruce").MassG = fieldworktest.Known(float64(12 * (1 + i%4)))
	}
	for i := range 5 {
		id := fmt.Sprint("s", i)
		w.Transects = append(w.Transects, survey.Transect{Transect: id, Stratum: "burn", Kind: survey.Strip, LengthM: fieldworktest.Known(100), HalfWidthM: fieldworktest.Known(1), Sides: column.Count(2), Laid: survey.Horizontal})
		w.Visit(t, id, day, 1)
		w.Find(t, id, day, 1, int64(times*(3+i%3)), survey.Saprotrophic, "spruce")
	}
	return w
}

func factor(value, lower, upper float64) question.Factor {
	return question.Factor{Estimate: stats.Estimate{Value: value, SE: (upper - lower) / 4, Interval: stats.Interval{Lower: lower, Upper: upper, Confidence: 0.95, DF: 20}}, By: "observers"}
}

// twoLinks gives every stratum of both methods a factor of detection and of the season.
func twoLinks(known *question.Known, s *fieldwork.Season) {
	for _, h := range s.Strata {
		known.Detection.Of[question.Place{Method: result.Plot, Stratum: h.Name}] = factor(1.2, 1.1, 1.35)
		known.Detection.Of[question.Place{Method: result.Strip, Stratum: h.Name}] = factor(1.25, 1.15, 1.4)
		known.Seasons.Of[question.Place{Method: result.Plot, Stratum: h.Name}] = factor(1.5, 1.3, 1.8)
		known.Seasons.Of[question.Place{Method: result.Strip, Stratum: h.Name}] = factor(1.5, 1.3, 1.8)
	}
}

func (a Answer) row(t *testing.T, method, stratum, link string) Row {
	t.Helper()
	for _, r := range a.rows {
		if r.Method == method && r.Stratum == stratum && r.Link == link {
			return r
		}
	}
	t.Fatalf("no row of %s in %s, %s", method, stratum, link)
	return Row{}
}

// TestChain: links multiply, shares add up, and one row is the headline.
func TestChain(t *testing.T) {
	a, s, _ := answer(t, plotsAndStrips(t, 1), twoLinks)
	shares, last, headlines := 0.0, 0.0, 0
	for _, r := range a.rows {
		if r.headline() {
			headlines++
		}
		if !r.whole() {
			continue
		}
		shares += r.Share.Value
		switch r.Link {
		case survey.Counted:
		case massLink:
			statstest.Relative(t, "mass", r.Kg.Value.Value, last*r.Factor.Value.Value/1000, 1e-9)
		default:
			statstest.Relative(t, r.Link, r.Density.Value.Value, last*r.Factor.Value.Value, 1e-9)
		}
		last = r.Density.Value.Value
	}
	statstest.Near(t, "shares", shares, 100, 1e-9)
	if headlines != 1 || !a.row(t, result.All, result.All, survey.Whole).headline() {
		t.Errorf("%d headlines", headlines)
	}
	// By hand: burn 20/0.08 = 250 by plots and 19/0.1 = 190 by strips; green 10/0.04 = 250.
	w := a.row(t, result.Plot, "burn", survey.Counted).Weight.Value / 100
	v := a.row(t, result.Strip, "burn", survey.Counted).Weight.Value / 100
	statstest.Near(t, "weights", w+v, 1, 1e-12)
	burn := w*250 + v*190
	statstest.Relative(t, "burn", a.row(t, result.All, "burn", survey.Counted).Density.Value.Value, burn, 1e-9)
	statstest.Relative(t, "area", a.row(t, result.All, result.All, survey.Counted).Density.Value.Value, (30*burn+10*250)/40, 1e-9)
	statstest.Relative(t, "burn, detected", a.row(t, result.All, "burn", survey.Detected).Density.Value.Value, w*250*1.2+v*190*1.25, 1e-9)
	if r := a.row(t, result.All, "burn", survey.Counted); r.Methods != "plot+strip" || !(r.DisagreeP.Value > 0.05) || r.DisagreeDF.Value != 1 {
		t.Errorf("burn: %+v", r)
	}
	green, plots := a.row(t, result.All, "green", survey.Counted), a.row(t, result.Plot, "green", survey.Counted)
	if green.Density != plots.Density || green.Methods != result.Plot {
		t.Errorf("green by plots alone: %+v and %+v", green.Density, plots.Density)
	}
	if list := a.Sections(page.UnitsOf(s.Settings)); len(list) != 2 || len(list[0].Lines) != 3 || list[1].Card == nil {
		t.Errorf("%d sections", len(list))
	}
}

// TestDisagreement: strips that find six times as much stand apart, and plots, which
// sampled more area, stand alone; the settings may name the strips.
func TestDisagreement(t *testing.T) {
	w := plotsAndStrips(t, 12)
	a, _, _ := answer(t, w, nil)
	r := a.row(t, result.All, "burn", survey.Counted)
	if !(r.DisagreeP.Value < 0.05) || r.Methods != result.Plot || r.Density.Value.Value != 250 {
		t.Errorf("the methods agree: %+v", r)
	}
	if !methodsDisagree.In(a.row(t, result.All, result.All, survey.Counted).Warnings) {
		t.Error("the headline does not tell")
	}
	w.Settings.Report.Method = result.Strip
	a, _, _ = answer(t, w, nil)
	if r = a.row(t, result.All, "burn", survey.Counted); r.Methods != result.Strip {
		t.Errorf("the headline is by %s", r.Methods)
	}
}

// TestLinksLeftOut: what a survey cannot tell is left out and named, and crop and
// harvest stand on what the settings ask for, or on the last before it.
func TestLinksLeftOut(t *testing.T) {
	reason := transect.HalfWidthsDiffer.With("nobody counted twice")
	a, _, known := answer(t, plotsAndStrips(t, 1), func(known *question.Known, s *fieldwork.Season) {
		twoLinks(known, s)
		clear(known.Detection.Of)
		known.Detection.None[result.Plot], known.Detection.None[result.Strip] = reason, reason
	})
	r := a.row(t, result.All, result.All, survey.Whole)
	if !slices.Contains(r.Warnings, reason) || !r.headline() {
		t.Errorf("the link left out is not named: %v", r.Warnings)
	}
	for _, one := range a.rows {
		if one.Link == survey.Detected {
			t.Errorf("a link that nobody can give: %+v", one)
		}
	}
	end, err := known.Chain.Over(context.Background(), []int{0, 1}, 0.95)
	if err != nil || end.Link != survey.Whole || end.Density.Value != r.Density.Value.Value || len(end.Members) != 3 {
		t.Errorf("%+v, %v", end, err)
	}
	for basis, want := range map[string]string{survey.Counted: survey.Counted, survey.Detected: survey.Counted, survey.Whole: survey.Whole, survey.LastLink: survey.Whole} {
		steps := []step{{link: survey.Counted}, {link: survey.Whole}}
		if got := steps[endOf(steps, basis)].link; got != want {
			t.Errorf("basis %s: %s, want %s", basis, got, want)
		}
	}
}

// TestLinkInPart: strips that nobody searched twice count as they are, and the row tells
// how much higher it would be had they missed as much as the plots.
func TestLinkInPart(t *testing.T) {
	world := plotsAndStrips(t, 1)
	for i := 8; i < 24; i++ { // so that plots weigh more
		id := fmt.Sprint("q", i)
		world.Plot(t, "burn", id, "2031-05-01")
		world.Find(t, id, "2031-05-01", 1, int64(1+i%4), survey.Saprotrophic, "spruce")
	}
	world.Find(t, "s0", "2031-05-01", 1, 5, survey.Saprotrophic, "spruce") // 240 per ha, beside 250
	a, _, _ := answer(t, world, func(known *question.Known, s *fieldwork.Season) {
		twoLinks(known, s)
		for _, h := range s.Strata {
			delete(known.Detection.Of, question.Place{Method: result.Strip, Stratum: h.Name})
		}
		known.Detection.None[result.Strip] = transect.HalfWidthsDiffer.With("nobody counted twice")
	})
	w := a.row(t, result.Plot, "burn", survey.Counted).Weight.Value / 100
	plots, strips := w*250, (1-w)*240
	r := a.row(t, result.All, "burn", survey.Detected)
	statstest.Relative(t, "burn, detected", r.Density.Value.Value, 1.2*plots+strips, 1e-9)
	warning, ok := linkInPart.Find(r.Warnings)
	more := 0.2 * strips / (1.2*plots + strips)
	if !ok || !strings.Contains(warning.Text, fmt.Sprintf("(strip), which count as if it were certain; with the detection probability of the others, the density would be %s higher", fieldwork.SharePercent(more))) {
		t.Errorf("%v", r.Warnings)
	}
	statstest.Relative(t, "could move", warning.Moves, more, 1e-9)
	for _, one := range a.rows {
		if one.Method == result.Strip && one.Link == survey.Detected {
			t.Errorf("strips alone are corrected: %+v", one)
		}
	}
}

// TestPathAddsUp: of a small season, twelve plots with 96 fruit bodies, the factors as
// the report shows them lead from each density shown to the next one shown, within
// what rounding takes; and the last is the headline.
func TestPathAddsUp(t *testing.T) {
	w := fieldworktest.New()
	const day = "2031-05-01"
	for i, n := range []int64{0, 3, 11, 0, 7, 24, 2, 19, 1, 13, 0, 16} {
		id := fmt.Sprint("p", i)
		w.Plot(t, "burn", id, day)
		if n > 0 {
			w.Find(t, id, day, 1, n, survey.Saprotrophic, "spruce").MassG = fieldworktest.Known(float64(14 * n))
		}
	}
	a, s, _ := answer(t, w, twoLinks)
	u := page.UnitsOf(s.Settings)
	section := a.Sections(u)[0]
	if len(section.Table.Rows) != 4 {
		t.Fatalf("%d lines", len(section.Table.Rows))
	}
	number := func(row int, column string) (value, half float64) {
		text := page.Bare(section.Table.Of.Cell(row, column)).Plain(u)
		value, err := strconv.ParseFloat(strings.ReplaceAll(text, ",", ""), 64)
		if err != nil {
			t.Fatalf("%s of line %d is %q", column, row, text)
		}
		_, decimals, _ := strings.Cut(text, ".")
		half = 0.5 * math.Pow(10, -float64(len(decimals)))
		for zeros := strings.TrimRight(text, "0"); decimals == "" && len(zeros) < len(text); zeros += "0" {
			half *= 10
		}
		return value, half
	}
	before, off := number(section.Table.Rows[0], "density_per_ha")
	for _, row := range section.Table.Rows[1:] {
		column, unit := "density_per_ha", 1.0
		if a.rows[row].Link == massLink {
			column, unit = "kg_per_ha", 1e-3
		}
		factor, factorOff := number(row, "factor")
		after, afterOff := number(row, column)
		if d := math.Abs(before*factor*unit - after); d > afterOff+unit*(before*factorOff+factor*off) {
			t.Errorf("%s: %v times %v is shown as %v", a.rows[row].Link, before, factor, after)
		}
		if a.rows[row].Basis.Value && !strings.Contains(section.Finding.Plain(u), page.Bare(section.Table.Of.Cell(row, "density_per_ha")).Plain(u)) {
			t.Errorf("the finding %q does not give the end, %v", section.Finding.Plain(u), after)
		}
		before, off = after, afterOff
	}
}

// TestUnreached: a stratum without units is out of the headline, by name and share.
func TestUnreached(t *testing.T) {
	w := plotsAndStrips(t, 1)
	w.Strata = append(w.Strata, survey.Stratum{Stratum: "far", AreaHa: fieldworktest.Known(10)})
	a, s, known := answer(t, w, nil)
	warning, ok := fieldwork.AreaNotReached.Find(a.row(t, result.All, result.All, survey.Counted).Warnings)
	if !ok || warning.Text != "nothing was searched in far; the figure is that of burn, green only, 80 % of the survey area" {
		t.Errorf("%v", warning)
	}
	if got := known.Chain.Strata(); len(got) != 2 {
		t.Errorf("strata %v", got)
	}
	end, err := known.Chain.Over(context.Background(), []int{slices.IndexFunc(s.Strata, func(h fieldwork.Stratum) bool { return h.Name == "far" })}, 0.95)
	if err != nil || !math.IsNaN(end.Density.Value) {
		t.Errorf("%+v, %v", end, err)
	}
}

// TestNothingFound: the chain of a survey without finds is 0 with an upper limit.
func TestNothingFound(t *testing.T) {
	w := plotsAndStrips(t, 1)
	w.Finds = nil
	a, s, _ := answer(t, w, twoLinks)
	r := a.row(t, result.All, result.All, survey.Counted)
	if r.Density.Value.Value != 0 || !(r.Density.Upper.Value > 0) {
		t.Errorf("%+v", r.Density)
	}
	for _, section := range a.Sections(page.UnitsOf(s.Settings)) {
		drawn(t, section, page.UnitsOf(s.Settings))
	}
	none, _, _ := answer(t, fieldworktest.New(), nil)
	if len(none.rows) != 0 || len(none.Sections(page.Units{})) != 1 {
		t.Errorf("a survey without units: %+v", none.rows)
	}
}

// TestLines: lines count by their effective width beside plots.
func TestLines(t *testing.T) {
	w := fieldworktest.HalfNormalLines(t)
	const day = "2031-05-01"
	for i := range 8 {
		id := fmt.Sprint("p", i)
		w.Plot(t, "burn", id, day)
		w.Find(t, id, day, 1, int64(1+i%2), survey.Saprotrophic, "spruce")
	}
	a, s, known := answer(t, w, nil)
	line := a.row(t, result.Line, "burn", survey.Counted)
	want, _ := known.Densities.Of(result.Line, "burn", result.All)
	if line.Density.Value.Value != want.Value || !(line.Weight.Value > 0 && line.Weight.Value < 100) {
		t.Errorf("lines: %+v, density %v", line, want.Value)
	}
	share := line.Weight.Value / 100
	statstest.Relative(t, "burn", a.row(t, result.All, "burn", survey.Counted).Density.Value.Value, share*want.Value+(1-share)*150, 1e-6)
	for _, section := range a.Sections(page.UnitsOf(s.Settings)) {
		drawn(t, section, page.UnitsOf(s.Settings))
	}
}

func drawn(t *testing.T, s page.Section, u page.Units) {
	t.Helper()
	figures := []*page.Figure{s.Figure}
	for _, p := range s.Appendix {
		figures = append(figures, p.Figures...)
	}
	for _, f := range figures {
		if f == nil {
			continue
		}
		if f.Draw(u); f.Err() != nil {
			t.Errorf("%s: %v", f.Name, f.Err())
		}
	}
}

// TestEmptyLines: lines along which nothing was found are alone in a stratum, beside
// plots and strips in another.
func TestEmptyLines(t *testing.T) {
	w := plotsAndStrips(t, 1)
	w.Strata = append(w.Strata, survey.Stratum{Stratum: "far", AreaHa: fieldworktest.Known(10)})
	w.Line(t, "far", "L1", 200)
	w.Line(t, "far", "L2", 200)
	w.Line(t, "burn", "L3", 200)
	a, _, _ := answer(t, w, nil)
	if r := a.row(t, result.All, "far", survey.Counted); r.Density.Value.Value != 0 || r.Methods != result.Line {
		t.Errorf("far: %+v", r)
	}
	if r := a.row(t, result.All, "burn", survey.Counted); r.Methods != "plot+strip" {
		t.Errorf("burn: %+v", r)
	}
}
