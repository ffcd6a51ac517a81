package analyze

import (
	"fmt"
	"testing"

	"ashtally/pipeline/survey"
)

// seasonsWorld has 40 plots of 0.01 ha in each of two strata of 2 ha, one burned
// in 2030 and one not, searched by two observers in so many seasons. What was
// found is the same in all seasons.
func seasonsWorld(t *testing.T, seasons int) world {
	w := newWorld()
	w.settings.Missed.Model = survey.ByObserver
	w.strata[0].AreaHa, w.strata[1].AreaHa = known1(2), known1(2)
	for _, stratum := range []string{"burn", "green"} {
		for i := range 40 {
			w.plots = append(w.plots, survey.Plot{Plot: fmt.Sprint(stratum, i), Stratum: stratum, AreaM2: known1(100), Laid: survey.Horizontal})
		}
	}
	for year := range seasons {
		day := fmt.Sprintf("%d-05-01", 2031+year)
		for i := range 80 {
			id := fmt.Sprint([]string{"burn", "green"}[i/40], i%40)
			w.visit(t, id, day, 1)
			w.visits[len(w.visits)-1].Observers = "Ada;Ben"
			for at, who := range []string{"Ada;Ben", "Ada", "Ben"} {
				if n := int64(i * i % 13 % 6 / (at + 1)); n > 0 {
					w.find(t, id, day, 1, n, survey.Saprotrophic, "spruce")
					w.finds[len(w.finds)-1].SeenBy = who
				}
			}
		}
	}
	return w
}

// TestGroundOfSeasons: plots on a fifth of each stratum, searched again in other
// seasons with the same finds, tell no more of the strata than they did at first.
func TestGroundOfSeasons(t *testing.T) {
	first := seasonsWorld(t, 1).answer(t)
	for seasons := 2; seasons <= 6; seasons++ {
		r := seasonsWorld(t, seasons).answer(t)
		was, is := correctedRow(t, first.Corrected, PlotMethod, All, All), correctedRow(t, r.Corrected, PlotMethod, All, All)
		between := func(c CorrectedRow) float64 { return c.FromUnits.Value * c.Corrected.SE.Value * c.Corrected.SE.Value }
		near(t, "corrected variance between units", between(is), between(was), 1e-9)
	}
}
