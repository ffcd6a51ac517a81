package table

import (
	"bytes"
	"fmt"

	"ashtally/pipeline/column"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/ipc"
)

// The keys of the metadata of a schema and of its fields.
const (
	tableKey       = "table"
	rowKey         = "row"
	unitKey        = "unit"
	descriptionKey = "description"
	originKey      = "origin"
	headerKey      = "header"

	crewOrigin = "crew"
)

// The names of the columns that say where a row was read.
const (
	SourceFile = "source_file"
	SourceLine = "source_line"
)

var placeFields = []column.Field{
	{Name: SourceFile, Form: column.Text, Required: true, About: "file the row was read from, within the survey folder"},
	{Name: SourceLine, Form: column.Whole, Required: true, About: "line of that file, counted from 1"},
}

// Schema is the ordered columns of a table in Arrow, with their units and
// descriptions. The zero value has no columns.
type Schema struct {
	arrow *arrow.Schema
}

// SchemaOf returns the schema of a table that has its declared columns and no
// others, as result tables do.
func SchemaOf[R any](t column.Table[R]) Schema {
	return newSchema(t.Name, t.About, arrowFields(t.Fields()))
}

// InputSchema returns the schema of an input table: where each row was read,
// the declared columns, and a column of text for each extra header of the
// crew's. A header that is empty, or that differs from another column's name
// by nothing but case and outer spaces, is given a number to tell them apart.
func InputSchema[R any](t column.Table[R], extra []string) Schema {
	fields := arrowFields(append(placeFields[:len(placeFields):len(placeFields)], t.Fields()...))
	return newSchema(t.Name, t.About, append(fields, crewFields(fields, extra)...))
}

func newSchema(name, row string, fields []arrow.Field) Schema {
	metadata := arrow.NewMetadata([]string{tableKey, rowKey}, []string{name, row})
	return Schema{arrow: arrow.NewSchema(fields, &metadata)}
}

func arrowFields(fields []column.Field) []arrow.Field {
	out := make([]arrow.Field, len(fields))
	for i, f := range fields {
		out[i] = arrow.Field{
			Name:     f.Name,
			Type:     kindOf(f.Form).arrow(),
			Nullable: !f.Required && f.Default == "",
			Metadata: metadataOf(f),
		}
	}
	return out
}

func metadataOf(f column.Field) arrow.Metadata {
	var keys, values []string
	if f.Unit != "" {
		keys, values = append(keys, unitKey), append(values, f.Unit)
	}
	if f.About != "" {
		keys, values = append(keys, descriptionKey), append(values, f.About)
	}
	return arrow.NewMetadata(keys, values)
}

// With returns the schema with a further pair of metadata, for the footer of a
// file in a format that asks for one.
func (s Schema) With(key, value string) Schema {
	metadata := s.arrow.Metadata()
	metadata = arrow.NewMetadata(append(metadata.Keys(), key), append(metadata.Values(), value))
	return Schema{arrow: arrow.NewSchema(s.fields(), &metadata)}
}

// Name returns the table's name: "finds".
func (s Schema) Name() string { return s.metadata(tableKey) }

// About returns in a sentence what one row is.
func (s Schema) About() string { return s.metadata(rowKey) }

func (s Schema) metadata(key string) string {
	if s.arrow == nil {
		return ""
	}
	metadata := s.arrow.Metadata()
	value, _ := metadata.GetValue(key)
	return value
}

// Fields describes the columns, in order, as far as the schema knows: names,
// units and descriptions, the form among Text, Number, Whole, Day and Truth,
// and Required where the column holds no nulls.
func (s Schema) Fields() []column.Field {
	var fields []column.Field
	for _, f := range s.fields() {
		unit, _ := f.Metadata.GetValue(unitKey)
		about, _ := f.Metadata.GetValue(descriptionKey)
		kind, _ := kindOfArrow(f.Type)
		fields = append(fields, column.Field{
			Name: f.Name, Unit: unit, About: about, Form: kind.form(), Required: !f.Nullable,
		})
	}
	return fields
}

