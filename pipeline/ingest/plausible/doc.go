// Package plausible tells values that a crew can hardly have meant from those it
// can: names that are almost another, figures far from all others, sizes that
// differ by a unit of measure, days and positions that a slip of the pen would
// explain. It knows no files and no columns; pipeline/ingest puts the questions.
//
// No function decides that a value is wrong. Each says what else it could be.
package plausible
