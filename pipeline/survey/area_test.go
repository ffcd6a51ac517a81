package survey

import (
	"math"
	"testing"

	"ashtally/pipeline/column"
)

// TestAreas holds the areas to sums done by hand. On a slope of 75 % the sides
// of the triangle are 3, 4 and 5, so that 5 m along it are 4 m on the map.
func TestAreas(t *testing.T) {
	steep := of(75)
	plots := []struct {
		plot Plot
		want float64
	}{
		{Plot{RadiusM: of(2)}, 4 * math.Pi},
		{Plot{LengthM: of(10), WidthM: of(4)}, 40},
		{Plot{AreaM2: of(30)}, 30},
		{Plot{AreaM2: of(30), SlopePercent: steep, Laid: Horizontal}, 30},
		{Plot{AreaM2: of(30), SlopePercent: steep, Laid: AlongSlope}, 24},
		{Plot{}, 0},
	}
	for _, tt := range plots {
		if got := tt.plot.HorizontalM2(); math.Abs(got-tt.want) > 1e-12 {
			t.Errorf("%+v.HorizontalM2() = %v, want %v", tt.plot, got, tt.want)
		}
	}
	strip := Transect{Kind: Strip, LengthM: of(50), HalfWidthM: of(2)}
	if got := strip.HorizontalM2(); got != 200 {
		t.Errorf("a strip of 50 m and two sides of 2 m is %v m2", got)
	}
	strip.Sides, strip.SlopePercent, strip.Laid = column.Count(1), steep, AlongSlope
	if got := strip.HorizontalM2(); math.Abs(got-80) > 1e-12 {
		t.Errorf("one side of it along a slope of 75 %% is %v m2, want 80", got)
	}
	strip.Kind = Line
	if got := strip.HorizontalM2(); got != 0 {
		t.Errorf("a line has a searched area of %v m2", got)
	}
}

func of(v float64) column.Float { return column.Float{Value: v, Known: true} }
