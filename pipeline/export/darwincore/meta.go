package darwincore

import (
	"encoding/xml"
	"io"
)

// metaFile is meta.xml, which says what the columns of the files are.
type metaFile struct {
	XMLName    xml.Name   `xml:"http://rs.tdwg.org/dwc/text/ archive"`
	Metadata   string     `xml:"metadata,attr"`
	Core       metaPart   `xml:"core"`
	Extensions []metaPart `xml:"extension"`
}

type metaPart struct {
	Encoding string     `xml:"encoding,attr"`
	Fields   string     `xml:"fieldsTerminatedBy,attr"`
	Lines    string     `xml:"linesTerminatedBy,attr"`
	Enclosed string     `xml:"fieldsEnclosedBy,attr"`
	Headers  int        `xml:"ignoreHeaderLines,attr"`
	RowType  string     `xml:"rowType,attr"`
	Location string     `xml:"files>location"`
	ID       *index     `xml:"id"`
	CoreID   *index     `xml:"coreid"`
	Terms    []metaTerm `xml:"field"`
}

type index struct {
	Index int `xml:"index,attr"`
}

type metaTerm struct {
	Index int    `xml:"index,attr"`
	Term  string `xml:"term,attr"`
}

// meta writes meta.xml; the first part is the core.
func meta(w io.Writer, parts []part) error {
	file := metaFile{Metadata: "eml.xml"}
	for i, p := range parts {
		m := metaPart{Encoding: "UTF-8", Fields: ",", Lines: `\n`, Enclosed: `"`, Headers: 1, RowType: p.rowType, Location: p.file}
		for n, uri := range p.terms {
			m.Terms = append(m.Terms, metaTerm{n, uri})
		}
		if i == 0 {
			m.ID = &index{}
			file.Core = m
			continue
		}
		m.CoreID = &index{}
		m.Terms = m.Terms[1:] // the event is named by coreid
		file.Extensions = append(file.Extensions, m)
	}
	return writeXML(w, file)
}

func writeXML(w io.Writer, v any) error {
	if _, err := io.WriteString(w, xml.Header); err != nil {
		return err
	}
	enc := xml.NewEncoder(w)
	enc.Indent("", "  ")
	if err := enc.Encode(v); err != nil {
		return err
	}
	_, err := io.WriteString(w, "\n")
	return err
}
