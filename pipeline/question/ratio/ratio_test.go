package ratio

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate/transect"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/question/questiontest"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
)

// taken is a survey with its rows.
type taken struct {
	season *fieldwork.Season
	lines  *transect.Lines
	Answer
}

func ask(t *testing.T, w fieldworktest.World) taken {
	t.Helper()
	s := w.Season(t)
	known := questiontest.WithLines(t, s)
	a := questiontest.Ask(t, Ask, s, known)
	return taken{s, known.Lines, a}
}

// row is the one row of a comparison by a method.
func (a Answer) row(t *testing.T, comparison, method, stratum, years, tree string) Row {
	t.Helper()
	var found []Row
	for _, r := range a.rows {
		if r.Comparison == comparison && r.Method == method && r.Stratum == stratum && r.Years == years && r.Tree == tree {
			found = append(found, r)
		}
	}
	if len(found) != 1 {
		t.Fatalf("%d rows of %s by %s in %s, %s, %s", len(found), comparison, method, stratum, years, tree)
	}
	return found[0]
}

// whole is the row of all strata, years and trees.
func (a Answer) whole(t *testing.T, method string) Row {
	t.Helper()
	return a.row(t, hostToSapro, method, result.All, result.All, result.All)
}

// threeModes has eight plots in each stratum: in the burn 2 saprotrophic fruit bodies a
// plot by spruce, and by turns 1 or 3 host-associated ones by spruce or birch; in the
// green 1 saprotrophic, 2 host-associated by birch and, on every other plot, 1 that was
// called neither.
func threeModes(t *testing.T) fieldworktest.World {
	w := fieldworktest.New()
	const day = "2031-05-01"
	for i := range 8 {
		burn, green := fmt.Sprint("b", i), fmt.Sprint("g", i)
		w.Plot(t, "burn", burn, day)
		w.Plot(t, "green", green, day)
		w.Find(t, burn, day, 1, 2, survey.Saprotrophic, "spruce")
		w.Find(t, burn, day, 1, int64(1+2*(i%2)), survey.HostAssociated, []string{"spruce", "birch"}[i%2])
		w.Find(t, green, day, 1, 1, survey.Saprotrophic, "spruce")
		w.Find(t, green, day, 1, 2, survey.HostAssociated, "birch")
		if i%2 == 0 {
			w.Find(t, green, day, 1, 1, survey.Undetermined, "birch")
		}
	}
	return w
}

// TestRatios by hand: densities per plot, strata weighted by 30 and 10 ha.
func TestRatios(t *testing.T) {
	a := ask(t, threeModes(t))
	questiontest.Near(t, "the area", a.whole(t, result.Plot).Ratio.Value, (30*2+10*2)/(30*2.+10*1))
	questiontest.Near(t, "burn", a.row(t, hostToSapro, result.Plot, "burn", result.All, result.All).Ratio.Value, 1)
	questiontest.Near(t, "green", a.row(t, hostToSapro, result.Plot, "green", result.All, result.All).Ratio.Value, 2)
	questiontest.Near(t, "1 year", a.row(t, hostToSapro, result.Plot, result.All, "1", result.All).Ratio.Value, 1)
	questiontest.Near(t, "unburned", a.row(t, hostToSapro, result.Plot, result.All, result.Unburned, result.All).Ratio.Value, 2)
	questiontest.Near(t, "by spruce", a.row(t, hostToSapro, result.Plot, result.All, result.All, "spruce").Ratio.Value, 30*0.5/(30*2.+10*1))
	if birch := a.row(t, hostToSapro, result.Plot, result.All, "1", "birch"); birch.Ratio.Value.Known || birch.FirstFinds.Value != 12 || birch.BaseFinds.Value != 0 || len(birch.Warnings) == 0 {
		t.Errorf("by birch, without saprotrophic finds: %+v", birch)
	}
	whole := a.whole(t, result.Plot)
	if whole.FirstFinds.Value != 32 || whole.BaseFinds.Value != 24 || whole.Units.Value != 16 || !(whole.Ratio.Lower.Value < whole.Ratio.Value.Value && whole.Ratio.Value.Value < whole.Ratio.Upper.Value) {
		t.Errorf("%+v", whole)
	}
	questiontest.Near(t, "undetermined", a.row(t, undeterminedShare, result.Plot, result.All, result.All, result.All).Ratio.Value, 10*0.5/(30*4.+10*3.5))
	questiontest.Near(t, "undetermined in green", a.row(t, undeterminedShare, result.Plot, "green", result.All, result.All).Ratio.Value, 0.5/3.5)
	questiontest.Near(t, "undetermined, unburned", a.row(t, undeterminedShare, result.Plot, result.All, result.Unburned, result.All).Ratio.Value, 0.5/3.5)
}

