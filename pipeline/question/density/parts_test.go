package density

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/question/questiontest"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
)

// TestStratumOfOneUnit: a hundredth of the land in a stratum of one unit, or of
// one site of three, takes the interval from nothing, and the rows say with which
// stratum it was collapsed.
func TestStratumOfOneUnit(t *testing.T) {
	whole := fieldworktest.SingleUnitStratum(t, 0)
	whole.Strata = whole.Strata[:2]
	without := ask(t, whole)
	for _, hollow := range []int{1, 3} {
		for _, with := range []string{"burn", "green"} {
			w := fieldworktest.SingleUnitStratum(t, hollow)
			if with == "green" { // the burn is the nearest in density
				w.Settings.SingleUnitStrata = map[string]string{"hollow": "green"}
			}
			r := ask(t, w)
			all, was := row(t, r, fieldwork.Headline(result.Plot)), row(t, without, fieldwork.Headline(result.Plot))
			if !(all.Density.CV.Value > 0.9*was.Density.CV.Value && all.Density.CV.Value < 1.2*was.Density.CV.Value) || !all.Density.Lower.Known || !all.Density.Upper.Known {
				t.Errorf("with %s: CV %v with the hollow, %v without; limits %v, %v", with, all.Density.CV, was.Density.CV, all.Density.Lower, all.Density.Upper)
			}
			fieldworktest.Collapsed(t, "density", with, all.Warnings)
			mode := fieldwork.Headline(result.Plot)
			mode.Mode = survey.HostAssociated
			fieldworktest.Collapsed(t, "density of a mode", with, row(t, r, mode).Warnings)
			own := row(t, r, fieldwork.Pooled(result.Plot, "hollow"))
			if own.Density.SE.Known || own.Density.Lower.Known || !questiontest.Warns(own.Warnings, "one-site") {
				t.Errorf("the hollow's own row: %+v", own)
			}
		}
	}
}

// TestBurnedGroundCollapsed: of burned ground alone the hollow is collapsed with
// the burn, whatever else lies nearer.
func TestBurnedGroundCollapsed(t *testing.T) {
	w := fieldworktest.SingleUnitStratum(t, 1)
	w.Settings.SingleUnitStrata = map[string]string{"hollow": "green"}
	s, known := asked(t, w)
	burned := slices.DeleteFunc(s.Domains(result.Plot, s.UnitSeasons()), func(f fieldwork.Domain) bool {
		return f.Years != result.All || s.Strata[f.Stratum].Ground() != result.Burned
	})
	d, err := known.Densities.Over(context.Background(), burned, s.Settings.Confidence)
	if err != nil || math.IsNaN(d.SE) {
		t.Errorf("%+v, %v", d, err)
	}
	fieldworktest.Collapsed(t, "density of burned ground", "burn", d.Warnings)
}

// TestLineOfOneStratum: the same of lines.
func TestLineOfOneStratum(t *testing.T) {
	r := ask(t, fieldworktest.SingleLineStratum(t))
	all := row(t, r, fieldwork.Headline(result.Line))
	if !all.Density.SE.Known || !all.Density.Upper.Known {
		t.Errorf("%+v", all)
	}
	fieldworktest.Collapsed(t, "density of lines", "burn", all.Warnings)
	if own := row(t, r, fieldwork.Pooled(result.Line, "hollow")); own.Density.SE.Known || !questiontest.Warns(own.Warnings, "one-transect") {
		t.Errorf("%+v", own)
	}
}

// TestGroundOfSeasons: plots on a fifth of each stratum, searched again in other
// seasons with the same finds, tell no more of the strata than they did at first.
func TestGroundOfSeasons(t *testing.T) {
	first := ask(t, fieldworktest.Seasons(t, 1))
	for seasons := 2; seasons <= 6; seasons++ {
		r := ask(t, fieldworktest.Seasons(t, seasons))
		for _, key := range []fieldwork.Key{fieldwork.Headline(result.Plot), fieldwork.Pooled(result.Plot, "burn"), fieldwork.Pooled(result.Plot, "green"),
			{Method: result.Plot, Stratum: "green", Years: result.Unburned, Mode: result.All, Tree: result.All, Taxon: result.All}} {
			was, is := row(t, first, key), row(t, r, key)
			name := fmt.Sprintf("%s in %d seasons", key.Stratum, seasons)
			nearly(t, name+": density", is.Density.Value.Value, was.Density.Value.Value, 1e-12)
			nearly(t, name+": standard error", is.Density.SE.Value, was.Density.SE.Value, 1e-9)
			nearly(t, name+": ground", is.SearchedHa.Value, was.SearchedHa.Value, 1e-12)
			if !(is.Density.Lower.Value < is.Density.Value.Value && is.Density.Value.Value < is.Density.Upper.Value) {
				t.Errorf("%s: limits %v, %v", name, is.Density.Lower, is.Density.Upper)
			}
		}
	}
}

// TestReached: what strips that reached 42 of 9,070 ha say over strata is labelled so,
// with its share; what the plots say is of all.
func TestReached(t *testing.T) {
	rows := ask(t, fieldworktest.Reaching(t))
	pooled := 0
	for _, r := range rows {
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
	d, own := row(t, rows, fieldwork.Pooled(result.Strip, result.Reached)), row(t, rows, fieldwork.Pooled(result.Strip, "bottoms"))
	if pooled == 0 || d.Density.Value != own.Density.Value || d.Density.Upper != own.Density.Upper {
		t.Errorf("one stratum was reached, and differs from it: %+v, %+v", d, own)
	}
}
