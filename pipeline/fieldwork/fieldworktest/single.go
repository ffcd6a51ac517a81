package fieldworktest

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

// SingleUnitStratum has 20 plots on the burn's 60 ha, 12 on the green's 39 ha and, on the
// hollow's 1 ha, one site of so many plots, all searched by two observers in two
// seasons; the hollow has about as many finds as the burn.
func SingleUnitStratum(t testing.TB, hollow int) World {
	t.Helper()
	w := New()
	w.Settings.Missed.Model = survey.ByObserver
	w.Strata = []survey.Stratum{
		{Stratum: "burn", AreaHa: Known(60), FireDate: "2030-08-01"}, {Stratum: "green", AreaHa: Known(39)},
		{Stratum: "hollow", AreaHa: Known(1), FireDate: "2030-08-01"},
	}
	plot := func(stratum, site string, i int, mean int64) {
		id := fmt.Sprint(stratum, i)
		w.Plots = append(w.Plots, survey.Plot{Plot: id, Stratum: stratum, Site: site, AreaM2: Known(100), Laid: survey.Horizontal})
		for year := range 2 {
			day := fmt.Sprintf("%d-05-01", 2031+year)
			w.Visit(t, id, day, 1)
			w.Visits[len(w.Visits)-1].Observers = "Ada;Ben"
			for at, who := range []string{"Ada;Ben", "Ada", "Ben"} {
				for m, mode := range []string{survey.Saprotrophic, survey.HostAssociated} {
					n := mean * int64((i*i+3*m+year)%5) / int64(2*(at+1)*(year+1))
					if n == 0 {
						continue
					}
					w.Find(t, id, day, 1, n, mode, "spruce")
					w.Finds[len(w.Finds)-1].SeenBy = who
					w.Finds[len(w.Finds)-1].MassG = Known(float64(n) * float64(9+i%3))
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

// Collapsed holds warnings to say that the hollow of [SingleUnitStratum] or of
// [SingleLineStratum] was collapsed with another stratum.
func Collapsed(t testing.TB, what, partner string, warnings []stats.Warning) {
	t.Helper()
	for _, w := range warnings {
		if w.Code == strata.CollapsedStrata.Code && strings.Contains(w.Text, "stratum hollow has one") && strings.Contains(w.Text, "with stratum "+partner) {
			return
		}
	}
	t.Errorf("%s does not say that hollow was collapsed with %s: %+v", what, partner, warnings)
}

// SingleLineStratum has eight lines on the burn's 60 ha and one on the hollow's 1 ha.
func SingleLineStratum(t testing.TB) World {
	t.Helper()
	w := New()
	w.Strata = []survey.Stratum{{Stratum: "burn", AreaHa: Known(60), FireDate: "2030-08-01"}, {Stratum: "hollow", AreaHa: Known(1), FireDate: "2030-08-01"}}
	for i := range 9 {
		stratum, id := "burn", fmt.Sprint("L", i)
		if i == 8 {
			stratum = "hollow"
		}
		w.Transects = append(w.Transects, survey.Transect{Transect: id, Stratum: stratum, Kind: survey.Line,
			LengthM: Known(100), Sides: column.Count(2), Laid: survey.Horizontal})
		w.Visit(t, id, "2031-05-01", 1)
		for j := range 4 + i%3 {
			w.Find(t, id, "2031-05-01", 1, 1, []string{survey.Saprotrophic, survey.HostAssociated}[(i+j)%2], "spruce")
			w.Finds[len(w.Finds)-1].DistanceM = Known(math.Mod(float64(i)*1.7+float64(j)*0.9, 5))
		}
	}
	return w
}