// Has reports whether the table has a column of its own of that name, and not one of
// the crew's.
func (s Schema) Has(name string) bool {
	for _, f := range s.fields() {
		if f.Name == name && !isCrews(f) {
			return true
		}
	}
	return false
}

// Extra returns the headers of the crew's own columns, as the crew wrote them.
func (s Schema) Extra() []string {
	var headers []string
	for _, f := range s.fields() {
		if isCrews(f) {
			header, _ := f.Metadata.GetValue(headerKey)
			headers = append(headers, header)
		}
	}
	return headers
}

func (s Schema) fields() []arrow.Field {
	if s.arrow == nil {
		return nil
	}
	return s.arrow.Fields()
}

// Arrow returns the schema as Arrow has it, for the package that writes files.
func (s Schema) Arrow() *arrow.Schema { return s.arrow }

// Message returns the schema as an encapsulated Arrow IPC message: the form in
// which a file of another format can carry it.
func (s Schema) Message() []byte {
	var out bytes.Buffer
	w := ipc.NewWriter(&out, ipc.WithSchema(s.arrow))
	w.Close() // which writes the schema where there was no record, and to a buffer cannot fail
	return out.Bytes()
}

// FromArrow returns the schema of an Arrow table that came from a file. It is
// an error for it to have columns of a type that no table of this program has.
// Metadata that the file's format added is left out.
func FromArrow(s *arrow.Schema) (Schema, error) {
	fields := make([]arrow.Field, s.NumFields())
	for i, f := range s.Fields() {
		if _, known := kindOfArrow(f.Type); !known {
			return Schema{}, fmt.Errorf("column %q is of Arrow type %s, which no table here has", f.Name, f.Type)
		}
		f.Metadata = only(f.Metadata, unitKey, descriptionKey, originKey, headerKey)
		fields[i] = f
	}
	metadata := only(s.Metadata(), tableKey, rowKey)
	return Schema{arrow: arrow.NewSchema(fields, &metadata)}, nil
}

// only returns the part of the metadata that is under the given keys, in their order.
func only(metadata arrow.Metadata, keys ...string) arrow.Metadata {
	var found, values []string
	for _, key := range keys {
		if value, ok := metadata.GetValue(key); ok {
			found, values = append(found, key), append(values, value)
		}
	}
	return arrow.NewMetadata(found, values)
}

// Check reports whether got can be read as s: it is the same table, begins
// with the columns of s by name, type and unit, and has nothing after them but
// columns of the crew's own.
func (s Schema) Check(got Schema) error {
	if got.Name() != s.Name() {
		return fmt.Errorf("it holds the table %q, not %q", got.Name(), s.Name())
	}
	have := got.fields()
	for i, want := range s.fields() {
		if i >= len(have) {
			return fmt.Errorf("it has no column %q", want.Name)
		}
		if err := checkField(i, want, have[i]); err != nil {
			return err
		}
	}
	for _, f := range have[len(s.fields()):] {
		if !isCrews(f) {
			return fmt.Errorf("it has a column %q, which is not known", f.Name)
		}
	}
	return nil
}

func checkField(at int, want, got arrow.Field) error {
	wantUnit, _ := want.Metadata.GetValue(unitKey)
	gotUnit, _ := got.Metadata.GetValue(unitKey)
	switch {
	case got.Name != want.Name:
		return fmt.Errorf("its column %d is %q, not %q", at+1, got.Name, want.Name)
	case !arrow.TypeEqual(got.Type, want.Type):
		return fmt.Errorf("its column %q is of Arrow type %s, not %s", got.Name, got.Type, want.Type)
	case got.Nullable && !want.Nullable:
		return fmt.Errorf("its column %q may hold unknown values", got.Name)
	case gotUnit != wantUnit:
		return fmt.Errorf("its column %q is in %q, not in %q", got.Name, gotUnit, wantUnit)
	}
	return nil
}
