package density

import "math"

// HorizontalArea is the area on the map of a unit that was measured out along
// the ground on a slope (rise over run, in percent):
//
//	area * cos(atan(slope/100))^n
//
// where n is the number of its dimensions that run downhill: 1 for a circle,
// and for a rectangle with one side along the slope (the other side is level);
// 0, by alongSlope false, for a unit that was laid out horizontally. A
// rectangle's one corrected dimension takes the factor once whichever side it
// is. The unit of the area is kept, and the sign of the slope does not matter.
//
// It panics on an area that is negative or a slope that is not a number.
func HorizontalArea(area, slopePercent float64, alongSlope bool) float64 {
	if !(area >= 0) || math.IsNaN(slopePercent) {
		panic("density: area is negative or slope not a number")
	}
	if !alongSlope {
		return area
	}
	return area * math.Cos(math.Atan(slopePercent/100))
}