// TestFamilies: p-values are adjusted over the strata, years or trees that they belong
// to by Holm's method, and the ratio of the area by none.
func TestFamilies(t *testing.T) {
	a := ask(t, threeModes(t))
	whole := a.whole(t, result.Plot)
	if !whole.P.Known || whole.PAdjusted != whole.P {
		t.Errorf("the area: p %v, adjusted %v", whole.P, whole.PAdjusted)
	}
	burn, green := a.row(t, hostToSapro, result.Plot, "burn", result.All, result.All), a.row(t, hostToSapro, result.Plot, "green", result.All, result.All)
	least, most := min(burn.P.Value, green.P.Value), max(burn.P.Value, green.P.Value)
	if got := min(burn.PAdjusted.Value, green.PAdjusted.Value); math.Abs(got-min(2*least, 1)) > 1e-12 {
		t.Errorf("the smaller of two p, %v, becomes %v", least, got)
	}
	if got := max(burn.PAdjusted.Value, green.PAdjusted.Value); math.Abs(got-max(2*least, most)) > 1e-12 && got != 1 {
		t.Errorf("the larger of two p, %v, becomes %v", most, got)
	}
	if !strings.Contains(burn.Adjustment, "strata") {
		t.Errorf("adjusted by %q", burn.Adjustment)
	}
}

// twoFires has plots in a stratum of each of two fires, with finds by a rule; a count of
// 0 is no find.
func twoFires(t *testing.T, plots int, finds func(mode, tree string) int64) fieldworktest.World {
	w := fieldworktest.New()
	w.Strata = []survey.Stratum{{Stratum: "young", AreaHa: fieldworktest.Known(30), FireDate: "2030"}, {Stratum: "old", AreaHa: fieldworktest.Known(10), FireDate: "2027"}}
	for _, s := range w.Strata {
		for i := range plots {
			id := fmt.Sprintf("%s %02d", s.Stratum, i)
			w.Plot(t, s.Stratum, id, "2031-05-01")
			for _, mode := range []string{survey.Saprotrophic, survey.HostAssociated, survey.Undetermined} {
				for _, tree := range []string{"birch", "fir", ""} {
					if n := finds(mode, tree); n > 0 {
						w.Find(t, id, "2031-05-01", 1, n, mode, tree)
					}
				}
			}
		}
	}
	return w
}

// TestTests: a comparison of a kind without finds has a p too: 2 of the 2⁸ sign patterns
// of eight plots; one of a single plot in each stratum has none below 1.
func TestTests(t *testing.T) {
	whole := ask(t, twoFires(t, 4, func(mode, tree string) int64 {
		if mode == survey.Saprotrophic && tree == "fir" {
			return 1
		}
		return 0
	})).whole(t, result.Plot)
	if whole.P.Value != 2.0/256 || whole.Test != result.AllSigns || whole.WaldP.Known {
		t.Errorf("%+v", whole)
	}
	for _, r := range ask(t, twoFires(t, 1, func(string, string) int64 { return 9 })).rows {
		if r.Comparison == hostToSapro && r.P.Known && r.P.Value < 1 {
			t.Errorf("%+v", r)
		}
	}
}

// densities are those of both modes along lines, by the detection function.
func (a taken) densities(t *testing.T, stratum, years, tree string) (host, sapro stats.Estimate) {
	t.Helper()
	var members []fieldwork.Domain
	for _, d := range a.lines.Domains {
		if d.Years == years && (fieldwork.OverStrata(stratum) || a.season.Strata[d.Stratum].Name == stratum) {
			members = append(members, d)
		}
	}
	c := a.season.Subgroups()
	list, err := a.lines.BySubgroup(context.Background(), members, c)
	if err != nil {
		t.Fatal(err)
	}
	of := func(mode string) stats.Estimate {
		return list[slices.Index(c.List, fieldwork.Subgroup{Mode: mode, Tree: tree, Taxon: result.All})].Estimate
	}
	return of(survey.HostAssociated), of(survey.Saprotrophic)
}

// TestAlongLines: with one detection function the ratio of finds is that of densities,
// on strata by area.
func TestAlongLines(t *testing.T) {
	a := ask(t, fieldworktest.HalfNormalLines(t))
	ratios := 0
	for _, r := range a.rows {
		if r.Comparison != hostToSapro || !r.Ratio.Value.Known {
			continue
		}
		ratios++
		host, sapro := a.densities(t, r.Stratum, r.Years, r.Tree)
		questiontest.Near(t, fmt.Sprint(r.Stratum, r.Years, r.Tree), r.Ratio.Value, host.Value/sapro.Value)
		if !questiontest.Warns(r.Warnings, "detection-alike") {
			t.Errorf("%+v", r)
		}
	}
	if ratios < 4 {
		t.Errorf("%d ratios along lines", ratios)
	}
}

