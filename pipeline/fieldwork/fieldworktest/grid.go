package fieldworktest

import (
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
)

// GridPlot adds a plot of a grid, drawn or added, and one visit to it.
func (w *World) GridPlot(t testing.TB, stratum, id string, added bool, network string) {
	t.Helper()
	w.Plot(t, stratum, id, "2031-05-01")
	p := &w.Plots[len(w.Plots)-1]
	p.Added, p.Network = column.Bool{Value: added, Known: true}, network
}

// Thompson is the draw of the first and fourth plot of the small population 1, 0,
// 2, 10, 1000 of Thompson (1990, JASA 85: 1050-1059): plots of 100 m2, five of
// which make the stratum. The edge plot and the last were added; some of the fruit
// bodies of the network are host-associated. Three plots of another stratum are none
// of a grid.
func Thompson(t testing.TB) World {
	t.Helper()
	w := New()
	w.Strata[0].AreaHa = Known(0.05)
	w.GridPlot(t, "burn", "B1", false, "")
	w.GridPlot(t, "burn", "B3", true, "")
	w.GridPlot(t, "burn", "B4", false, "a")
	w.GridPlot(t, "burn", "B5", true, "a")
	for _, f := range []struct {
		unit string
		n    int64
		mode string
	}{
		{"B1", 1, survey.Saprotrophic}, {"B3", 2, survey.Saprotrophic}, {"B4", 4, survey.Saprotrophic},
		{"B4", 6, survey.HostAssociated}, {"B5", 900, survey.Saprotrophic}, {"B5", 100, survey.HostAssociated},
	} {
		w.Find(t, f.unit, "2031-05-01", 1, f.n, f.mode, "spruce")
	}
	for _, id := range []string{"G1", "G2", "G3"} {
		w.Plot(t, "green", id, "2031-05-01")
		w.Find(t, id, "2031-05-01", 1, 3, survey.Saprotrophic, "birch")
	}
	return w
}
