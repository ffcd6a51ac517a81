package position

import (
	"math"

	"ashtally/pipeline/column"
)

// degreeM is the longest that a degree of latitude is, in metres, at the poles of
// WGS 84 (111,694 m), rounded upwards. A degree of longitude is nowhere longer
// than this times the cosine of the latitude.
const degreeM = 111_700

// Cell is a cell of the grid to which coordinates are generalized.
type Cell struct{ row, column int }

// Grid divides the earth into cells whose sides are at most SideM long, in metres.
type Grid struct{ SideM float64 }

// At returns the cell of a position in degrees.
func (g Grid) At(latitude, longitude float64) Cell {
	row := int(math.Floor((latitude + 90) / g.latitudeStep()))
	return Cell{row, int(math.Floor((longitude + 180) / g.longitudeStep(row)))}
}

// Center returns the centre of a cell in degrees, with five decimals, about a metre.
func (g Grid) Center(c Cell) (latitude, longitude float64) {
	latitude = min(90, (float64(c.row)+0.5)*g.latitudeStep()-90)
	longitude = min(180, (float64(c.column)+0.5)*g.longitudeStep(c.row)-180)
	return fiveDecimals(latitude), fiveDecimals(longitude)
}

// UncertaintyM is the greatest distance from the centre of a cell to a position
// in it: half the diagonal, and a metre each for the decimals of the centre and for
// rounding to whole metres.
func (g Grid) UncertaintyM() column.Float {
	return column.Float{Value: math.Ceil(g.SideM*math.Sqrt2/2) + 2, Known: true}
}

func (g Grid) latitudeStep() float64 { return g.SideM / degreeM }

// longitudeStep is the width of the cells of a row, by its edge nearer to the equator,
// where a degree is longest.
func (g Grid) longitudeStep(row int) float64 {
	south := float64(row)*g.latitudeStep() - 90
	nearest := max(south, -south-g.latitudeStep(), 0)
	return min(360, g.SideM/(degreeM*max(math.Cos(nearest*math.Pi/180), 1e-9)))
}

func fiveDecimals(degrees float64) float64 { return math.Round(degrees*1e5) / 1e5 }
