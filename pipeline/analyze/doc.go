// Package analyze answers the questions of a survey. It collects the Arrow
// batches of the input tables into a [Season], groups its units by key, hands
// plain numbers to the packages of stats, and returns the rows of the result
// tables.
//
// A file is a question:
//
//	density.go     fruit bodies per hectare, by every crossing of the groups
//	lines.go       how far the crew sees from a line, and what density follows
//	adaptive.go    the same from plots added beside those that held enough
//	comparison.go  host-associated against saprotrophic finds
//	clumping.go    how finds gather in units
//	effort.go      what was searched, when, and how much of the land
//	taxa.go        what was found, estimated or not
//
// The element of every estimate is a unit in a season: all that was counted in
// one plot or transect in one calendar year, by the survey's counting rule. Two
// visits are never two elements; two seasons of one unit are two elements of
// one site.
package analyze
