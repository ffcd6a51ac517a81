// Package ingest reads a survey folder: its settings, its CSV files and what
// must hold across them. It gives rows that are whole, and a fault with its
// place and its remedy for everything else; it goes on after a fault, so that
// a crew sees all of them at once.
//
// The way of a file is
//
//	source    the bytes on disk: digest, gzip, progress
//	guard     the bytes as text: line ends, a limit on the length of a row
//	records   encoding/csv on top of it, and how to go on after a bad quote
//	mapping   which cell fills which column, in which unit
//	binder    cells to values, column by column
//	checks    what must hold within a row and against rows read before
//
// Tables are read in an order in which each refers only to those before it.
// What is kept of them grows with the strata, units, visits and tree lists,
// not with the finds.
package ingest
