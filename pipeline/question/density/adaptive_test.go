package density

import (
	"math"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/question/questiontest"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
)

func TestAdaptiveDensities(t *testing.T) {
	r := ask(t, fieldworktest.Thompson(t))
	burn := row(t, r, fieldwork.Pooled(result.Adaptive, "burn"))
	// Thompson's table has 289.0714 and a variance of 24866.76 for this draw, per
	// plot of 0.01 ha.
	nearly(t, "density", burn.Density.Value.Value, 28907.14286, 1e-7)
	nearly(t, "standard error", burn.Density.SE.Value, 100*math.Sqrt(24866.76224), 1e-7)
	if burn.Units.Value != 4 || burn.Finds.Value != 1013 || math.Abs(burn.SearchedHa.Value-0.04) > 1e-12 || burn.Density.Interval != "log-t-networks" {
		t.Errorf("burn: %+v", burn)
	}
	land := row(t, r, fieldwork.Pooled(result.Adaptive, result.Reached))
	if land.Density.Value != burn.Density.Value || !questiontest.Warns(land.Warnings, "land-not-reached") {
		t.Errorf("land: %+v", land)
	}
	if green := row(t, r, fieldwork.Pooled(result.Adaptive, "green")); green.Density.Value.Known || !questiontest.Warns(green.Warnings, "no-units") {
		t.Errorf("green: %+v", green)
	}
	wantDensity(t, row(t, r, fieldwork.Key{Method: result.Adaptive, Stratum: "burn", Years: "1", Mode: result.All, Tree: result.All, Taxon: result.All}), burn.Density.Value.Value)
	// 106 of a host in the network of two, in the same chance of 0.7.
	nearly(t, "host-associated", row(t, r, fieldwork.Key{Method: result.Adaptive, Stratum: "burn", Years: result.All, Mode: survey.HostAssociated, Tree: result.All, Taxon: result.All}).Density.Value.Value, 106/0.7/0.05, 1e-12)
	wantDensity(t, row(t, r, fieldwork.Key{Method: result.Adaptive, Stratum: "burn", Years: result.All, Mode: result.All, Tree: "birch", Taxon: result.All}), 0)
}

// The added plots are in no row of the plots, whatever it is about.
func TestAddedPlotsAreNoPlots(t *testing.T) {
	r := ask(t, fieldworktest.Thompson(t))
	plots := row(t, r, fieldwork.Pooled(result.Plot, "burn"))
	if plots.Units.Value != 2 || plots.Finds.Value != 11 {
		t.Errorf("plots: %+v", plots)
	}
	wantDensity(t, plots, 550)
}

// Two seasons of the same plots are one draw, of their mean.
func TestAdaptiveSeasons(t *testing.T) {
	w := fieldworktest.Thompson(t)
	for _, id := range []string{"B1", "B3", "B4", "B5"} {
		w.Visit(t, id, "2032-05-01", 1)
	}
	w.Find(t, "B5", "2032-05-01", 1, 20, survey.Saprotrophic, "spruce")
	r := ask(t, w)
	both := row(t, r, fieldwork.Pooled(result.Adaptive, "burn"))
	nearly(t, "both", both.Density.Value.Value, (1030./2/0.7+1./2/0.4)/0.05, 1e-12)
	if both.Units.Value != 8 || !questiontest.Warns(both.Warnings, "seasons-pooled") {
		t.Errorf("%+v", both)
	}
	nearly(t, "second", row(t, r, fieldwork.Key{Method: result.Adaptive, Stratum: "burn", Years: "2", Mode: result.All, Tree: result.All, Taxon: result.All}).Density.Value.Value, 20/0.7/0.05, 1e-12)
}

func TestAdaptiveDoubts(t *testing.T) {
	for code, change := range map[string]func(w *fieldworktest.World){
		"network-incomplete": func(w *fieldworktest.World) {
			w.Plots = append(w.Plots, survey.Plot{Plot: "B6", Stratum: "burn", AreaM2: fieldworktest.Known(100), Laid: survey.Horizontal, Added: column.Bool{Value: true, Known: true}, Network: "a"})
		},
		"network-not-drawn": func(w *fieldworktest.World) { w.Plots[3].Network = "b" },
		"roadside-in-grid":  func(w *fieldworktest.World) { w.Plots[0].Roadside = column.Bool{Value: true, Known: true} },
		"sites-in-grid":     func(w *fieldworktest.World) { w.Plots[0].Site = "upper" },
		"no-networks": func(w *fieldworktest.World) {
			w.Plots[2].Network, w.Plots[3].Network = "", ""
		},
		"one-unit": func(w *fieldworktest.World) { w.Plots[0].Added.Value = true },
		"no-units": func(w *fieldworktest.World) { w.Plots[0].Added.Value, w.Plots[2].Added.Value = true, true },
	} {
		w := fieldworktest.Thompson(t)
		change(&w)
		r := ask(t, w)
		if burn := row(t, r, fieldwork.Pooled(result.Adaptive, "burn")); !questiontest.Warns(burn.Warnings, code) {
			t.Errorf("%s is not said: %s", code, result.WarningsCell(burn.Warnings))
		}
	}
}

// TestHansenHurwitz by hand: 25,300 per hectare from the same draw.
func TestHansenHurwitz(t *testing.T) {
	w := fieldworktest.Thompson(t)
	w.Settings.Adaptive.Estimator = survey.HansenHurwitz
	nearly(t, "density", row(t, ask(t, w), fieldwork.Pooled(result.Adaptive, "burn")).Density.Value.Value, 25300, 1e-12)
}

// A stratum without any plot of a grid has no row of adaptive cluster plots.
func TestNoAdaptivePlots(t *testing.T) {
	w := fieldworktest.New()
	w.Plot(t, "burn", "P1", "2031-05-01")
	for _, d := range ask(t, w) {
		if d.Method == result.Adaptive {
			t.Errorf("%+v", d)
		}
	}
}
