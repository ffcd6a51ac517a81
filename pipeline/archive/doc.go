// Package archive writes tables to Parquet files and reads them back. It is
// the only package that knows Parquet.
//
// A file is an ordinary Parquet file that any reader of the format can open:
// zstd pages of version 2, row groups of about a million rows, texts and most
// numbers by dictionary. The same batches give the same bytes. What the
// columns mean travels in the key-value metadata of the footer:
//
//	table, row                     the table's name, and what one row is
//	NAME.unit, NAME.description    of the column NAME
//	ARROW:schema                   all of it once more, for readers that know Arrow
//	ashtally.seal                  SHA-256 of the file, its own digits taken as zeros
//
// The seal tells damage from data. Parquet as it is written here has no
// checksums of its own, so that a flipped bit could change a count without a
// word; and a flipped bit of the footer can make the library that decodes it ask
// for more memory than there is, which no program survives. A file whose seal is
// missing or wrong is therefore not read at all. It is not a signature: who
// changes a file on purpose can seal it again. Pages are therefore looked through
// before they are decoded, so that none can claim more room than it fills.
package archive
