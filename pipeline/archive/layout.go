package archive

import (
	"encoding/base64"

	"ashtally/pipeline/table"

	"github.com/apache/arrow/go/v15/parquet"
	"github.com/apache/arrow/go/v15/parquet/compress"
	"github.com/apache/arrow/go/v15/parquet/metadata"
)

const (
	// createdBy has the form that readers look for; the number is that of the
	// files' layout, not of the program, so that a release changes no bytes.
	createdBy = "ashtally version 1.0.0"

	// A row group is complete with the batch that brings it to so many rows or
	// bytes. Until then it is held in memory: 50 MB of it for a table of finds.
	groupRows  = 1 << 20
	groupBytes = 64 << 20

	// pageBytes is a quarter of the usual: pages are compressed when they are
	// full, and what waits for that is held in memory.
	pageBytes = 256 << 10

	// level is zstd's fastest. What a dictionary leaves over hardly shrinks at
	// higher ones.
	level = 1
)

// properties says how columns are encoded. All are tried by dictionary, which
// the library gives up for a column with many values: on a million finds it
// saved a quarter of the size and some time, for measured numbers too, since
// crews round. The lines of the source only ever rise: their differences take
// next to nothing.
func properties(s table.Schema) *parquet.WriterProperties {
	options := []parquet.WriterProperty{
		parquet.WithCreatedBy(createdBy),
		parquet.WithCompression(compress.Codecs.Zstd),
		parquet.WithCompressionLevel(level),
		parquet.WithDataPageVersion(parquet.DataPageV2), // version 1 takes quadratic time where there are nulls
		parquet.WithRootRepetition(parquet.Repetitions.Required),
		parquet.WithDataPageSize(pageBytes),
	}
	for _, f := range s.Fields() {
		if f.Name == table.SourceLine {
			options = append(options,
				parquet.WithDictionaryFor(f.Name, false),
				parquet.WithEncodingFor(f.Name, parquet.Encodings.DeltaBinaryPacked))
		}
	}
	return parquet.NewWriterProperties(options...)
}

// keyValues returns the metadata of the footer, the seal last and still unsealed.
func keyValues(s table.Schema) metadata.KeyValueMetadata {
	var pairs metadata.KeyValueMetadata
	add := func(key, value string) {
		if value != "" {
			pairs.Append(key, value)
		}
	}
	add("table", s.Name())
	add("row", s.About())
	further := s.Arrow().Metadata()
	for i, key := range further.Keys() {
		if key != "table" && key != "row" {
			add(key, further.Values()[i])
		}
	}
	for _, f := range s.Fields() {
		add(f.Name+".unit", f.Unit)
		add(f.Name+".description", f.About)
	}
	add(schemaKey, base64.StdEncoding.EncodeToString(s.Message()))
	add(sealKey, unsealed)
	return pairs
}
