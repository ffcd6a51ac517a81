package survey

import "ashtally/pipeline/column"

// The bounds of what a crew writes down. Each ends where no measurement lies,
// so that a figure in another unit, or with its point out of place, is named at
// its cell; and so that areas, densities and sums made of several figures stay
// finite. Where no source is named, the ends are common sense, rounded outwards.
var (
	// landHa: from a square metre to a million square kilometres, several times
	// the land that the largest fires on record burned in a year.
	landHa = column.Bounds{Set: true, Min: 1e-4, Max: 1e8}
	// plotM: the sides and radii of plots, from a frame of 5 cm for cup fungi to
	// a kilometre, beyond which nobody counts every fruit body.
	plotM = column.Bounds{Set: true, Min: 0.05, Max: 1000}
	// transectM: from a step to what a car covers in a day along roads.
	transectM = column.Bounds{Set: true, Min: 0.1, Max: 1e5}
	// sightM: the half-width of a transect, from a hand's breadth to a kilometre,
	// beyond which no fruit body is seen.
	sightM = column.Bounds{Set: true, Min: 0.05, Max: 1000}
	// distanceM: from a line or to a tree, to the millimetre; a tree farther off
	// than a kilometre is none that a find stands by.
	distanceM = column.Bounds{Set: true, Min: 0, Max: 1000, Least: 0.001}
	// positionM: within a unit, no farther than the longest one reaches.
	positionM = column.Bounds{Set: true, Min: -1e5, Max: 1e5}
	// counted: of one row, no more than anybody counts in a day.
	counted = column.Bounds{Set: true, Min: 1, Max: 1e6}
	// massG: of one row, from what a laboratory balance reads, a milligram, to a
	// tonne.
	massG = column.Bounds{Set: true, Min: 0.001, Max: 1e6}
	// searchH: of one visit, which lies within a day; to four seconds.
	searchH = column.Bounds{Set: true, Min: 0, Max: 24, Least: 0.001}
	// passes of a day, or the places of a layout: more than fit into either.
	passes = column.Bounds{Set: true, Min: 1, Max: 1000}
	places = column.Bounds{Set: true, Min: 0, Max: 1e6}
	// stems: seedlings after fire stand up to a hundred in a square metre, a
	// unit has up to some hectares.
	stems = column.Bounds{Set: true, Min: 0, Max: 1e7}
	// basalM2: from a stem a millimetre thick, 8e-7 m2, to thousands of hectares
	// of the densest forests, which have some 300 m2 in each.
	basalM2 = column.Bounds{Set: true, Min: 0, Max: 1e6, Least: 5e-7}
	compass = column.Bounds{Set: true, Min: 0, Max: 360}
	// slopes stop at 1000 % (84 degrees): nobody lays a plot on a cliff, and a
	// larger figure is a slope in another unit.
	slopes = column.Bounds{Set: true, Min: 0, Max: 1000}
	// percent: to a hundred-thousandth; no eye tells a smaller share.
	percent    = column.Bounds{Set: true, Min: 0, Max: 100, Least: 0.001}
	latitudes  = column.Bounds{Set: true, Min: -90, Max: 90}
	longitudes = column.Bounds{Set: true, Min: -180, Max: 180}
	// elevations: from below the lowest shore to above the highest summit.
	elevations = column.Bounds{Set: true, Min: -500, Max: 9000}
	// celsius: no soil or air has a daily mean outside of these; a larger figure
	// is in another unit.
	celsius = column.Bounds{Set: true, Min: -60, Max: 60}
	// surveyed and burned are years: fungi were not counted on plots before
	// 1800, rings and charcoal date fires some centuries farther back, and what
	// lies after 2200 is a slip of the pen.
	surveyed = column.Bounds{Set: true, Min: 1800, Max: 2200}
	burned   = column.Bounds{Set: true, Min: 1000, Max: 2200}
)

// SearchedM2 bounds the horizontal area of a unit, from a frame of 3 cm to a
// hundred square kilometres: sides that are each within their bounds may still
// make an area that nobody searched.
var SearchedM2 = column.Bounds{Set: true, Min: 0.001, Max: 1e8}

// MostPerM2 is the most fruit bodies that can stand on a square metre: one on
// each square millimetre, as the smallest cup fungi of burned ground do.
const MostPerM2 = 1e6

// MostMassG is the most that one fruit body can weigh, in grams: half a tonne,
// the estimate for the largest bracket fungus described (Dai & Cui 2011, Fungal
// Biology 115: 813-814; cited from memory).
const MostMassG = 5e5

// The bounds of settings that are not measured in the field.
var (
	// seeds: the whole numbers that every reader of run.json, a spreadsheet among them, holds exactly.
	seeds = column.Bounds{Set: true, Min: 0, Max: 1e15 - 1}
	// thresholds: fruit bodies of a plot, as many as a row may have.
	thresholds = column.Bounds{Set: true, Min: 0, Max: 1e6, Least: 0.001}
	// people and pickingDays can be averages, with a fraction; a season lies
	// within a year.
	people      = column.Bounds{Set: true, Min: 0.01, Max: 1e7}
	pickingDays = column.Bounds{Set: true, Min: 0.01, Max: 366}
	// takes: the limit of a person and day, in any of its units.
	takes = column.Bounds{Set: true, Min: 0.001, Max: 1e6}
	// basketKg: fruit bodies are lighter than twice the water of their bulk, and
	// dried ones lie loose.
	basketKg = column.Bounds{Set: true, Min: 0.001, Max: 2}
	// basketBodies: from one that fills a hundred litres to one in each cubic
	// millimetre.
	basketBodies = column.Bounds{Set: true, Min: 0.01, Max: 1e6}
	shares       = column.Bounds{Set: true, Min: 0.001, Max: 1}
	wantedChance = column.Bounds{Set: true, Min: 0.5, Max: 0.9999}
)
