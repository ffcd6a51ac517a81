package analyze

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/strata"
)

// loneWorld has 20 plots on the burn's 60 ha, 12 on the green's 39 ha and, on the
// hollow's 1 ha, one site of so many plots, all searched by two observers in two
// seasons; the hollow has about as many finds as the burn.
func loneWorld(t *testing.T, hollow int) world {
	w := newWorld()
	w.settings.Missed.Model = survey.ByObserver
	w.strata = []survey.Stratum{
		{Stratum: "burn", AreaHa: known1(60), FireDate: "2030-08-01"}, {Stratum: "green", AreaHa: known1(39)},
		{Stratum: "hollow", AreaHa: known1(1), FireDate: "2030-08-01"},
	}
	plot := func(stratum, site string, i int, mean int64) {
		id := fmt.Sprint(stratum, i)
		w.plots = append(w.plots, survey.Plot{Plot: id, Stratum: stratum, Site: site, AreaM2: known1(100), Laid: survey.Horizontal})
		for year := range 2 {
			day := fmt.Sprintf("%d-05-01", 2031+year)
			w.visit(t, id, day, 1)
			w.visits[len(w.visits)-1].Observers = "Ada;Ben"
			for at, who := range []string{"Ada;Ben", "Ada", "Ben"} {
				for m, mode := range []string{survey.Saprotrophic, survey.HostAssociated} {
					n := mean * int64((i*i+3*m+year)%5) / int64(2*(at+1)*(year+1))
					if n == 0 {
						continue
					}
					w.find(t, id, day, 1, n, mode, "spruce")
					w.finds[len(w.finds)-1].SeenBy = who
					w.finds[len(w.finds)-1].MassG = known1(float64(n) * float64(9+i%3))
				}
			}
		}
	}
	for i := range 20 {
		plot("burn", "", i, 6)
	}
	for i := range 12 {
		plot("green", "", i, 2)
	}
	for i := range hollow {
		plot("hollow", "H", i+1, 8)
	}
	return w
}

func collapsedWith(t *testing.T, what, partner string, warnings []stats.Warning) {
	t.Helper()
	for _, w := range warnings {
		if w.Code == strata.CollapsedStrata.Code && strings.Contains(w.Text, "stratum hollow has one") && strings.Contains(w.Text, "with stratum "+partner) {
			return
		}
	}
	t.Errorf("%s does not say that hollow was collapsed with %s: %+v", what, partner, warnings)
}

// comparisonRow is the one row of a stratum that is pooled over all else.
func comparisonRow(t *testing.T, rows []ComparisonRow, comparison, stratum string) ComparisonRow {
	t.Helper()
	for _, r := range rows {
		if r.Comparison == comparison && r.Stratum == stratum && r.Years == All && r.Tree == All {
			return r
		}
	}
	t.Fatalf("no %s in %s", comparison, stratum)
	return ComparisonRow{}
}

// TestStratumOfOneUnit: a hundredth of the land in a stratum of one unit, or of
// one site of three, takes the interval from nothing, and every table says with
// which stratum it was collapsed.
func TestStratumOfOneUnit(t *testing.T) {
	for _, hollow := range []int{1, 3} {
		for _, with := range []string{"burn", "green"} {
			w := loneWorld(t, hollow)
			if with == "green" { // the burn is the nearest in density
				w.settings.SingleUnitStrata = map[string]string{"hollow": "green"}
			}
			r := w.answer(t)
			ratio := comparisonRow(t, r.Comparison, HostToSapro, All)
			if !ratio.Upper.Known {
				t.Errorf("comparison: %+v", ratio)
			}
			collapsedWith(t, "comparison", with, ratio.Warnings)
			if own := comparisonRow(t, r.Comparison, HostToSapro, "hollow"); own.Lower.Known && own.Interval != "binomial-exact" {
				t.Errorf("the hollow's own ratio: %+v", own)
			}
		}
	}
}

// TestLineOfOneStratum: the same of lines.
func TestLineOfOneStratum(t *testing.T) {
	w := newWorld()
	w.strata = []survey.Stratum{{Stratum: "burn", AreaHa: known1(60), FireDate: "2030-08-01"}, {Stratum: "hollow", AreaHa: known1(1), FireDate: "2030-08-01"}}
	for i := range 9 {
		stratum, id := "burn", fmt.Sprint("L", i)
		if i == 8 {
			stratum = "hollow"
		}
		w.transects = append(w.transects, survey.Transect{Transect: id, Stratum: stratum, Kind: survey.Line, LengthM: known1(100), Sides: column.Count(2), Laid: survey.Horizontal})
		w.visit(t, id, "2031-05-01", 1)
		for j := range 4 + i%3 {
			w.find(t, id, "2031-05-01", 1, 1, []string{survey.Saprotrophic, survey.HostAssociated}[(i+j)%2], "spruce")
			w.finds[len(w.finds)-1].DistanceM = known1(math.Mod(float64(i)*1.7+float64(j)*0.9, 5))
		}
	}
	r := w.answer(t)
	collapsedWith(t, "comparison of lines", "burn", comparisonRow(t, r.Comparison, HostToSapro, All).Warnings)
}
