package demo

import "ashtally/pipeline/survey"

const metresPerFoot = 0.3048

// block is a number of units laid out alike.
type block struct {
	stratum int
	units   int
	perSite int // units of one site; 0 where each stands for itself
	size    size
	laid    string // survey.Horizontal or survey.AlongSlope

	roadside   bool
	systematic bool // strips numbered along a layout with a trend
	observers  int  // who search independently; 1 or 2
	passes     int  // searches on each day
}

// size is what a unit's tape says. The zero fields do not apply to its shape.
type size struct {
	radiusM               float64
	lengthM, widthM       float64
	leastM2, mostM2       float64 // of irregular plots, their area drawn between
	lengthFt, halfWidthFt float64 // of transects
	kind                  string  // of transects
	sides                 int64   // of transects
}

var (
	small     = size{radiusM: 5.64} // 100 m2
	wide      = size{radiusM: 8}
	belt      = size{lengthM: 20, widthM: 5}
	longBelt  = size{lengthM: 25, widthM: 5}
	irregular = size{leastM2: 80, mostM2: 200}

	shortStrip = size{kind: survey.Strip, lengthFt: 200, halfWidthFt: 6, sides: 2}
	strip      = size{kind: survey.Strip, lengthFt: 330, halfWidthFt: 6, sides: 2}
	longStrip  = size{kind: survey.Strip, lengthFt: 660, halfWidthFt: 6, sides: 2}
	roadStrip  = size{kind: survey.Strip, lengthFt: 400, halfWidthFt: 8, sides: 1}
	line       = size{kind: survey.Line, lengthFt: 500, halfWidthFt: 16, sides: 2}
)

// plots is the layout of the 200 plots.
var plots = []block{
	{stratum: severe, units: 40, perSite: 5, size: small, laid: survey.Horizontal, observers: 1, passes: 1},
	{stratum: severe, units: 20, perSite: 5, size: small, laid: survey.AlongSlope, observers: 2, passes: 1},
	{stratum: moderate, units: 20, size: belt, laid: survey.AlongSlope, observers: 1, passes: 2},
	{stratum: moderate, units: 14, size: longBelt, laid: survey.Horizontal, observers: 1, passes: 1},
	{stratum: moderate, units: 8, size: belt, laid: survey.Horizontal, roadside: true, observers: 1, passes: 1},
	{stratum: older, units: 24, perSite: 4, size: small, laid: survey.AlongSlope, observers: 1, passes: 1},
	{stratum: older, units: 16, perSite: 4, size: small, laid: survey.Horizontal, observers: 2, passes: 1},
	{stratum: oldest, units: 30, size: irregular, laid: survey.AlongSlope, observers: 1, passes: 1},
	{stratum: unburned, units: 28, size: wide, laid: survey.AlongSlope, observers: 1, passes: 1},
}

// transects is the layout of the 24 strips and 6 lines.
var transects = []block{
	{stratum: severe, units: 10, size: shortStrip, laid: survey.AlongSlope, systematic: true, observers: 1, passes: 1},
	{stratum: moderate, units: 5, size: strip, laid: survey.Horizontal, observers: 1, passes: 1},
	{stratum: moderate, units: 2, size: roadStrip, laid: survey.Horizontal, roadside: true, observers: 1, passes: 1},
	{stratum: older, units: 4, size: longStrip, laid: survey.AlongSlope, observers: 1, passes: 1},
	{stratum: unburned, units: 3, size: longStrip, laid: survey.AlongSlope, observers: 1, passes: 1},
	{stratum: older, units: 6, size: line, laid: survey.Horizontal, observers: 1, passes: 1},
}

// slot is one unit's place in a layout.
type slot struct {
	block
	order       int // within the block, from 0
	placeNumber int // of the place it shares with the units of its site
}

// places is the number of places that a layout needs.
func places(slots []slot) int { return slots[len(slots)-1].placeNumber + 1 }

// slots lists the units of a layout in order.
func slots(blocks []block) []slot {
	var list []slot
	place := 0
	for _, b := range blocks {
		for i := range b.units {
			if i > 0 && (b.perSite == 0 || i%b.perSite == 0) {
				place++
			}
			list = append(list, slot{block: b, order: i, placeNumber: place})
		}
		place++
	}
	return list
}
