package survey

import (
	"math"

	"ashtally/pipeline/column"
)

// HorizontalM2 is the horizontal area of a plot, in m2; 0 where it has no size.
func (p *Plot) HorizontalM2() float64 {
	area := p.AreaM2.Value
	switch {
	case p.RadiusM.Known:
		area = math.Pi * p.RadiusM.Value * p.RadiusM.Value
	case p.LengthM.Known:
		area = p.LengthM.Value * p.WidthM.Value
	}
	return horizontal(area, p.SlopePercent, p.Laid)
}

// HorizontalM2 is the horizontal area of a strip, in m2; 0 for a line, whose
// searched area only an estimate can tell.
func (t *Transect) HorizontalM2() float64 {
	if t.Kind != Strip {
		return 0
	}
	return horizontal(t.LengthM.Value*t.HalfWidthM.Value*float64(t.Sides.Or(2)), t.SlopePercent, t.Laid)
}

// HorizontalM is the horizontal length of a transect, in m.
func (t *Transect) HorizontalM() float64 { return horizontal(t.LengthM.Value, t.SlopePercent, t.Laid) }

// horizontal brings an area or a length that was taped along the slope to the
// map: it is divided by the length of slope over one metre of map.
func horizontal(taped float64, slope column.Float, laid string) float64 {
	if laid != AlongSlope {
		return taped
	}
	return taped / math.Hypot(1, slope.Value/100)
}
