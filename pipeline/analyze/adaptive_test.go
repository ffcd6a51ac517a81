package analyze

import (
	"testing"

	"ashtally/pipeline/column"
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

// The added plots are in no row of the plots, whatever it is about.
func TestAddedPlotsAreNoPlots(t *testing.T) {
	r := thompsonsWorld(t).answer(t)
	for _, c := range r.Comparison {
		if c.Method == PlotMethod && c.Stratum == "burn" && c.Units.Value != 2 || c.Method == AddedMethod {
			t.Errorf("comparison: %+v", c)
		}
	}
}
