// Package plan makes the plan of a survey before its season: how many units, where
// they lie, when to go, and the folder and sheets that the crew fills in.
//
//	units      footprints, sampling frames and the drawing of units
//	folder     the survey folder: strata, units, and headers to be filled
//	sheets     a printable page for each unit
//	pilot      counts of a former season
//	numbers    sample size, allocation, unit size, power, second looks
//	season     the expected flush and the dates of visits
//	tables     result tables of the numbers
//	maps       the map of the layout, and of each sheet
//	document   plan.html
//
// [Make] takes all that was read and returns the files; nothing is opened here. Each
// stratum draws its units from a generator of its own, seeded with the survey's seed
// and the place of the stratum, so that the same input gives the same files.
package plan