// TestModesDetectedApart: with the mode among the covariates the ratio is that of the
// corrected densities, its variance takes in that of the function, and the test is
// Wald's.
func TestModesDetectedApart(t *testing.T) {
	w := fieldworktest.HalfNormalLines(t)
	for i := range w.Finds { // by chance, not in turn, so that lines differ
		if w.Finds[i].Mode = survey.Saprotrophic; i*i*i%11 < 5 {
			w.Finds[i].Mode = survey.HostAssociated
			w.Finds[i].DistanceM.Value /= 2.5
		}
	}
	crude := ask(t, w).whole(t, result.Line)
	w.Settings.Lines.Covariates = []string{survey.OfMode}
	a := ask(t, w)
	r := a.whole(t, result.Line)
	if r.Ratio.Interval != "log-t" || r.Test != result.WaldTest {
		t.Fatalf("%+v", r)
	}
	host, sapro := a.densities(t, result.All, result.All, result.All)
	questiontest.Near(t, "ratio", r.Ratio.Value, host.Value/sapro.Value)
	if !(r.Ratio.Value.Value > 1.5*crude.Ratio.Value.Value) || !(r.Ratio.CV.Value > crude.Ratio.CV.Value) {
		t.Errorf("%+v, without the covariate %+v", r.Ratio, crude.Ratio)
	}
	if questiontest.Warns(r.Warnings, "detection-alike") {
		t.Errorf("a function of the mode is said to be shared: %v", r.Warnings)
	}
}

// TestReached: what strips that reached 42 of 9,070 ha say over strata is labelled so,
// with its share; what the plots say is of all.
func TestReached(t *testing.T) {
	pooled := 0
	for _, r := range ask(t, fieldworktest.Reaching(t)).rows {
		switch {
		case !fieldwork.OverStrata(r.Stratum):
		case r.Method == result.Plot && r.Stratum != result.All:
			t.Errorf("plots are in every stratum, and the row is of %q", r.Stratum)
		case r.Method == result.Strip && r.Stratum != result.Reached:
			t.Errorf("strips are in one stratum, and the row is of %q", r.Stratum)
		case r.Method == result.Strip:
			pooled++
			if !strings.Contains(result.WarningsCell(r.Warnings), fieldworktest.ShareOfReach) {
				t.Errorf("the share is not told: %s", result.WarningsCell(r.Warnings))
			}
		}
	}
	if pooled == 0 {
		t.Error("no row of what strips reached")
	}
}

// TestStratumOfOneUnit: a stratum of one unit, or of one site of three, takes the
// interval from nothing, and the row says with which it was collapsed.
func TestStratumOfOneUnit(t *testing.T) {
	for _, hollow := range []int{1, 3} {
		for _, with := range []string{"burn", "green"} {
			w := fieldworktest.SingleUnitStratum(t, hollow)
			if with == "green" { // the burn is the nearest in density
				w.Settings.SingleUnitStrata = map[string]string{"hollow": "green"}
			}
			a := ask(t, w)
			whole := a.whole(t, result.Plot)
			if !whole.Ratio.Upper.Known {
				t.Errorf("%+v", whole)
			}
			fieldworktest.Collapsed(t, "ratio", with, whole.Warnings)
			if own := a.row(t, hostToSapro, result.Plot, "hollow", result.All, result.All); own.Ratio.Lower.Known && own.Ratio.Interval != "binomial-exact" {
				t.Errorf("the hollow's own ratio: %+v", own)
			}
		}
	}
	fieldworktest.Collapsed(t, "ratio along lines", "burn", ask(t, fieldworktest.SingleLineStratum(t)).whole(t, result.Line).Warnings)
}

// TestAddedPlots are in no ratio of plots, and make none of their own.
func TestAddedPlots(t *testing.T) {
	w := threeModes(t)
	for i := range w.Plots {
		w.Plots[i].Added = column.Bool{Value: i >= 12, Known: true}
		w.Plots[i].Network = fmt.Sprint("n", i/4)
	}
	a := ask(t, w)
	if r := a.row(t, hostToSapro, result.Plot, "burn", result.All, result.All); r.Units.Value != 6 {
		t.Errorf("%+v", r)
	}
	for _, r := range a.rows {
		if r.Method != result.Plot {
			t.Errorf("%+v", r)
		}
	}
}

// TestUnsampled: a stratum that a method did not reach has a row with a reason.
func TestUnsampled(t *testing.T) {
	w := fieldworktest.New()
	w.Plot(t, "burn", "P", "2031-05-01")
	a := ask(t, w)
	for _, comparison := range []string{hostToSapro, undeterminedShare} {
		if r := a.row(t, comparison, result.Plot, "green", result.All, result.All); r.Ratio.Value.Known || r.P.Known || !questiontest.Warns(r.Warnings, "no-units") {
			t.Errorf("%+v", r)
		}
	}
}

// TestOrderOfRowsDoesNotMatter turns the rows of all sheets.
func TestOrderOfRowsDoesNotMatter(t *testing.T) {
	w := threeModes(t)
	want := fmt.Sprint(ask(t, w).rows)
	slices.Reverse(w.Plots)
	slices.Reverse(w.Visits)
	slices.Reverse(w.Finds)
	if got := fmt.Sprint(ask(t, w).rows); got != want {
		t.Error("the ratios change with the order of the rows")
	}
}
