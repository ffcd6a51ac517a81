package plots

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// A drawnText is a text element of an SVG and the box that it fills, in
// points from the top left corner.
type drawnText struct {
	text                     string
	left, right, top, bottom float64
}

// svgDocument is what the tests want to know of an SVG.
type svgDocument struct {
	root     xml.StartElement
	elements []xml.StartElement
	content  map[string]string // by element, the last one's
	texts    []drawnText
}

// parseSVG reads an SVG strictly.
func parseSVG(svg []byte) (svgDocument, error) {
	d := svgDocument{content: map[string]string{}}
	var open []xml.StartElement
	decoder := xml.NewDecoder(bytes.NewReader(svg))
	for {
		token, err := decoder.Token()
		if err == io.EOF {
			return d, nil
		}
		if err != nil {
			return d, err
		}
		switch token := token.(type) {
		case xml.StartElement:
			token = token.Copy()
			if len(open) == 0 {
				d.root = token
			}
			open = append(open, token)
			d.elements = append(d.elements, token)
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			if len(open) == 0 {
				continue
			}
			element := open[len(open)-1]
			d.content[element.Name.Local] = string(token)
			if element.Name.Local != "text" {
				continue
			}
			text, err := d.place(element, string(token))
			if err != nil {
				return d, err
			}
			d.texts = append(d.texts, text)
		}
	}
}

func attribute(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

// size is the width and height of the view box.
func (d svgDocument) size() (w, h float64, err error) {
	_, err = fmt.Sscanf(attribute(d.root, "viewBox"), "0 0 %g %g", &w, &h)
	return w, h, err
}

// place finds the box of a text, whose y counts from the bottom down.
func (d svgDocument) place(e xml.StartElement, s string) (drawnText, error) {
	style := map[string]string{}
	for _, part := range strings.Split(attribute(e, "style"), ";") {
		name, value, _ := strings.Cut(part, ":")
		style[name] = value
	}
	size, err1 := strconv.ParseFloat(strings.TrimSuffix(style["font-size"], "px"), 64)
	x, err2 := strconv.ParseFloat(attribute(e, "x"), 64)
	y, err3 := strconv.ParseFloat(attribute(e, "y"), 64)
	_, height, err4 := d.size()
	for _, err := range []error{err1, err2, err3, err4} {
		if err != nil {
			return drawnText{}, err
		}
	}
	if want := "'Liberation Sans',Arial,Helvetica,sans-serif"; style["font-family"] != want {
		return drawnText{}, fmt.Errorf("font %q, want %q", style["font-family"], want)
	}
	face := textStyle{size: size, bold: style["font-weight"] == "bold"}
	base := height + y
	return drawnText{text: s, left: x, right: x + face.width(s), top: base - 0.72*size, bottom: base + 0.21*size}, nil
}

// layoutFaults are the texts that leave the figure or cover each other.
func (d svgDocument) layoutFaults() []string {
	var faults []string
	width, height, err := d.size()
	if err != nil {
		return []string{err.Error()}
	}
	const slack = 0.3 // coordinates are written to five digits
	for i, a := range d.texts {
		if a.left < 0 || a.right > width || a.top < 0 || a.bottom > height {
			faults = append(faults, fmt.Sprintf("%q leaves the figure: %.1f to %.1f of %.1f, %.1f to %.1f of %.1f", a.text, a.left, a.right, width, a.top, a.bottom, height))
		}
		for _, b := range d.texts[:i] {
			if a.left+slack < b.right && b.left+slack < a.right && a.top+slack < b.bottom && b.top+slack < a.bottom {
				faults = append(faults, fmt.Sprintf("%q covers %q", a.text, b.text))
			}
		}
	}
	return faults
}

func TestSVG(t *testing.T) {
	for _, s := range everySample() {
		t.Run(s.name, func(t *testing.T) {
			figure := figureOf(t, s)
			d, err := parseSVG(svgOf(t, s))
			if err != nil {
				t.Fatal(err)
			}
			for _, fault := range d.layoutFaults() {
				t.Error(fault)
			}
			checkElements(t, d)
			if got := attribute(d.root, "role"); got != "img" {
				t.Errorf("role %q, want img", got)
			}
			if d.content["title"] != figure.Title || figure.Title == "" {
				t.Errorf("title %q, want the figure's %q", d.content["title"], figure.Title)
			}
			if d.content["desc"] != figure.Alt || !strings.HasSuffix(figure.Alt, ".") {
				t.Errorf("desc %q, want the figure's full sentences %q", d.content["desc"], figure.Alt)
			}
		})
	}
}

// checkElements checks that there is nothing but drawing in an SVG, and that
// its names lead to each other.
func checkElements(t *testing.T, d svgDocument) {
	t.Helper()
	var ids []string
	for _, e := range d.elements {
		if !slices.Contains([]string{"svg", "title", "desc", "g", "path", "text"}, e.Name.Local) {
			t.Errorf("element %s", e.Name.Local)
		}
		for _, a := range e.Attr {
			if strings.HasPrefix(a.Name.Local, "on") || a.Name.Local == "href" {
				t.Errorf("attribute %s of %s", a.Name.Local, e.Name.Local)
			}
		}
		if id := attribute(e, "id"); id != "" {
			ids = append(ids, id)
		}
	}
	if got := strings.Fields(attribute(d.root, "aria-labelledby")); !slices.Equal(got, ids) || len(ids) != 2 {
		t.Errorf("labelled by %q, have %q", got, ids)
	}
}

// TestSVGInPage checks what a page needs of an SVG within it.
func TestSVGInPage(t *testing.T) {
	svg := svgOf(t, samples[0])
	if !bytes.HasPrefix(svg, []byte("<svg ")) {
		t.Errorf("starts with %q, want the svg element", svg[:20])
	}
	named := strataSample
	named.Name = "density-of-plots"
	other := svgOf(t, sample{"named", named.Figure})
	if !bytes.Contains(other, []byte(`id="density-of-plots-title"`)) {
		t.Error("ids do not start with the name of the figure")
	}
}

func TestLayoutFaults(t *testing.T) {
	d := svgDocument{
		root: xml.StartElement{Attr: []xml.Attr{{Name: xml.Name{Local: "viewBox"}, Value: "0 0 100 50"}}},
		texts: []drawnText{
			{"a", 10, 30, 10, 20}, {"b", 29, 50, 15, 25}, {"c", 90, 101, 30, 40},
		},
	}
	if got := d.layoutFaults(); len(got) != 2 {
		t.Errorf("found %q, want that b covers a and c leaves the figure", got)
	}
}
