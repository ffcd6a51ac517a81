// Package page writes the two HTML files of a report and the table that ends a
// run on the terminal.
//
// A question hands in a [Section]: a finding with its numbers, at most one figure
// and one short table, what limits them, and what the appendix has beside the full
// tables. The sections are put together to a [Report] of three levels:
//
//	summary      the first screen of report.html: the figures that a decision needs
//	sections     the rest of report.html: what defends the decision
//	appendix     appendix.html: full tables, methods, limitations, provenance
//
// Every number of report.html is a cell of a result table or a setting, and is
// written with its source: `data-from="crop:3:mass_kg"` is the third row of
// results/crop, column mass_kg, and "effort:1+4:units" the sum of two rows. [Say] takes no other numbers. Rounding (round.go)
// and units (units.go) each have one place.
//
// The markup lies in html/. What comes from the data is escaped by html/template
// and made printable by printable.go; only figures, which package plots makes,
// are inserted as they are.
package page
