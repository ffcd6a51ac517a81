package ingest

import (
	"math"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
)

// TestAreas holds the areas to sums done by hand. On a slope of 75 % the sides
// of the triangle are 3, 4 and 5, so that 5 m along it are 4 m on the map.
func TestAreas(t *testing.T) {
	steep := of(75)
	plots := []struct {
		plot survey.Plot
		want float64
	}{
		{survey.Plot{RadiusM: of(2)}, 4 * math.Pi},
		{survey.Plot{LengthM: of(10), WidthM: of(4)}, 40},
		{survey.Plot{AreaM2: of(30)}, 30},
		{survey.Plot{AreaM2: of(30), SlopePercent: steep, Laid: survey.Horizontal}, 30},
		{survey.Plot{AreaM2: of(30), SlopePercent: steep, Laid: survey.AlongSlope}, 24},
		{survey.Plot{}, 0},
	}
	for _, tt := range plots {
		if got := plotAreaM2(&tt.plot); math.Abs(got-tt.want) > 1e-12 {
			t.Errorf("plotAreaM2(%+v) = %v, want %v", tt.plot, got, tt.want)
		}
	}
	strip := survey.Transect{Kind: survey.Strip, LengthM: of(50), HalfWidthM: of(2)}
	if got := stripAreaM2(&strip); got != 200 {
		t.Errorf("a strip of 50 m and two sides of 2 m is %v m2", got)
	}
	strip.Sides, strip.SlopePercent, strip.Laid = column.Count(1), steep, survey.AlongSlope
	if got := stripAreaM2(&strip); math.Abs(got-80) > 1e-12 {
		t.Errorf("one side of it along a slope of 75 %% is %v m2, want 80", got)
	}
	strip.Kind = survey.Line
	if got := stripAreaM2(&strip); got != 0 {
		t.Errorf("a line has a searched area of %v m2", got)
	}
}
