package geo

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"strconv"

	"ashtally/pipeline/column"
	"ashtally/pipeline/export"
)

// WriteJSON writes the units to units.geojson, a feature on each line. What the
// columns mean, and what is known of the data set, are foreign members of the
// collection (RFC 7946, section 6.1).
func WriteJSON(ctx context.Context, r export.Results, files export.Files) (export.Outcome, error) {
	list, s, err := features(ctx, r)
	if err != nil {
		return export.Outcome{}, err
	}
	err = files.Write("units.geojson", func(w io.Writer) error {
		var b bytes.Buffer
		b.WriteString(`{"type":"FeatureCollection",` + "\n")
		for _, p := range about(r) {
			member(&b, p.key, p.value)
			b.WriteString(",\n")
		}
		if box := extent(list); box != nil {
			member(&b, "bbox", box)
			b.WriteString(",\n")
		}
		member(&b, "columns", descriptions())
		b.WriteString(",\n\"features\":[")
		for i := range list {
			if i > 0 {
				b.WriteByte(',')
			}
			b.WriteByte('\n')
			list[i].json(&b)
		}
		b.WriteString("\n]}\n")
		_, err := w.Write(b.Bytes())
		return err
	})
	return outcome(list, s), err
}

// description is what a column means.
type description struct {
	Name  string `json:"name"`
	Unit  string `json:"unit,omitempty"`
	About string `json:"description"`
}

func descriptions() []description {
	var list []description
	for _, f := range units.Fields() {
		list = append(list, description{f.Name, f.Unit, f.About})
	}
	return list
}

// json writes the feature; its properties have the names of the columns.
func (f *feature) json(b *bytes.Buffer) {
	b.WriteString(`{"type":"Feature","geometry":`)
	if f.Point == nil {
		b.WriteString("null")
	} else {
		b.WriteString(`{"type":"Point","coordinates":[` + decimal(f.longitude) + "," + decimal(f.latitude) + "]}")
	}
	b.WriteString(`,"properties":{`)
	for i, c := range units.Columns {
		if i > 0 {
			b.WriteByte(',')
		}
		member(b, c.Name, valueOf(c.At(f)))
	}
	b.WriteString("}}")
}

// member writes a member of an object. Texts, numbers and lists of them, which
// are all that come here, can be encoded.
func member(b *bytes.Buffer, name string, value any) {
	b.WriteString(strconv.Quote(name) + ":")
	enc := json.NewEncoder(b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(value); err != nil {
		panic("geo: " + err.Error())
	}
	b.Truncate(b.Len() - 1) // the line end
}

// valueOf is the value of a column for JSON; nil where it is unknown.
func valueOf(at any) any {
	switch v := at.(type) {
	case *string:
		if *v != "" {
			return *v
		}
	case *column.Float:
		if v.Known {
			return v.Value
		}
	case *column.Int:
		if v.Known {
			return v.Value
		}
	case *column.Date:
		if v.Known() {
			return v.String()
		}
	case *column.Bool:
		if v.Known {
			return v.Value
		}
	}
	return nil
}

func decimal(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
