package season

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Flushes that are drawn and not fitted. What a curve does with them is tested by
// their shares alone.
type drawn struct{}

func (drawn) integrate([]node, axis, *logIntegral) { panic("only drawn") }
func (drawn) whole(*logIntegral)                   { panic("only drawn") }

// twoPiece is a two-piece normal flush of standard deviations up to the mode and
// from it on.
type twoPiece struct {
	mode, up, down float64
	drawn
}

func (f twoPiece) peaks() []peak   { return []peak{{f.mode, 1}} }
func (f twoPiece) spread() float64 { return f.up + f.down }
func (f twoPiece) share(z float64) float64 {
	first := f.up / (f.up + f.down)
	if z < f.mode {
		return 2 * first * distuv.UnitNormal.CDF((z-f.mode)/f.up)
	}
	return first + 2*(1-first)*(distuv.UnitNormal.CDF((z-f.mode)/f.down)-0.5)
}

// gammaFlush begins on a day and is gamma from there.
type gammaFlush struct {
	from, shape, scale float64
	drawn
}

func (f gammaFlush) peaks() []peak   { return []peak{{f.from + (f.shape-1)*f.scale, 1}} }
func (f gammaFlush) spread() float64 { return f.scale * math.Sqrt(f.shape) }
func (f gammaFlush) share(z float64) float64 {
	if z <= f.from {
		return 0
	}
	return distuv.Gamma{Alpha: f.shape, Beta: 1 / f.scale}.CDF(z - f.from)
}

// evenly is no flush: as many come up on each of the days from 40 before to 40 after.
type evenly struct{ drawn }

func (f evenly) peaks() []peak           { return []peak{{0, 1}} }
func (f evenly) spread() float64         { return 80 / math.Sqrt(12) }
func (f evenly) share(z float64) float64 { return min(max((z+40)/80, 0), 1) }
