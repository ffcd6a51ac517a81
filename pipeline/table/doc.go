// Package table turns rows into Arrow record batches and gives column views
// back. It and pipeline/archive are the only packages that know Arrow: the others
// see a [Schema], a [Batch] and its columns of texts, numbers, dates and truths.
//
// A table's Arrow schema follows from its declaration in pipeline/column:
//
//	column.Number                         float64
//	column.Whole                          int64
//	column.Day                            date32
//	column.Truth                          bool
//	Text, ID, Fire, List, Choice          utf8
//	column.Binary                         binary
//
// A column that is required, or that has a default, holds no nulls. In every
// other column an unknown value is null, and so is an empty text. Texts are
// plain strings, never Arrow dictionaries.
//
// A field's metadata has its unit and description under the keys "unit" and
// "description"; the schema's has the table's name under "table" and what one
// row is under "row". An input table begins with where each row was read,
// source_file and source_line, and ends with the crew's own columns, as text;
// these are marked by the key "origin", and "header" keeps the header as the
// crew wrote it.
package table
