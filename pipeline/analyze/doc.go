// Package analyze answers the questions of a survey that have no package of
// their own yet. It takes domains and subgroups of the field data, hands plain
// numbers to the packages of stats, and returns the rows of the result tables.
//
// A file is a question:
//
//	adaptive.go    densities from plots added beside those that held enough
//	comparison.go  host-associated against saprotrophic finds
//	model.go       what densities depend on: mode, tree, years since fire
//	contrasts.go   the model's densities held against each other
//	decline.go     how density falls with the years since fire
package analyze
