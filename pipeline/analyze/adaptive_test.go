package analyze

import (
	"math"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
)

// gridPlot adds a plot of a grid, and one visit to it.
func (w *world) gridPlot(t *testing.T, stratum, id string, added bool, network string) {
	w.plot(t, stratum, id, "2031-05-01")
	p := &w.plots[len(w.plots)-1]
	p.Added, p.Network = column.Bool{Value: added, Known: true}, network
}

// thompsonsWorld is the draw of the first and fourth plot of Thompson's small
// population 1, 0, 2, 10, 1000 (Thompson 1990): plots of 100 m2, five of which
// make the stratum. The edge plot and the last were added. Three plots of
// another stratum are none of a grid.
func thompsonsWorld(t *testing.T) world {
	w := newWorld()
	w.strata[0].AreaHa = known1(0.05)
	w.gridPlot(t, "burn", "B1", false, "")
	w.gridPlot(t, "burn", "B3", true, "")
	w.gridPlot(t, "burn", "B4", false, "a")
	w.gridPlot(t, "burn", "B5", true, "a")
	for _, f := range []struct {
		unit string
		n    int64
		mode string
	}{{"B1", 1, survey.Saprotrophic}, {"B3", 2, survey.Saprotrophic}, {"B4", 4, survey.Saprotrophic}, {"B4", 6, survey.HostAssociated},
		{"B5", 900, survey.Saprotrophic}, {"B5", 100, survey.HostAssociated}} {
		w.find(t, f.unit, "2031-05-01", 1, f.n, f.mode, "spruce")
	}
	for _, id := range []string{"G1", "G2", "G3"} {
		w.plot(t, "green", id, "2031-05-01")
		w.find(t, id, "2031-05-01", 1, 3, survey.Saprotrophic, "birch")
	}
	return w
}

func TestAdaptiveDensities(t *testing.T) {
	r := thompsonsWorld(t).answer(t)
	burn := row(t, r.Density, fieldwork.Pooled(AdaptiveMethod, "burn"))
	// Thompson's table has 289.0714 and a variance of 24866.76 for this draw, per
	// plot of 0.01 ha.
	wantNear(t, "density", burn.Value, 28907.14286, 1e-7)
	wantNear(t, "standard error", burn.SE, 100*math.Sqrt(24866.76224), 1e-7)
	if burn.Units.Value != 4 || burn.Finds.Value != 1013 || math.Abs(burn.SearchedHa.Value-0.04) > 1e-12 || burn.Interval != "log-t-networks" {
		t.Errorf("burn: %+v", burn)
	}
	land := row(t, r.Density, fieldwork.Pooled(AdaptiveMethod, Reached))
	if land.Value != burn.Value || !hasWarning(land, "land-not-reached") {
		t.Errorf("land: %+v", land)
	}
	if green := row(t, r.Density, fieldwork.Pooled(AdaptiveMethod, "green")); green.Value.Known || !hasWarning(green, "no-units") {
		t.Errorf("green: %+v", green)
	}
	wantDensity(t, row(t, r.Density, fieldwork.Key{Method: AdaptiveMethod, Stratum: "burn", Years: "1", Mode: All, Tree: All, Taxon: All}), burn.Value.Value)
	// 106 of a host in the network of two, in the same chance of 0.7.
	wantNear(t, "host-associated", row(t, r.Density, fieldwork.Key{Method: AdaptiveMethod, Stratum: "burn", Years: All, Mode: survey.HostAssociated, Tree: All, Taxon: All}).Value, 106/0.7/0.05, 1e-12)
	wantDensity(t, row(t, r.Density, fieldwork.Key{Method: AdaptiveMethod, Stratum: "burn", Years: All, Mode: All, Tree: "birch", Taxon: All}), 0)
}

// The added plots are in no row of the plots, whatever it is about.
func TestAddedPlotsAreNoPlots(t *testing.T) {
	r := thompsonsWorld(t).answer(t)
	plots := row(t, r.Density, fieldwork.Pooled(PlotMethod, "burn"))
	if plots.Units.Value != 2 || plots.Finds.Value != 11 {
		t.Errorf("plots: %+v", plots)
	}
	wantDensity(t, plots, 550)
	for _, c := range r.Comparison {
		if c.Method == PlotMethod && c.Stratum == "burn" && c.Units.Value != 2 || c.Method == AddedMethod {
			t.Errorf("comparison: %+v", c)
		}
	}
}

// Two seasons of the same plots are one draw, of their mean.
func TestAdaptiveSeasons(t *testing.T) {
	w := thompsonsWorld(t)
	for _, id := range []string{"B1", "B3", "B4", "B5"} {
		w.visit(t, id, "2032-05-01", 1)
	}
	w.find(t, "B5", "2032-05-01", 1, 20, survey.Saprotrophic, "spruce")
	r := w.answer(t)
	both := row(t, r.Density, fieldwork.Pooled(AdaptiveMethod, "burn"))
	wantNear(t, "both", both.Value, (1030./2/0.7+1./2/0.4)/0.05, 1e-12)
	if both.Units.Value != 8 || !hasWarning(both, "seasons-pooled") {
		t.Errorf("%+v", both)
	}
	wantNear(t, "second", row(t, r.Density, fieldwork.Key{Method: AdaptiveMethod, Stratum: "burn", Years: "2", Mode: All, Tree: All, Taxon: All}).Value, 20/0.7/0.05, 1e-12)
}

func wantNear(t *testing.T, what string, got column.Float, want, digits float64) {
	t.Helper()
	if !got.Known || math.Abs(got.Value-want) > digits*math.Abs(want) {
		t.Errorf("%s is %v, want %v", what, got, want)
	}
}
