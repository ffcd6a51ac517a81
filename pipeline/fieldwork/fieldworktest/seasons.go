package fieldworktest

import (
	"fmt"
	"testing"

	"ashtally/pipeline/survey"
)

// Seasons has 40 plots of 0.01 ha in each of two strata of 2 ha, one burned
// in 2030 and one not, searched by two observers in so many seasons. What was
// found is the same in all seasons.
func Seasons(t testing.TB, seasons int) World {
	t.Helper()
	w := New()
	w.Strata[0].AreaHa, w.Strata[1].AreaHa = Known(2), Known(2)
	for _, stratum := range []string{"burn", "green"} {
		for i := range 40 {
			w.Plots = append(w.Plots, survey.Plot{Plot: fmt.Sprint(stratum, i), Stratum: stratum, AreaM2: Known(100), Laid: survey.Horizontal})
		}
	}
	for year := range seasons {
		day := fmt.Sprintf("%d-05-01", 2031+year)
		for i := range 80 {
			id := fmt.Sprint([]string{"burn", "green"}[i/40], i%40)
			w.Visit(t, id, day, 1)
			w.Visits[len(w.Visits)-1].Observers = "Ada;Ben"
			for at, who := range []string{"Ada;Ben", "Ada", "Ben"} {
				if n := int64(i * i % 13 % 6 / (at + 1)); n > 0 {
					w.Find(t, id, day, 1, n, survey.Saprotrophic, "spruce")
					w.Finds[len(w.Finds)-1].SeenBy = who
				}
			}
		}
	}
	return w
}
