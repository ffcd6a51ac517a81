package ingest

import (
	"math"
	"strconv"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
)

// These areas only serve to hold the searched area against the stratum's; the
// estimates work out their own from the same columns.

// plotAreaM2 is the horizontal area of a plot; 0 where it has no size.
func plotAreaM2(p *survey.Plot) float64 {
	area := p.AreaM2.Value
	switch {
	case p.RadiusM.Known:
		area = math.Pi * p.RadiusM.Value * p.RadiusM.Value
	case p.LengthM.Known:
		area = p.LengthM.Value * p.WidthM.Value
	}
	return level(area, p.SlopePercent, p.Laid)
}

// stripAreaM2 is the horizontal area of a strip; 0 for a line, whose searched
// area only an estimate can tell.
func stripAreaM2(t *survey.Transect) float64 {
	if t.Kind != survey.Strip {
		return 0
	}
	return level(t.LengthM.Value*t.HalfWidthM.Value*float64(t.Sides.Or(2)), t.SlopePercent, t.Laid)
}

// level brings an area that was taped along the slope to the map: it is
// divided by the length of slope over one metre of map.
func level(area float64, slope column.Float, laid string) float64 {
	if laid != survey.AlongSlope {
		return area
	}
	return area / math.Hypot(1, slope.Value/100)
}

// toDigits shortens a figure to so many significant digits, for a message.
func toDigits(v float64, digits int) float64 {
	short, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', digits, 64), 64)
	return short
}

// round shortens an area in hectares to the square metre, for a message.
func round(ha float64) float64 { return math.Round(ha*1e4) / 1e4 }
