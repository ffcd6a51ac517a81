package fieldworktest

import (
	"fmt"
	"math"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
)

// Line adds a line transect with a half-width of 4 m and one visit to it.
func (w *World) Line(t testing.TB, stratum, id string, lengthM float64) {
	t.Helper()
	w.Transects = append(w.Transects, survey.Transect{
		Transect: id, Stratum: stratum, Kind: survey.Line, LengthM: Known(lengthM), HalfWidthM: Known(4), Sides: column.Count(2), Laid: survey.Horizontal,
	})
	w.Visit(t, id, "2031-05-01", 1)
}

// Away adds a find of n fruit bodies at a distance from a line.
func (w *World) Away(t testing.TB, unit string, distanceM float64, n int64, mode, tree string) {
	t.Helper()
	w.Find(t, unit, "2031-05-01", 1, n, mode, tree).DistanceM = Known(distanceM)
}

// HalfNormalLines has six lines of 200 m in the burn and two of 100 m in the green,
// with the distances of a half-normal of scale 1.5 m placed by its quantiles.
func HalfNormalLines(t testing.TB) World {
	t.Helper()
	w := New()
	for i := range 6 {
		w.Line(t, "burn", fmt.Sprint("B", i), 200)
	}
	w.Line(t, "green", "G0", 100)
	w.Line(t, "green", "G1", 100)
	modes := []string{survey.Saprotrophic, survey.Saprotrophic, survey.HostAssociated}
	for i := range 60 {
		on := fmt.Sprint("B", i*i%7%6)
		if i%10 == 3 {
			on = fmt.Sprint("G", i/10%2)
		}
		x := 1.5 * math.Sqrt2 * math.Erfinv((float64(i)+0.5)/60*math.Erf(4/1.5/math.Sqrt2))
		w.Away(t, on, x, 1+int64(i%2), modes[i%3], []string{"spruce", "birch"}[i%2])
	}
	return w
}
